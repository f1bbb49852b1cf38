// What pages have in common: elements, packed numbers, and how text and files leave a page.
function make(tag, properties = {}, ...children) {
  const element = Object.assign(document.createElement(tag), properties);
  element.append(...children);
  return element;
}

function unpack(text, Kind) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
  return new Kind(bytes.buffer);
}

// Whether it could be copied.
async function copyText(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    const [area, before] = [make("textarea", { value: text }), document.activeElement];
    document.body.append(area);
    area.select();
    const isDone = document.execCommand("copy");
    area.remove();
    before.focus();
    return isDone;
  }
}

function giveOut(file) {
  const link = make("a", { href: URL.createObjectURL(file), download: file.name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
