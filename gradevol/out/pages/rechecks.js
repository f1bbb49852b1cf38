// The work as it is done: lines ticked off, the base read again beside them, and the file of
// rechecks that comes of it. What is typed stays in this browser.
const FAR = 0.3; // m: a base that was moved farther than this was misread
const SAME = 0.01; // m: within this a place is the shot's own
const NAMES = { rod: "Rod reading", elevation: "Elevation", depth: "Depth below the top" };

// Another check of the same job has other places: what was typed on the one is not shown on the other.
const SHELF = (() => {
  let sum = 2166136261;
  for (const letter of document.getElementById("plan-data").textContent) {
    sum = Math.imul(sum ^ letter.charCodeAt(0), 16777619);
  }
  return `base check ${(sum >>> 0).toString(36)}`;
})();
const kept = { kind: plan.reading, height: "", done: {}, read: {}, here: [] };
let isKept = true;

function recall() {
  try {
    Object.assign(kept, JSON.parse(localStorage.getItem(SHELF) || "{}"));
  } catch {
    isKept = false; // refused, as in some private windows
  }
}

function keep() {
  try {
    localStorage.setItem(SHELF, JSON.stringify(kept));
  } catch {
    isKept = false;
  }
}

// Where the base is read again. A place at a shot goes by the shot, wherever it is asked for.
const shotPlace = (at) => [shots.places[2 * at], shots.places[2 * at + 1]];

function shotNear([east, north], reach) {
  const near = shots && nearestShot(east, north);
  return near && near.away < reach ? near.at : null;
}

function targetOfShot(at) {
  return { key: `shot ${shots.names[at]}`, name: `${shots.names[at]}R`, label: `at shot ${shots.names[at]}`, at: shotPlace(at) };
}

function targetOf(spot) {
  const shot = shotNear(spot.at, SAME);
  const own = { key: `place ${spot.rank}`, name: `FIX${spot.rank}R`, at: spot.at };
  return { ...(shot === null ? own : targetOfShot(shot)), label: `at the worst of place ${spot.rank}` };
}

const shotsWithin = (spot) => (shots ? shots.names.map((_, at) => at).filter((at) => isWithin(spot.rings, ...shotPlace(at))) : []);

const targets = new Map();
let fields = 0;

// What is read where the base is as designed: what to shave or fill to.
function sayAim(read) {
  const level = read.designBase + plan.foot + plan.origin[2];
  if (kept.kind === "depth") return `On design base: ${sayThickness(plan.design)}`;
  if (kept.kind === "elevation") return `Design base: ${sayLevel(level)}`;
  const height = readLength(kept.height);
  return Number.isNaN(height) || height < level ? "" : `Rod on design base: ${sayRod(height - level)}`;
}

// What a reading says of the base: its elevation under the rod's foot, or what is wrong with it.
function understand(target, text) {
  const length = readLength(text);
  const read = readPlace(...target.at);
  if (!text.trim()) return { aim: read ? sayAim(read) : "" };
  if (!read) return { wrong: "Off the slab." };
  const top = read.base + read.thickness;
  const old = read.base + plan.foot;
  if (Number.isNaN(length)) return { wrong: `Write it as ${showExample(read)}.` };
  let foot = length - plan.origin[2];
  if (kept.kind === "depth") foot = top - length;
  else if (kept.kind === "rod") {
    const height = readLength(kept.height);
    if (Number.isNaN(height)) return { wrong: "Give the instrument height first." };
    foot = height - length - plan.origin[2];
  }
  const off = foot - old;
  if (Math.abs(off) > FAR) {
    return { wrong: `${sayRod(Math.abs(off))} ${off > 0 ? "above" : "below"} the base as shot: look again. Not in the file.` };
  }
  const thickness = top - (foot - plan.foot);
  const move = sayMove(plan.design - thickness);
  const isThin = thickness < plan.least - 1e-6;
  return { foot, isThin, words: `${sayRod(length)}: ${sayThickness(thickness, true)} thick. ${move}.${isThin ? ` Thinner than ${sayThickness(plan.least)}.` : ""}` };
}

function showExample(read) {
  const height = readLength(kept.height);
  const base = read.base + plan.foot + plan.origin[2];
  const length = { rod: (height > base ? height : base + 1.7) - base, elevation: base, depth: read.thickness }[kept.kind];
  if (plan.metric) return showLength(length);
  const inches = Math.floor((length / INCH) * 8 + 0.5);
  const marked = `${Math.floor(inches / 96)}'-${fraction(inches % 96)}"`;
  return `${sayLevel(length).split(" ")[0]} or ${marked}`;
}

function make(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key in made && key !== "list") made[key] = value;
    else made.setAttribute(key, value);
  }
  made.append(...inside);
  return made;
}

// The field of one place, and below it what it says.
function askReading(target, label = ["New reading", make("span", { className: "unseen" }, ` ${target.label}`)]) {
  targets.set(target.key, target);
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
function putHere(one) {
  const where = sayWhere(tape(...one.at));
  $("elsewhere").append(askReading({ ...one, key: one.name, label: where }, [`New reading ${where}`]));
}

function readHere() {
  const read = readPlace(...state.at);
  if (!read) return;
  const at = shotNear(state.at, SAME);
  const key = at === null ? null : targetOfShot(at).key;
  let field = [...document.querySelectorAll("input.read")].find((one) => one.dataset.key === key);
  if (!field) {
    const used = kept.here.map(({ name }) => Number(name.slice(4)));
    const one = at === null ? { name: `HERE${Math.max(0, ...used) + 1}`, at: [...state.at] } : { name: targetOfShot(at).name, at: shotPlace(at) };
    if (!kept.here.some(({ name }) => name === one.name)) {
      kept.here.push(one);
      keep();
      putHere(one);
      tellReadings();
    }
    field = [...document.querySelectorAll("input.read")].find((input) => input.dataset.key === one.name);
  }
  field.closest("details")?.setAttribute("open", "");
  field.scrollIntoView({ block: "center" });
  field.focus();
}

// All readings that make sense, and how many do not.
function listReadings() {
  const found = [];
  let wrong = 0;
  for (const [key, target] of targets) {
    const told = understand(target, kept.read[key] || "");
    if (told.wrong) wrong += 1;
    else if (told.words) found.push({ ...target, ...told, typed: kept.read[key].trim() });
  }
  return { found, wrong };
}

const unitName = plan.unit;
const round3 = (metres) => unsigned((metres / plan.metres).toFixed(3));

// The radius about each reading that reaches the shots it replaces, and which those are.
function findReplaced(found) {
  const step = plan.metric ? 0.1 : 0.5 * plan.metres;
  const reach = Math.max(...found.map(({ at }) => nearestShot(...at).away));
  const radius = (Math.floor(reach / step + 1e-6) + 1) * step;
  const isNear = (shot) => found.some(({ at }) => Math.hypot(at[0] - shotPlace(shot)[0], at[1] - shotPlace(shot)[1]) <= radius);
  const replaced = shots.names.map((_, shot) => shot).filter(isNear);
  return { radius: `${Number((radius / plan.metres).toFixed(1))} ${unitName}`, replaced };
}

const slug = plan.title.toLowerCase().normalize("NFD").replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 40);
const fileName = `${slug ? `${slug}-` : ""}rechecks.csv`;

function sayKey(found) {
  return `rechecks = { shots = "${fileName}", units = "${unitName}", radius = "${findReplaced(found).radius}" }`;
}

const isDone = ({ rank }) => Boolean(kept.done[rank]);

// A cell as a spreadsheet and `check` read it; none begins as a formula would.
function cell(text) {
  const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\n]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
}

function composeFile() {
  const { found } = listReadings();
  const now = new Date();
  const two = (value) => `${value}`.padStart(2, "0");
  const day = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}:${two(now.getMinutes())}`;
  const lines = [
    `# Base read again: ${plan.title.replace(/\s+/g, " ")}, ${day}`,
    `# In the job, under [base]: ${sayKey(found)}`,
    `point,northing_${unitName},easting_${unitName},elevation_${unitName},description`,
  ];
  for (const { name, at, foot, typed } of found) {
    const how = { rod: `rod ${typed} from ${kept.height.trim()}`, elevation: `elevation ${typed}`, depth: `depth ${typed}` }[kept.kind];
    const done = plan.spots.filter((spot) => isDone(spot) && isWithin(spot.rings, ...at)).map(({ rank }) => `place ${rank} done`);
    const cells = [name, round3(at[1] + plan.origin[1]), round3(at[0] + plan.origin[0]), round3(foot + plan.origin[2]), [how, ...done].join("; ")];
    lines.push(cells.map(cell).join(","));
  }
  return `${lines.join("\n")}\n`;
}

const toFile = () => new File([composeFile()], fileName, { type: "text/csv" });

function download() {
  const link = make("a", { href: URL.createObjectURL(toFile()), download: fileName });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

async function share() {
  try {
    await navigator.share({ files: [toFile()], title: fileName });
  } catch (error) {
    if (error.name !== "AbortError") $("said").textContent = "Could not share: download it instead";
  }
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
    input.inputMode = inInches && !plan.metric ? "text" : "decimal";
  }
  for (const tick of document.querySelectorAll(".tick input")) {
    tick.checked = isDone({ rank: tick.dataset.rank });
    tick.closest("tr").classList.toggle("done", tick.checked);
  }
  const { found, wrong } = listReadings();
  const count = (number, what) => `${number} ${what}${number === 1 ? "" : "s"}`;
  const told = [];
  if (plan.spots.length) told.push(`${plan.spots.filter(isDone).length} of ${count(plan.spots.length, "place")} done.`);
  if (targets.size) told.push(`${count(found.length, "reading")}${wrong ? `, ${wrong} more to look at` : ""}.`);
  if (found.length) {
    const { replaced } = findReplaced(found);
    const names = replaced.map((at) => shots.names[at]);
    told.push(`In the place of ${names.length === 1 ? "shot" : "shots"} ${names.slice(0, 12).join(", ")}${names.length > 12 ? ` and ${names.length - 12} more` : ""}.`);
    const left = plan.spots.filter(isDone).flatMap((spot) => shotsWithin(spot).filter((at) => !replaced.includes(at)));
    const missing = [...new Set(left)].map((at) => shots.names[at]);
    if (missing.length) told.push(`Done but not read again, and so counted as they were: ${missing.slice(0, 12).join(", ")}${missing.length > 12 ? ` and ${missing.length - 12} more` : ""}.`);
  }
  if (!isKept) told.push("This browser keeps nothing: send the file before you close the page.");
  setWords($("tally"), told.join(" "));
  $("send").hidden = !found.length;
  if (found.length) {
    $("paste").textContent = sayKey(found);
    $("rechecked").dataset.copy = composeFile();
  }
}

function startRechecks() {
  recall();
  putFields();
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
    if (target.matches("input.read")) kept.read[target.dataset.key] = target.value;
    else if (target.matches(".tick input")) kept.done[target.dataset.rank] = target.checked;
    else if (target.matches(".height")) {
      kept.height = target.value;
      for (const other of document.querySelectorAll(".height")) if (other !== target) other.value = target.value;
      tell();
    } else if (target.id === "kind") kept.kind = target.value;
    else return;
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
