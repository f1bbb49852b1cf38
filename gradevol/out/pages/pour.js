// The page: entries, keys, and what is told after each.
const $$ = (id) => document.getElementById(id);

const mark = (parts) =>
  parts.map((part) => (part.large ? make("b", { textContent: part.large.replaceAll(" ", "\u00a0") }) : bind(part)));
const bind = (text) => String(text).replace(/(\d) (?=(?:yd³|m³|ft|in|m|%)(?!\p{L}))/gu, "$1\u00a0");
const fill = (id, told) => $$(id).replaceChildren(...told.map((parts) => make("li", {}, ...mark(parts))));

// Tapes of an entry, and blank ones along the sides that are asked for first until there are enough.
function askTapes(tapes) {
  const more = data.asked.filter((side) => !tapes.some((tape) => tape.side === side));
  return [...tapes, ...more.map((side) => ({ side, text: "" }))].slice(0, Math.max(tapes.length, data.asked.length));
}

function begin() {
  if (state.laid) { // a load that was being typed when the plant was called
    Object.assign(state, { entry: state.laid, laid: null, editing: null, field: 0 });
    return;
  }
  const before = state.entries.at(-1)?.tapes ?? [];
  const tapes = askTapes(before.map(({ side }) => ({ side, text: "" })));
  state.entry = { volume: "", tapes, done: [], poured: {}, returned: "", out: "", ticket: "" };
  state.editing = null;
  state.field = 0;
}

function tellFault(text) {
  $$("fault").textContent = text;
  if (text) $$("fault").scrollIntoView({ block: "nearest" });
}

function change(entries) {
  state.earlier = [...state.earlier, state.entries].slice(-20);
  state.entries = entries;
  keep();
  begin();
  show();
}

function show() {
  const day = followEntries(state.entries);
  const { still, calls } = tellNow(day);
  $$("still").replaceChildren(...mark(still));
  $$("calls").replaceChildren(...calls.map((parts) => make("p", {}, ...mark(parts))));
  fill("alerts", sayAlerts(day));
  fill("doubts", [...sayDoubts(day), ...sayPoured(day)]);
  fill("placed", [...tellPlaced(day), ...tellCalls(day)]);
  showLoads();
  showEntry();
  $$("undo").disabled = !state.earlier.length;
  $$("clear").disabled = !state.entries.length;
  for (const id of ["download", "share", "copy"]) $$(id).disabled = !state.entries.length;
  $$("kept").textContent = state.isKept
    ? "Entries are kept in this browser, on this phone. Give them out when the pour is over, or before the battery is."
    : "This browser keeps no entries, or has no room for them: give them out before you close the page.";
}

function showLoads() {
  const rows = state.entries.map((entry, at) => {
    const tapes = entry.tapes.filter((tape) => tape.text.trim()).map(({ side, text }) =>
      `${nameSide(side)} ${text}${text.includes("'") ? "" : ` ${units.length}`}`);
    const more = [...tapes, ...entry.done, ...Object.entries(entry.poured).map(([name, count]) => `${count} x ${name}`)];
    if (entry.returned) more.push(`sent back ${entry.returned}`);
    if (entry.out) more.push(`out ${entry.out}`);
    const number = numberOf(at);
    const named = isCall(entry) ? `Called ${entry.called} ${units.volume}` : `${number}: ${entry.volume} ${units.volume}`;
    const told = isCall(entry) ? entry.out : more.join(", ") || "no front";
    const about = make("span", {}, make("b", { textContent: named }), make("small", { textContent: told }));
    const edit = make("button", { type: "button", textContent: "Edit", onclick: () => editLoad(at) });
    edit.setAttribute("aria-label", isCall(entry) ? `Edit what was called, ${entry.called}` : `Edit load ${number}`);
    return make("li", {}, about, edit);
  });
  $$("loads").replaceChildren(...rows);
  $$("loads").parentElement.hidden = !rows.length;
}

function editLoad(at) {
  state.entry = structuredClone(state.entries[at]);
  if (!isCall(state.entry)) state.entry.tapes = askTapes(state.entry.tapes);
  state.editing = at;
  state.field = 0;
  showEntry();
  $$("load").scrollIntoView({ block: "start" });
}

// What was called at the plant is an entry of its own: as it was advised, to be changed where it was not.
function typeCall() {
  const { calls } = followEntries(state.entries);
  const laid = state.editing === null ? state.entry : null;
  begin();
  state.laid = laid;
  const advised = calls.length === 1 && calls[0].call.volume > 0 ? sayOrder(calls[0].call.volume) : "";
  state.entry = { ...state.entry, tapes: [], called: advised };
  showEntry();
  $$("load").scrollIntoView({ block: "start" });
}

// Fields of an entry: its ticket, then a tape along each of two sides.
const listFields = () => isCall(state.entry) ? [
  { id: "called", get: () => state.entry.called, set: (text) => { state.entry.called = text; } },
] : [
  { id: "volume", get: () => state.entry.volume, set: (text) => { state.entry.volume = text; } },
  ...state.entry.tapes.map((tape, at) => ({
    id: `tape-${at}`, tape, at, get: () => tape.text, set: (text) => { tape.text = text; },
  })),
];

// Where the tape is held along a side: at its end nearer to where placing began, or at the far one.
function nameEnd(side) {
  const count = data.sides.length;
  const isForward = go(side, 0) > 0;
  const near = isForward ? side - 1 : side + 1;
  const far = isForward ? side + 1 : side - 1;
  const other = ((isFar(side) ? far : near) + count - 1) % count;
  const unit = units.is_metric ? "m" : "ft";
  return `tape from ${data.sides[other].name || `side ${other + 1}`}, ${unit}`;
}

function showEntry() {
  const { entry, editing } = state;
  const at = editing ?? state.entries.length;
  const number = numberOf(at);
  const isOfCall = isCall(entry);
  const name = isOfCall ? "this call" : `load ${number}`;
  $$("load").textContent = isOfCall ? "Called at the plant" : `Load ${number}${editing === null ? "" : ": change it"}`;
  $$("save").textContent = editing === null && !isOfCall ? `Load ${number} is out` : `Keep ${name}`;
  $$("leave").hidden = editing === null && !isOfCall;
  $$("drop").hidden = editing === null;
  $$("drop").textContent = `Take ${name} off`;
  $$("call").hidden = isOfCall;
  $$("of-load").hidden = isOfCall;
  $$("when").textContent = isOfCall ? "Called at" : "Out at";
  $$("hint").hidden = number > 1 || isOfCall;
  if (!edge) $$("hint").textContent = "When the truck is out: type its ticket, and press what is finished.";
  tellFault("");
  $$("fields").replaceChildren(...listFields().map(makeField));
  const names = Object.keys(data.zones);
  $$("panels").hidden = !names.length || isOfCall;
  $$("panels").replaceChildren(...names.map((name) => {
    const isBefore = state.entries.slice(0, at).some((one) => one.done.includes(name));
    const button = make("button", { type: "button", textContent: name, disabled: isBefore });
    button.setAttribute("aria-pressed", isBefore || entry.done.includes(name));
    button.onclick = () => {
      entry.done = entry.done.includes(name) ? entry.done.filter((one) => one !== name) : [...entry.done, name];
      button.setAttribute("aria-pressed", entry.done.includes(name));
    };
    return button;
  }));
  for (const id of ["out", "ticket", "returned"]) $$(id).value = entry[id];
  $$("out-said").textContent = entry.out || "now";
  $$("more-said").textContent = isOfCall ? "" : "; more of this load";
  $$("sides").replaceChildren(...entry.tapes.map(makeSide));
  $$("poured").replaceChildren(...data.pours.map((pour) => {
    const button = make("button", { type: "button" });
    const tell = () => {
      const count = entry.poured[pour.name] ?? 0;
      button.textContent = pour.count > 1 ? `${pour.name}: ${count} of ${pour.count}` : pour.name;
      button.setAttribute("aria-pressed", count > 0);
    };
    button.onclick = () => {
      const count = ((entry.poured[pour.name] ?? 0) + 1) % (pour.count + 1);
      if (count) entry.poured[pour.name] = count;
      else delete entry.poured[pour.name];
      tell();
    };
    tell();
    return button;
  }));
  activate(state.field);
}

function makeField({ id, tape, get, set }) {
  const label = make("label", { htmlFor: id }, ...(tape ? [nameSide(tape.side), make("small", { textContent: nameEnd(tape.side) })] : [`${id === "called" ? "Called" : "Ticket"}, ${units.volume}`]));
  const input = make("input", { id, value: get(), autocomplete: "off", inputMode: "none" });
  const number = tape ? 1 + state.entry.tapes.indexOf(tape) : 0;
  input.onfocus = () => activate(number);
  input.oninput = () => set(input.value);
  input.onkeydown = (event) => {
    if (event.key !== "Enter") return;
    const isLast = number === listFields().length - 1;
    if (isLast) save();
    else $$(listFields()[number + 1].id).focus();
  };
  return make("div", { className: "field" }, label, input);
}

// Another side along which a tape lies: where the front has gone beyond the first two.
function makeSide(tape, at) {
  const choice = make("select", { onchange: () => { tape.side = Number(choice.value); showEntry(); } });
  const sides = data.sides.map((_, side) => side + 1).filter((side) => side !== data.start);
  choice.append(...sides.map((side) => make("option", { value: side, textContent: nameSide(side), selected: side === tape.side })));
  return make("label", {}, `Tape ${at + 1} lies along`, choice);
}

function activate(number) {
  state.field = number;
  listFields().forEach(({ id }, at) => $$(id).classList.toggle("on", at === number));
  if (hasFeet) $$("feet").disabled = number === 0;
}

function press(key) {
  const field = listFields()[state.field];
  if (key === "next") {
    activate((state.field + 1) % listFields().length);
    return;
  }
  const text = field.get();
  if (key === "back") field.set(text.slice(0, -1).trimEnd());
  else if (key === "'") field.set(text && !text.includes("'") ? `${text}' ` : text);
  else field.set(text + key);
  $$(field.id).value = field.get();
}

const hasFeet = edge !== null && !units.is_metric;

function makeKeys() {
  const rows = hasFeet ? ["789", "back", "456", "'", "123", "."] : ["789", "back", "456", ".", "123"];
  const keys = rows.flatMap((row) => (row.length === 3 ? [...row] : [row]));
  const words = { back: "Delete", next: "Next", "'": "ft" };
  $$("keys").replaceChildren(...[...keys, "0", "next"].map((key) => {
    const button = make("button", { type: "button", textContent: words[key] ?? key, onclick: () => press(key) });
    if (key in words) button.className = "word";
    if (key === "next") button.id = "next";
    if (key === "'") Object.assign(button, { id: "feet", title: "feet, then inches" });
    if (key === "0" || key === "next") button.style.gridColumn = "span 2";
    if (key === "." && !hasFeet) button.style.gridRow = "span 2";
    return button;
  }));
}

function save() {
  if (!isCurrent()) return;
  const { entry, editing } = state;
  for (const id of ["out", "ticket", "returned"]) entry[id] = $$(id).value.trim();
  const entries = state.entries.filter((_, at) => at !== editing);
  const isMoved = editing === null || state.entries[editing].out !== entry.out;
  const timed = entry.out || editing !== null ? entry : { ...entry, out: now() };
  const at = isMoved ? findPlace(entries, timed) : editing;
  entries.splice(at, 0, timed);
  const isTyped = isMoved && entry.out;
  const fault = findFault(entry) || findTwin(entry, state.entries, editing) || (isTyped && askTime(entries, at));
  if (fault) {
    tellFault(fault);
    return;
  }
  $$("more").open = false;
  change(entries);
  scrollTo({ top: 0 });
  if (at < (editing ?? entries.length - 1)) tellFault(`By its time that is ${isCall(entry) ? "a call" : `load ${numberOf(at)}`}, before what was out later.`);
}

$$("save").onclick = save;
$$("leave").onclick = () => { begin(); showEntry(); };
$$("drop").onclick = () => isCurrent() && change(state.entries.filter((_, at) => at !== state.editing));
$$("call").onclick = typeCall;
$$("undo").onclick = () => {
  if (!isCurrent()) return;
  state.entries = state.earlier.pop() ?? state.entries;
  keep();
  begin();
  show();
};
$$("clear").onclick = () => {
  if (!isCurrent()) return;
  change([]);
  tellFile("All loads are taken off. Undo brings them back.");
};
$$("download").onclick = download;
$$("copy").onclick = copy;
$$("share").onclick = share;
$$("share").hidden = !(navigator.canShare?.({ files: [new File([""], "a.csv", { type: "text/csv" })] }) ?? false);
$$("read").onchange = read;
$$("out").oninput = () => { state.entry.out = $$("out").value; $$("out-said").textContent = $$("out").value || "now"; };
for (const id of ["ticket", "returned"]) $$(id).oninput = () => { state.entry[id] = $$(id).value; };

makeKeys();
begin();
recall();
recallTyped();
$$("app").hidden = false;
show();
