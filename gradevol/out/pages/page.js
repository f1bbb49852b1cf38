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
  $("fine").textContent = read && !plan.metric ? sayLevel(read.thickness) : "";
  setWords($("move"), read ? sayMove(read.cut) : "");
  setWords($("where"), read ? sayWhere(read.taped) : "Touch within the slab's edge.");
  const flags = [];
  const more = [];
  if (read) {
    if (read.thickness < 0) flags.push("The base stands above the top.");
    else if (read.isThin) flags.push(`Thinner than ${sayThickness(plan.least)}.`);
    if (read.isBeyond) flags.push("Beyond the shots: nobody shot here, it is assumed.");
    if (read.isTrench) flags.push("In a thickening that was shot.");
    const inside = read.spots.filter((one) => one.rank !== state.spot).map((one) => one.rank);
    if (inside.length) more.push(["In the list", `place ${inside.join(", ")}`]);
    for (const part of read.thickenings.filter((one) => one.surveyed !== "yes")) {
      more.push(["Besides", `${part.name}, up to ${sayThickness(part.depth)} below`]);
    }
    more.push(["Design base", sayLevel(read.designBase + plan.origin[2])]);
    more.push(["Base here", sayLevel(read.base + plan.origin[2])]);
    more.push(...sayRod(read));
    if (read.shot) {
      const mark = `${sayMove(read.shot.move).toLowerCase()}${read.shot.suspect ? ", suspect" : ""}`;
      const away = sayTape(read.shot.away) === sayTape(0) ? "here" : `${sayTape(read.shot.away)} away`;
      more.push(["Nearest shot", `${read.shot.name}, ${away}: ${mark}`]);
    }
    const [e, n] = [state.at[0] + plan.origin[0], state.at[1] + plan.origin[1]];
    more.push(["E, N", `${sayLevel(e).split(" ")[0]}, ${sayLevel(n)}`]);
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
function sayRod(read) {
  const text = $("height").value.trim().replace(",", ".");
  const height = /^[-+]?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) * plan.metres : NaN;
  const base = Math.max(read.base, read.designBase) + plan.origin[2];
  let wrong = "";
  if (text && Number.isNaN(height)) wrong = `Write a number in ${plan.unit}, such as ${sayLevel(base + 1.5).split(" ")[0]}.`;
  else if (height < base) wrong = "The base stands above that height.";
  $("wrong").textContent = wrong;
  $("height").setAttribute("aria-invalid", String(Boolean(wrong)));
  if (!text || wrong) return [];
  return [
    ["Rod on design base", sayLevel(height - read.designBase - plan.origin[2])],
    ["Rod here", sayLevel(height - read.base - plan.origin[2])],
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
  const badge = event.type === "pointerdown" && event.target.closest("[data-spot]");
  if (badge) {
    showSpot(Number(badge.dataset.spot));
    return;
  }
  const next = event.type === "pointerdown" && event.target.closest("[data-next]");
  if (next) {
    showNext(next.dataset.next);
    return;
  }
  let place = toGround(x, y);
  if (!readField(...place)) {
    const near = nearestOnBorder(...place);
    if (near.away * view.scale < 18) place = near.place;
  }
  moveTo(...place);
}

function showSpot(rank) {
  const spot = plan.spots.find((one) => one.rank === rank);
  if (spot) moveTo(...spot.at, { spot: rank });
}

function showNext(name) {
  const shot = plan.next.find((one) => one.name === name);
  if (shot) moveTo(...shot.at, { about: `${name}: shoot here` });
}

function bringPlan() {
  const frame = map.getBoundingClientRect();
  if (frame.top < 0 || frame.bottom > window.innerHeight) $("plan").scrollIntoView({ block: "start" });
}

function key(event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (way && !event.altKey && !event.ctrlKey && !event.metaKey) {
    const step = plan.step * (event.shiftKey ? 10 : 1);
    const bound = (value, low, high) => Math.min(high, Math.max(low, value));
    event.preventDefault();
    moveTo(
      bound(state.at[0] + way[0] * step, box.west, box.east),
      bound(state.at[1] + way[1] * step, box.south, box.north),
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
  drawKey();
}

function setMode(mode) {
  state.mode = mode;
  for (const button of document.querySelectorAll("[data-mode]")) {
    button.setAttribute("aria-pressed", String(button.dataset.mode === mode));
  }
  draw();
  drawLegend();
}

for (const hidden of document.querySelectorAll(".tools, .board, .copy, #theme")) hidden.hidden = false;
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
$("unit").textContent = plan.unit;
$("height").addEventListener("input", tell);
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.mode) setMode(button.dataset.mode);
  else if (button.dataset.zoom) enlarge(button.dataset.zoom === "in" ? 2 : 0.5);
  else if (button.dataset.spot) {
    showSpot(Number(button.dataset.spot));
    bringPlan();
  } else if (button.dataset.next) {
    showNext(button.dataset.next);
    bringPlan();
  } else if (button.dataset.at) {
    moveTo(...button.dataset.at.split(" ").map(Number), { about: button.dataset.about || "Here" });
    bringPlan();
  } else if (button.classList.contains("copy")) copy(button);
  else if (button.id === "theme") {
    document.documentElement.dataset.theme = isDark() ? "light" : "dark";
    nameTheme();
  }
});
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", nameTheme);
let wait = 0;
window.addEventListener("resize", () => {
  cancelAnimationFrame(wait);
  wait = requestAnimationFrame(draw);
});

nameTheme();
state.at = plan.start;
state.about = "Where it is thinnest";
draw();
drawLegend();
tell();
