// The tickets file given out and taken in: download, share, copy, read.
const fileName = () => `${(data.title || "pour").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "pour"}-tickets.csv`;
const makeFile = () => new File([writeFile(state.entries)], fileName(), { type: "text/csv" });

function tellFile(text) {
  $$("told").textContent = text;
}

function download() {
  giveOut(makeFile());
  tellFile(`${fileName()} is given out.`);
}

async function share() {
  try {
    await navigator.share({ files: [makeFile()], title: fileName() });
    tellFile(`${fileName()} is shared.`);
  } catch {
    tellFile("It was not shared.");
  }
}

async function copy() {
  const isDone = await copyText(writeFile(state.entries));
  tellFile(isDone ? "The tickets are copied: paste them into a message." : "Could not copy: download them instead.");
}

async function read() {
  const [file] = $$("read").files;
  if (!file) return;
  try {
    const entries = readFile(await file.text());
    if (!isCurrent()) return;
    change(entries);
    const { length } = listLoads(entries);
    tellFile(`${length} load${length === 1 ? "" : "s"} read from ${file.name}. Undo brings back what was here.`);
  } catch (error) {
    tellFile(error.message);
  }
  $$("read").value = "";
}
