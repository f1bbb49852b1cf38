// The work as it is done: lines ticked off, and the base read again beside them. What is typed
// stays in this browser.
const FAR = 0.3; // m: a base that was moved farther than this was misread
const SAME = 0.01; // m: within this a place is the shot's own
const NAMES = { rod: "Rod reading", elevation: "Elevation", depth: "Depth below the top" };

// Where the base is read again. A place at a shot goes by the shot, wherever it is asked for.
const shotPlace = (at) => [shots.places[2 * at], shots.places[2 * at + 1]];

function shotNear([east, north], reach) {
  const near = shots && nearestShot(east, north);
  return near && near.away < reach ? near.at : null;
}

function targetOfShot(at) {
  return { key: `shot ${shots.names[at]}`, name: `${shots.names[at]}R`, label: `at shot ${shots.names[at]}`, at: shotPlace(at), shot: at };
}

function targetOf(spot) {
  const shot = shotNear(spot.at, SAME);
  const own = { key: `place ${spot.rank}`, name: `FIX${spot.rank}R`, at: spot.at };
  return { ...(shot === null ? own : targetOfShot(shot)), label: `at the worst of place ${spot.rank}` };
}

// The border of a place runs through the outermost shots: those are in it.
const isIn = ({ rings }, at) => isWithin(rings, ...at) || (nearestOnBorder(...at, rings)?.away ?? Infinity) < SAME;
const within = new Map(); // by rank
function shotsWithin(spot) {
  const found = within.get(spot.rank) || (shots ? shots.names.map((_, at) => at).filter((at) => isIn(spot, shotPlace(at))) : []);
  within.set(spot.rank, found);
  return found;
}

const targets = new Map();
let fields = 0;

// How the base stands where it is read again, and how it is designed: at a shot by the shot, which
// may be on the bottom of a thickening.
function findBase({ at, shot }) {
  const read = readPlace(...at);
  if (!read) return null;
  const top = read.base + read.thickness;
  if (shot === undefined) return { top, base: read.base, design: read.designBase, isTrench: read.isTrench };
  return { top, base: shots.levels[shot], design: shots.levels[shot] - shots.moves[shot] };
}

// What is read where the base is as designed: what to shave or fill to.
function sayAim({ top, design }) {
  const level = design + plan.foot + plan.origin[2];
  if (kept.kind === "depth") return `On design base: ${sayThickness(top - design)}`;
  if (kept.kind === "elevation") return `Design base: ${sayLevel(level)}`;
  const height = readLength(kept.height);
  return Number.isNaN(height) || height < level ? "" : `Rod on design base: ${sayRod(height - level)}`;
}

// What a reading says of the base: its elevation under the rod's foot, or what is wrong with it.
function understand({ found }, text) {
  const length = readLength(text);
  if (!text.trim()) return { aim: found && !found.isTrench ? sayAim(found) : "" };
  if (!found) return { wrong: "Off the slab." };
  if (found.isTrench) return { wrong: "In a thickening that was shot: read it at one of its shots." };
  if (Number.isNaN(length)) return { wrong: `Write it as ${showExample(found)}.` };
  let foot = length - plan.origin[2];
  if (kept.kind === "depth") foot = found.top - length;
  else if (kept.kind === "rod") {
    const height = readLength(kept.height);
    if (Number.isNaN(height)) return { wrong: "Give the instrument height first." };
    foot = height - length - plan.origin[2];
  }
  const off = foot - found.base - plan.foot;
  if (Math.abs(off) > FAR) {
    return { wrong: `${sayRod(Math.abs(off))} ${off > 0 ? "above" : "below"} the base as shot: look again. Not in the file.` };
  }
  const cut = foot - plan.foot - found.design;
  const thickness = plan.design - cut;
  const isThin = isTooThin(thickness);
  return { foot, isThin, words: `${sayRod(length)}: ${sayThickness(thickness, true)} thick. ${sayMove(cut)}.${isThin ? ` Thinner than ${sayThickness(plan.least)}.` : ""}` };
}

function showExample({ top, base }) {
  const height = readLength(kept.height);
  const foot = base + plan.foot + plan.origin[2];
  const length = { rod: height > foot ? height - foot : 1.7, elevation: foot, depth: top - base }[kept.kind];
  if (plan.metric) return showLength(length);
  return `${book(length)} or ${sayFeetInches(length)}`;
}

// The field of one place, and below it what it says.
function askReading(target, label = ["New reading", make("span", { className: "unseen" }, ` ${target.label}`)]) {
  targets.set(target.key, { ...target, found: findBase(target) }); // once: nothing that is typed moves it
  const said = make("p", { className: "says", id: `says-${(fields += 1)}` });
  const input = make("input", { className: "read", autocomplete: "off", spellcheck: false, enterKeyHint: "done" });
  input.dataset.key = target.key;
  input.setAttribute("aria-describedby", said.id);
  return make("div", { className: "entry" }, make("label", {}, ...label, input), said);
}

function askDone(spot) {
  const input = make("input", { type: "checkbox" });
  input.dataset.rank = spot.rank;
  return make("label", { className: "tick" }, input, make("span", {}, "Done"));
}

function putFields() {
  const takes = plan.reading !== "" && shots !== null;
  for (const spot of plan.spots) {
    const cell = document.querySelector(`#spot-${spot.rank} td:last-child`);
    if (!cell) continue;
    const box = make("div", { className: "work-entry" }, askDone(spot));
    cell.append(box);
    if (!takes || spot.kind === "cover") continue;
    const target = targetOf(spot);
    box.append(askReading(target));
    const others = shotsWithin(spot).map(targetOfShot).filter(({ key }) => key !== target.key);
    if (others.length) {
      const names = `${others.length} more ${others.length === 1 ? "shot" : "shots"} in it`;
      const asked = others.map((one) => askReading(one, [`New reading ${one.label}`]));
      box.append(make("details", { className: "others" }, make("summary", {}, names), ...asked));
    }
  }
  if (!takes) return;
  for (const button of document.querySelectorAll("#suspects button[data-suspect]")) {
    const at = shots.names.indexOf(button.dataset.suspect);
    if (at >= 0) button.closest("tr").lastElementChild.append(askReading(targetOfShot(at)));
  }
  for (const one of kept.here) putHere(one);
  $("read-here").hidden = false;
}

// A reading at any place that was touched.
function putHere(target) {
  $("elsewhere").append(askReading(target, [make("span", {})]));
  nameHere();
}

function nameHere() {
  for (const input of $("elsewhere").querySelectorAll("input")) {
    input.closest("label").firstChild.textContent = `New reading ${sayWhere(tape(...targets.get(input.dataset.key).at))}`;
  }
}

function readHere() {
  if (!readPlace(...state.at)) return;
  const isSame = ({ at }) => Math.hypot(at[0] - state.at[0], at[1] - state.at[1]) < SAME;
  catchUp();
  let target = [...targets.values()].find(isSame);
  if (!target) {
    const shot = shotNear(state.at, SAME);
    const used = kept.here.filter((one) => one.shot === undefined).map(({ name }) => Number(name.slice(4)));
    const name = `HERE${Math.max(0, ...used) + 1}`;
    target = shot === null ? { key: name, name, at: [...state.at] } : targetOfShot(shot);
    kept.here.push(target);
    keep();
    putHere(target);
    tellReadings();
  }
  const field = [...document.querySelectorAll("input.read")].find((input) => input.dataset.key === target.key);
  unfold([field.closest("details"), field.closest("tr")?.querySelector(".row")].filter(Boolean));
  field.scrollIntoView({ block: "center" });
  field.focus();
}

function nameShots(held) {
  const more = held.length > 12 ? ` and ${held.length - 12} more` : "";
  return held.slice(0, 12).map((at) => shots.names[at]).join(", ") + more;
}

// What is done and read, in words; and what the file will do.
function tellReadings() {
  for (const input of document.querySelectorAll("input.read")) {
    const told = understand(targets.get(input.dataset.key), kept.read[input.dataset.key] || "");
    const said = document.getElementById(input.getAttribute("aria-describedby"));
    setWords(said, told.wrong || told.words || told.aim);
    said.classList.toggle("flags", Boolean(told.wrong || told.isThin));
    input.setAttribute("aria-invalid", String(Boolean(told.wrong)));
    if (document.activeElement !== input) input.value = kept.read[input.dataset.key] || "";
    input.inputMode = isInInches() ? "text" : "decimal";
  }
  for (const tick of document.querySelectorAll(".tick input")) {
    tick.checked = isDone({ rank: tick.dataset.rank });
    tick.closest("tr").classList.toggle("done", tick.checked);
  }
  const { found, wrong } = listReadings();
  const count = (number, what) => `${number} ${what}${number === 1 ? "" : "s"}`;
  const told = [];
  const asked = plan.spots.filter((spot) => !spot.left);
  if (asked.length) told.push(`${asked.filter(isDone).length} of ${count(asked.length, "place")} done.`);
  if (targets.size) told.push(`${count(found.length, "reading")}${wrong ? `, ${wrong} more to look at` : ""}.`);
  if (found.length) {
    const { replaced } = findReplaced(found);
    told.push(`In the place of ${replaced.length === 1 ? "shot" : "shots"} ${nameShots(replaced)}.`);
    const left = plan.spots.filter(isDone).flatMap((spot) => shotsWithin(spot).filter((at) => !replaced.includes(at)));
    if (left.length) told.push(`Done but not read again, and so counted as they were: ${nameShots([...new Set(left)])}.`);
  }
  if (!isKept) told.push("This browser keeps nothing, or has no room: send the file before you close the page.");
  setWords($("tally"), told.join(" "));
  $("send").hidden = !found.length;
  if (found.length) {
    $("paste").textContent = sayKey(found);
    $("rechecked").dataset.copy = composeFile(found);
  }
}

function startRechecks() {
  recall();
  putFields();
  followTabs();
  const takes = targets.size > 0 || !$("read-here").hidden;
  $("rod").hidden = !takes && plan.reading !== "rod";
  $("kind").closest("label").hidden = !takes;
  for (const [value, name] of Object.entries(NAMES)) $("kind").append(new Option(name, value));
  $("kind").value = kept.kind || "rod";
  $("rechecks").hidden = !plan.spots.length && !takes;
  for (const input of document.querySelectorAll(".height")) input.value = kept.height;
  const file = takes && navigator.canShare && new File(["-"], fileName, { type: "text/csv" });
  $("share").hidden = !(file && navigator.canShare({ files: [file] }));
  document.addEventListener("input", ({ target }) => {
    if (!target.matches("input.read, .tick input, .height, #kind")) return;
    const { value, checked } = target;
    catchUp();
    if (target.matches(".tick input")) target.checked = checked;
    else target.value = value;
    if (target.matches("input.read")) kept.read[target.dataset.key] = target.value;
    else if (target.matches(".tick input")) kept.done[target.dataset.rank] = target.checked;
    else if (target.matches(".height")) {
      kept.height = target.value;
      for (const other of document.querySelectorAll(".height")) if (other !== target) other.value = target.value;
      tell();
    } else kept.kind = target.value;
    keep();
    tellReadings();
    showHeight();
  });
  showHeight();
  tellReadings();
}

function showHeight() {
  $("rod").querySelector(".sight").hidden = kept.kind !== "rod";
}

// Twice, for what is gone can't be had back.
function askToClear(button) {
  const isSure = button.textContent !== "Clear";
  if (isSure) clearReadings();
  button.textContent = isSure ? "Clear" : "Touch again to clear all";
}

function clearReadings() {
  Object.assign(kept, { done: {}, read: {}, here: [] });
  for (const one of $("elsewhere").querySelectorAll("input")) targets.delete(one.dataset.key);
  $("elsewhere").replaceChildren();
  keep();
  tellReadings();
}
