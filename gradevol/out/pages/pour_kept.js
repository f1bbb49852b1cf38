// Entries as the browser keeps them: over a reload, and from tab to tab.
const KEY = `gradevol pour: ${data.key}`;

const state = { entries: [], earlier: [], entry: null, editing: null, field: 0, laid: null, isKept: true, text: null, asked: "" };

function look() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

function put(key, text) {
  try {
    localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

// Where the browser refuses, or has no room, that is said.
function keep() {
  const text = JSON.stringify({ entries: state.entries, earlier: state.earlier });
  state.isKept = put(KEY, text);
  if (state.isKept) state.text = text;
}

// Takes what was kept; whether it fits this page.
function take(text) {
  try {
    const held = JSON.parse(text);
    const fault = held.entries.map(findFault).find(Boolean);
    if (fault) throw new Error(fault);
    followEntries(held.entries);
    Object.assign(state, { entries: held.entries, earlier: held.earlier, text });
    return true;
  } catch {
    return false;
  }
}

function recall() {
  const text = look();
  if (text !== null && !take(text)) {
    tellFile("Loads that were kept here do not fit this page: read them in from their tickets file, or type them again.");
    if (!put(`${KEY}, not read`, text)) return; // no room to lay them aside: they stay until a load is typed
  }
  keep();
}

// Takes what another tab of this page has changed since; whether it did. What is gone there stays here.
function catchUp() {
  const text = look();
  if (text === null || text === state.text || !take(text)) return false;
  if (state.editing !== null) begin();
  show();
  return true;
}

// Whether nothing else has changed the loads: else they are shown first, and nothing is lost.
function isCurrent() {
  if (!catchUp()) return true;
  tellFault("Another tab of this page has changed the loads: look at them, then press again.");
  return false;
}

// A load that is being typed outlives its page, which a phone takes away for a photo of the ticket.
const TYPED = `${KEY}, being typed`;

function keepTyped() {
  const entry = state.editing === null ? (state.laid ?? state.entry) : null; // a change of an earlier one is none
  try {
    sessionStorage.setItem(TYPED, JSON.stringify(entry));
  } catch {
    // refused, or no room: it is typed again
  }
}

function recallTyped() {
  try {
    const entry = JSON.parse(sessionStorage.getItem(TYPED));
    const texts = [entry.volume, entry.out, entry.ticket, entry.returned, ...entry.tapes.map(({ text }) => text)];
    const isOnSides = entry.tapes.every(({ side }) => data.sides[side - 1] && side !== data.start);
    const isKnown = Object.keys(entry.poured).every((name) => data.pours.some((pour) => pour.name === name));
    if (!isCall(entry) && isOnSides && isKnown && texts.every((text) => typeof text === "string")) state.entry = entry;
  } catch {
    // nothing was being typed
  }
}

addEventListener("pagehide", keepTyped);
document.addEventListener("visibilitychange", keepTyped);
addEventListener("storage", catchUp);
addEventListener("pageshow", catchUp);
document.addEventListener("visibilitychange", catchUp);
