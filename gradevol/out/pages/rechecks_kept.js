// Ticks and readings as the browser keeps them: over a reload, and from tab to tab.

// Another check of the same job has other places: what was typed on the one is not shown on the other.
const SHELF = (() => {
  let sum = 2166136261;
  const text = document.getElementById("plan-data").textContent;
  for (let at = 0; at < text.length; at += 1) sum = Math.imul(sum ^ text.charCodeAt(at), 16777619);
  return `base check ${(sum >>> 0).toString(36)}`;
})();
const kept = { kind: plan.reading, height: "", done: {}, read: {}, here: [] };
let isKept = true;
let lastKept = null; // as it was last written or read here

// Takes what is on the shelf, if it is another than here; whether it was. What is gone there stays here.
function recall() {
  let text = null;
  try {
    text = localStorage.getItem(SHELF);
  } catch {
    isKept = false; // refused, as in some private windows
  }
  try {
    if (text === null || text === lastKept) return false;
    Object.assign(kept, JSON.parse(text));
    lastKept = text;
    return true;
  } catch {
    return false; // spoilt
  }
}

function keep() {
  const text = JSON.stringify(kept);
  try {
    localStorage.setItem(SHELF, text);
    [lastKept, isKept] = [text, true];
  } catch {
    isKept = false;
  }
}

// What another tab of this page has taken or cleared since is taken over before anything is kept.
function catchUp() {
  if (!recall()) return;
  const gone = [...$("elsewhere").querySelectorAll("input")].filter((one) => !kept.here.some(({ key }) => key === one.dataset.key));
  for (const input of gone) {
    targets.delete(input.dataset.key);
    input.closest(".entry").remove();
  }
  for (const one of kept.here) if (!targets.has(one.key)) putHere(one);
  for (const input of document.querySelectorAll(".height")) if (document.activeElement !== input) input.value = kept.height;
  $("kind").value = kept.kind || "rod";
  showHeight();
  tellReadings();
}

function followTabs() {
  addEventListener("storage", catchUp);
  addEventListener("pageshow", catchUp);
  document.addEventListener("visibilitychange", catchUp);
}
