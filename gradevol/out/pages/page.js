// The page: what is touched, keyed and pressed.

function setWords(element, text) {
  const safe = text.replace(/&/g, "&amp;").replace(/</g, "&lt;");
  element.innerHTML = safe
    .replace(/(\d) (?=(?:\d+(?:\/\d+)? )?(?:ft|in|mm|m)\b)/g, "$1\u00a0")
    .replace(/(side|corner) (?=\d)/g, "$1\u00a0")
    .replace(/ft (?=\d)/g, "ft\u00a0")
    .replace(/\d{1,2}\/\d{1,2}/g, '<span class="frac">$&</span>');
}

function tell() {
  const read = state.at && readPlace(...state.at);
  const spot = plan.spots.find((one) => one.rank === state.spot);
  let about = state.about || "Here";
  if (spot) about = `Place ${spot.rank} of the list, at its worst`;
  $("about").textContent = read ? about : "Off the slab";
  setWords($("thick"), read ? sayThickness(read.thickness, true) : "no concrete");
  $("fine").textContent = read && !plan.metric && !notation ? sayLevel(read.thickness) : "";
  setWords($("move"), read ? sayMove(read.cut) : "");
  setWords($("where"), read ? sayWhere(read.taped) : "Touch within the slab's edge.");
  const flags = [];
  const more = [];
  if (read) {
    if (read.thickness < 0) flags.push("The base stands above the top.");
    else if (read.isThin) flags.push(`Thinner than ${sayThickness(plan.least)}.`);
    if (read.isBeyond) flags.push("Nobody measured here: the base is assumed.");
    if (read.isTrench) flags.push("In a thickening that was shot.");
    const inside = read.spots.filter((one) => one.rank !== state.spot).map((one) => one.rank);
    if (inside.length) more.push(["Fix list", `row ${inside.join(", ")}`]);
    for (const part of read.thickenings.filter((one) => one.surveyed !== "yes")) {
      more.push(["Besides", `${part.name}, up to ${sayThickness(part.depth)} below`]);
    }
    more.push(["Design base", sayLevel(read.designBase + plan.origin[2])]);
    more.push(["Base here", sayLevel(read.base + plan.origin[2])]);
    more.push(...tellRod(read));
    if (read.shot) {
      const mark = `${sayMove(read.shot.move).toLowerCase()}${read.shot.suspect ? ", suspect" : ""}`;
      const away = sayTape(read.shot.away) === sayTape(0) ? "here" : `${sayTape(read.shot.away)} away`;
      more.push(["Nearest shot", `${read.shot.name}, ${away}: ${mark}`]);
    }
    const [e, n] = [state.at[0] + plan.origin[0], state.at[1] + plan.origin[1]];
    more.push(["E, N", `${book(e)}, ${book(n)} ${plan.unit}`]);
  }
  setWords($("flags"), flags.join(" "));
  $("more").replaceChildren(
    ...more.flatMap(([name, fact]) => {
      const [dt, dd] = [document.createElement("dt"), document.createElement("dd")];
      dt.textContent = name;
      setWords(dd, fact);
      return [dt, dd];
    }),
  );
  const told = read
    ? `${sayThickness(read.thickness, true)} thick. ${sayMove(read.cut)}. ${sayWhere(read.taped)}. ${flags.join(" ")}`.trim()
    : "Off the slab.";
  $("said").textContent = told;
  $("told").dataset.copy = told;
  for (const row of document.querySelectorAll("tr.on")) row.classList.remove("on");
  if (spot) document.getElementById(`spot-${spot.rank}`)?.classList.add("on");
}

// What a rod reads here and on the design base, once the height of the instrument is known.
function tellRod(read) {
  const text = $("height").value.trim();
  const height = readLength(text);
  const foot = plan.foot + plan.origin[2];
  const base = Math.max(read.base, read.designBase) + foot;
  let wrong = "";
  if (text && Number.isNaN(height)) wrong = `Write it in ${plan.unit}, such as ${showLength(base + 1.5)}.`;
  else if (height < base) wrong = "The base stands above that height.";
  $("wrong").textContent = wrong;
  $("height").setAttribute("aria-invalid", String(Boolean(wrong)));
  if (!text || wrong) return [];
  return [
    ["Rod on design base", sayRod(height - read.designBase - foot)],
    ["Rod here", sayRod(height - read.base - foot)],
  ];
}

function moveTo(east, north, { spot = null, about = "" } = {}) {
  state.at = [east, north];
  state.spot = spot;
  state.about = about;
  if (state.zoom > 1) {
    const [x, y] = [toX(east), toY(north)];
    if (x < 40 || y < 40 || x > view.width - 40 || y > view.height - 70) {
      state.middle = [east, north];
      draw();
    }
  }
  drawOver();
  tell();
}

function touch(event) {
  const frame = map.getBoundingClientRect();
  const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
  const mark = event.type === "pointerdown" && nearestMark(x, y, event.pointerType === "mouse" ? 11 : 22);
  if (mark?.dataset.spot) showSpot(Number(mark.dataset.spot));
  else if (mark) showNext(mark.dataset.next);
  if (mark) return;
  let place = toGround(x, y);
  if (!readField(...place)) {
    const near = nearestOnBorder(...place);
    if (near.away * view.scale < 18) place = near.place;
  }
  moveTo(...place);
}

// The number or the next shot that a finger means: the nearest that it reaches.
function nearestMark(x, y, reach) {
  const frame = map.getBoundingClientRect();
  let best = null;
  for (const mark of map.querySelectorAll("[data-spot], [data-next]")) {
    const at = mark.querySelector("circle").getBoundingClientRect();
    const away = Math.hypot((at.left + at.right) / 2 - frame.left - x, (at.top + at.bottom) / 2 - frame.top - y);
    if (away <= reach && (!best || away < best.away)) best = { mark, away };
  }
  return best?.mark;
}

function showSpot(rank) {
  const spot = plan.spots.find((one) => one.rank === rank);
  if (spot) moveTo(...spot.at, { spot: rank });
}

function showNext(name) {
  const shot = plan.next.find((one) => one.name === name);
  if (shot) moveTo(...shot.at, { about: `${name}: shoot here` });
}

// What a button of a list, or the row that it stands in, means on the plan.
function showPlaceOf({ dataset: { spot, next, at } }) {
  if (spot) showSpot(Number(spot));
  else if (next) showNext(next);
  else if (at) moveTo(...at.split(" ").map(Number));
}

function bringPlan() {
  const frame = map.getBoundingClientRect();
  if (frame.top < 0 || frame.bottom > window.innerHeight) $("plan").scrollIntoView({ block: "start" });
}

function key(event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (way && !event.altKey && !event.ctrlKey && !event.metaKey) {
    const step = plan.step * (event.shiftKey ? 10 : 1);
    event.preventDefault();
    moveTo(
      hold(state.at[0] + way[0] * step, box.west, box.east),
      hold(state.at[1] + way[1] * step, box.south, box.north),
    );
  } else if (event.key === "+" || event.key === "=") enlarge(2);
  else if (event.key === "-") enlarge(0.5);
}

function enlarge(factor) {
  state.zoom = Math.min(16, Math.max(1, state.zoom * factor));
  state.middle = [...state.at];
  for (const button of document.querySelectorAll("[data-zoom]")) {
    button.disabled = button.dataset.zoom === "out" ? state.zoom === 1 : state.zoom === 16;
  }
  draw();
}

function setMode(mode) {
  state.mode = mode;
  for (const button of document.querySelectorAll("[data-mode]")) {
    button.setAttribute("aria-pressed", String(button.dataset.mode === mode));
  }
  draw();
  drawLegend();
}

// All lengths on the page, but for coordinates, which instruments show in one way.
function setNotation(chosen) {
  notation = chosen in plan.written ? chosen : "";
  for (const line of document.querySelectorAll(".turns")) {
    line.dataset.sheet ??= line.innerHTML;
    line.innerHTML = line.dataset[notation || "sheet"] ?? line.dataset.sheet;
  }
  for (const button of document.querySelectorAll("[data-notation]")) {
    button.setAttribute("aria-pressed", String(button.dataset.notation === notation));
  }
  draw();
  drawLegend();
  tell();
  nameHere();
  tellReadings();
}

// What is folded up opens for who goes to it, for a desk and for paper; rows are folded for a phone.
const ROWS = ".row, .aside";
const folds = document.querySelectorAll(`.rest > section > details, ${ROWS}`);
const isDesk = matchMedia("(min-width: 60rem)");

function unfold(folded) {
  for (const fold of folded) fold.open = true;
}

function openFor(target) {
  if (target) unfold([target.closest("details"), ...target.querySelectorAll(":scope > details")].filter(Boolean));
}

function openTarget() {
  const target = document.querySelector(":target");
  openFor(target);
  target?.scrollIntoView();
}

document.documentElement.classList.add("scripted");
for (const hidden of document.querySelectorAll(".tools, .board, .copy, #theme, #keys")) hidden.hidden = false;
$("notation").hidden = plan.metric;
if (isTall) document.querySelector(".board").classList.add("tall");
if (!shots) document.querySelector('[data-mode="shots"]').remove();
document.querySelector('[data-zoom="out"]').disabled = true;

let held = false;
map.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  held = true;
  touch(event);
});
map.addEventListener("pointermove", (event) => held && touch(event));
for (const end of ["pointerup", "pointercancel", "pointerleave"]) map.addEventListener(end, () => (held = false));
map.addEventListener("keydown", key);
for (const unit of document.querySelectorAll(".in-unit")) unit.textContent = plan.unit;
document.addEventListener("click", (event) => {
  const link = event.target.closest("a");
  if (link) openFor(document.getElementById(link.hash.slice(1)));
  const row = event.target.closest(".row > summary")?.closest("tr");
  if (row) showPlaceOf(row.querySelector(".rank"));
  if (row && isDesk.matches) event.preventDefault(); // there rows stay open
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.mode) setMode(button.dataset.mode);
  else if (button.dataset.zoom) enlarge(button.dataset.zoom === "in" ? 2 : 0.5);
  else if (button.matches("[data-spot], [data-next], [data-at]")) {
    showPlaceOf(button);
    bringPlan();
  } else if (button.classList.contains("copy")) copy(button);
  else if ("notation" in button.dataset) {
    setNotation((kept.notation = button.dataset.notation));
    keep();
  }
  else if (button.id === "read-here") readHere();
  else if (button.id === "download") giveOut(toFile());
  else if (button.id === "share") share();
  else if (button.id === "clear") askToClear(button);
  else if (button.id === "theme") turnTheme();
});
let wait = 0;
window.addEventListener("resize", () => {
  cancelAnimationFrame(wait);
  wait = requestAnimationFrame(draw);
});

window.addEventListener("hashchange", openTarget);
window.addEventListener("beforeprint", () => unfold(folds));
if (isDesk.matches) unfold(folds);
else for (const fold of document.querySelectorAll(ROWS)) fold.open = false;
isDesk.addEventListener("change", () => isDesk.matches && unfold(folds));

startRechecks();
state.at = plan.start;
state.about = "Where it is thinnest";
setNotation(kept.notation);
openTarget();
