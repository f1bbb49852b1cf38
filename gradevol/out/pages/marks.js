// The marks on the plan: shots with what they need, next shots, numbers of the list, the place
// touched.

// Where to shoot next: a hollow triangle, as on the sheet.
const trianglePath = (x, y) => `M${x} ${y - 6}l6 10.5h-12z`;
// Where a place of the list is worst: a cross, as on the sheet.
const crossPath = (x, y) => `M${x - 3.5} ${y - 3.5}l7 7m0 -7l-7 7`;
function drawNext() {
  for (const one of plan.next) {
    const [x, y] = [toX(one.at[0]), toY(one.at[1])];
    if (x < 0 || y < 0 || x > view.width || y > view.height) continue;
    const group = add("g", { "data-next": one.name, style: "cursor:pointer" });
    add("circle", { cx: x, cy: y, r: 10, fill: "transparent" }, group); // as wide as a finger needs
    add("path", { d: trianglePath(x, y), fill: "#fff", stroke: "#fff", "stroke-width": 4, "stroke-linejoin": "round" }, group);
    add("path", { d: trianglePath(x, y), fill: "#fff", stroke: INK, "stroke-width": 1.5, "stroke-linejoin": "round" }, group);
    take(x, y, 12, 12, { isFirm: true });
  }
}

// Their names, where all else has left room.
function nameNext() {
  if (state.at && state.mode === "shots") take(toX(state.at[0]), toY(state.at[1]), 2 * RING, 2 * RING);
  state.unnamedNext = 0;
  for (const { at, name } of plan.next) {
    const wide = measure(name, "600 10px") + 3;
    const [x, y] = [toX(at[0]), toY(at[1])];
    if (x < 0 || y < 0 || x > view.width || y > view.height) continue;
    // beside it, or at the end of a line that leads to it
    const rooms = [8, 20, 34, 50].map((off) => ({ off, ...findRoom({ x, y, off, isLed: off > 8 }, wide, 13) }));
    const room = rooms.find((one) => one.wide);
    if (!room) {
      state.unnamedNext += 1;
      continue;
    }
    take(room.x, room.y, wide, 13);
    if (room.off > 8) cased(`M${x} ${y}L${nearestOf([x, y], [room.x, room.y], wide, 12)}`, { stroke: INK, "stroke-width": 1 }, 2);
    add("text", { ...HALO, x: room.x, y: room.y, fill: INK, "font-size": 10, "data-name": name }, sheet, name);
  }
}

function drawShots() {
  if (!shots) return;
  const spacing = Math.sqrt((ground.width * ground.height) / shots.names.length) * view.scale;
  const isListed = state.mode === "shots";
  if (!isListed && spacing < 7) return;
  const size = Math.max(1.25, Math.min(isListed ? 3.5 : 2.5, spacing / 6));
  shots.names.forEach((name, at) => {
    const [x, y] = [toX(shots.places[2 * at]), toY(shots.places[2 * at + 1])];
    if (x < 0 || y < 0 || x > view.width || y > view.height) return;
    add("circle", { cx: x, cy: y, r: size, fill: INK, stroke: "#fff", "stroke-width": size > 1.5 ? 1 : 0 });
    if (shots.suspects[at]) {
      add("circle", { cx: x, cy: y, r: 9, fill: "none", stroke: "#fff", "stroke-width": 4 });
      add("circle", { cx: x, cy: y, r: 9, fill: "none", stroke: INK, "stroke-width": 2 });
    }
    if (isListed) take(x, y, 2 * size, 2 * size, { isDot: true });
  });
  if (isListed) labelShots();
}

const ruler = document.createElement("canvas").getContext("2d");
const family = getComputedStyle(document.body).fontFamily;
function measure(text, font) {
  ruler.font = `${font} ${family}`;
  return ruler.measureText(text).width;
}

const HALO = { "text-anchor": "middle", "dominant-baseline": "central", "paint-order": "stroke", stroke: "#f6f4ee", "stroke-width": 5, "stroke-linejoin": "round" };

// The shots on the sheet with their words: what most must be seen comes first.
function listMarks() {
  const marks = shots.names.map((name, at) => {
    const mark = sayMark(shots.moves[at]) + (shots.suspects[at] ? "?" : "");
    const [x, y] = [toX(shots.places[2 * at]), toY(shots.places[2 * at + 1])];
    return { at, name, mark, x, y, isSuspect: shots.suspects[at], off: shots.suspects[at] ? 12 : 5, size: Math.abs(shots.moves[at]) };
  });
  const seen = marks.filter(({ x, y }) => x >= 0 && y >= 0 && x <= view.width && y <= view.height);
  for (const one of seen) {
    one.narrow = measure(one.mark, "600 12px") + 3;
    one.wide = Math.max(one.narrow, measure(one.name, "400 10px") + 3);
  }
  return seen.sort((a, b) => Number(b.isSuspect) - Number(a.isSuspect) || b.size - a.size);
}

// Where the box of words is nearest to what they are about.
const nearestOf = ([x, y], [a, b], wide, high) => [hold(x, a - wide / 2, a + wide / 2), hold(y, b - high / 2, b + high / 2)];

// Room beside a shot for its words, over two lines or one: on the slab, if there is any.
function findRoom({ x, y, off, isLed = false, isOverDots = false }, wide, high) {
  const [beside, above] = [off + wide / 2, off + high / 2 + 0.5];
  const places = [[0, above], [0, -above], [beside, 0], [-beside, 0]];
  for (const share of [0.85, 0.45]) {
    for (const [right, down] of [[1, 1], [-1, 1], [1, -1], [-1, -1]]) places.push([right * share * beside, down * above]);
  }
  for (const down of [0.5, -0.5]) places.push([beside, down * above], [-beside, down * above]);
  const isOn = ([a, b]) => isWithin(plan.outline, ...toGround(x + a, y + b));
  const free = places.filter(
    ([a, b]) =>
      isInView(x + a, y + b, wide, high) && isFree(x + a, y + b, wide, high, { isOverDots })
      && (!isLed || isLineClear(x, y, ...nearestOf([x, y], [x + a, y + b], wide, high))),
  );
  const found = free.find(isOn) || free[0];
  return found && { x: x + found[0], y: y + found[1], wide, high, isOn: isOn(found) };
}

// Where the words of marks go, in this order. Those that find no room go first at the next try.
function placeMarks(marks) {
  const before = taken;
  let best = null;
  for (let tries = marks.length > 400 ? 5 : 0; tries < 6; tries += 1) {
    taken = new Map(before);
    const left = [];
    const placed = [];
    for (const one of marks) {
      const both = findRoom(one, one.wide, 25);
      // number and mark on the slab, or else the mark alone, on it if it can be; one that is off grade rather over dots
      // of other shots than nowhere
      const alone = both?.isOn || findRoom(one, one.narrow, 14);
      const room = both?.isOn ? both : alone || both || (one.mark !== "G" && findRoom({ ...one, isOverDots: true }, one.narrow, 14));
      if (room) {
        take(room.x, room.y, room.wide, room.high);
        placed.push([one, room]);
      } else left.push(one);
    }
    if (!best || left.length < best.left.length) best = { placed, left, taken };
    if (!left.length) break;
    marks = [...left, ...marks.filter((one) => !left.includes(one))];
  }
  taken = best.taken;
  return best;
}

function labelShots() {
  const { placed, left } = placeMarks(listMarks());
  state.unlabelled = left.length;
  state.unnumbered = placed.some(([, { high }]) => high < 25);
  for (const [one, { x, y, high }] of placed) {
    const isBoth = high > 14;
    if (isBoth) add("text", { ...HALO, x, y: y - 6, fill: INK, "font-weight": 400, "font-size": 10 }, sheet, one.name);
    add("text", { ...HALO, x, y: isBoth ? y + 6 : y, fill: one.isSuspect ? ALERT : INK, "font-size": 12, "data-shot": one.name }, sheet, one.mark);
  }
}

// Numbers of the list stand outside what they mark. They are placed for plans of some scales: the
// largest of these that is no larger than this plan's serves.
function numbersOf(spots) {
  const fit = Math.max(0, plan.scales.filter((scale) => scale <= view.scale * 1.001).length - 1);
  // those beside the slab stay within the plan, whatever its scale
  const within = ([e, n]) => toGround(hold(toX(e), 12, view.width - 12), hold(toY(n), 12, view.height - 30));
  return spots.map((spot) => ({ ...spot, middle: spot.badges[fit] && (state.zoom > 1 ? spot.badges[fit] : within(spot.badges[fit])) }));
}

function drawBadges() {
  const numbers = numbersOf(plan.spots);
  state.unnumberedRows = numbers.filter(({ middle }) => !middle).length;
  for (const { at, middle } of numbers) {
    const [x, y] = [toX(at[0]), toY(at[1])];
    cased(crossPath(x, y), { stroke: INK, "stroke-width": 2 }, 2);
    if (middle) cased(`M${x} ${y}L${toX(middle[0])} ${toY(middle[1])}`, { stroke: INK, "stroke-width": 1.25 }, 2);
  }
  for (const { middle, rank, must } of numbers) {
    if (!middle) continue;
    const [a, b] = [toX(middle[0]), toY(middle[1])];
    const group = add("g", { "data-spot": rank, style: "cursor:pointer" });
    add("circle", { cx: a, cy: b, r: 10, fill: must ? ALERT : "#fff", stroke: must ? "#fff" : INK, "stroke-width": 1.5 }, group);
    add("text", { x: a, y: b + 0.5, "text-anchor": "middle", "dominant-baseline": "central", fill: must ? "#fff" : INK, "font-size": 11 }, group, `${rank}`);
  }
}

// Room that the place, the scale and the arrow take, before words are placed.
const RING = 20;
function keepForFrame() {
  if (state.at && state.mode !== "shots") take(toX(state.at[0]), toY(state.at[1]), 2 * RING, 2 * RING, { isFirm: true });
  const scale = scaleBar();
  const [wide, left] = state.zoom > 1 || !scale ? [view.width, 0] : [scale.wide + 40 + measure(scale.text, "600 11px"), scale.x - 10];
  take(left + wide / 2, view.height - 14, wide, 26, { isFirm: true });
  take(view.width - MARGIN.right - 8, view.height - 20, 36, 24, { isFirm: true });
}

// Room that the numbers take, before words are placed.
function keepForBadges() {
  for (const { middle } of numbersOf(plan.spots)) if (middle) take(toX(middle[0]), toY(middle[1]), 22, 22, { isFirm: true });
}

// Where the words of a tape stand: on it, beside it, or past its end; off what stands there, or where there is no such
// room off the ring about the place, off numbers, sides and the words of the other tape. There is none for some.
function findTapeRoom([x, y], [u, v], wide) {
  const long = Math.hypot(u - x, v - y);
  const [across, down] = [(u - x) / long, (v - y) / long];
  const reach = (Math.abs(down) * wide) / 2 + Math.abs(across) * 9 + 5; // of the words, across the tape
  const bound = (a) => Math.min(view.width - wide / 2 - 1, Math.max(wide / 2 + 1, a));
  const places = [];
  for (const off of [0, reach, reach + 8, reach + 16, reach + 24, reach + 36]) {
    for (const side of [1, -1]) {
      for (const share of [0.5, 0.4, 0.6, 0.3, 0.7, 0.85]) {
        places.push([bound(x + share * (u - x) - side * off * down), y + share * (v - y) + side * off * across]);
      }
    }
  }
  const past = 1 + (Math.abs(across) * (wide / 2) + Math.abs(down) * 9 + 6) / long;
  for (const off of [0, 12, -12, 24, -24]) places.push([bound(x + past * (u - x) - off * down), y + past * (v - y) + off * across]);
  const inside = places.filter(([a, b]) => isInView(a, b, wide, 20));
  const clears = ([a, b]) => ([left, top, right, bottom]) => a + wide / 2 < left || a - wide / 2 > right || b + 9 < top || b - 9 > bottom;
  return inside.find(([a, b]) => isFree(a, b, wide, 18)) || inside.find((at) => firm.every(clears(at)));
}

function drawTapes() {
  state.tapes = [];
  if (!state.at) return;
  const [x, y] = [toX(state.at[0]), toY(state.at[1])];
  const read = readPlace(...state.at);
  for (const { away, foot } of read ? read.taped : []) {
    if (sayTape(away) === sayTape(0)) continue;
    const [u, v] = [toX(foot[0]), toY(foot[1])];
    state.tapes.push({ away, end: [u, v] });
    cased(`M${x} ${y}L${u} ${v}`, { stroke: INK, "stroke-width": 1.5, "stroke-dasharray": "1 4", "stroke-linecap": "round" }, 2.5);
    add("circle", { cx: u, cy: v, r: 3, fill: INK, stroke: "#fff", "stroke-width": 1 });
  }
}

function writeTapes() {
  for (const { away, end } of state.tapes) {
    const words = sayTape(away);
    const wide = measure(words, "600 11px") + 14;
    const room = findTapeRoom([toX(state.at[0]), toY(state.at[1])], end, wide);
    if (!room) continue; // the panel tells it
    const [a, b] = room;
    take(a, b, wide, 18, { isFirm: true });
    add("rect", { x: a - wide / 2, y: b - 9, width: wide, height: 18, rx: 9, fill: "#fff", stroke: INK, "stroke-width": 1 });
    add("text", { x: a, y: b + 0.5, "text-anchor": "middle", "dominant-baseline": "central", fill: INK }, sheet, words);
  }
}

// The ring about the place, with its arms.
function drawCursor() {
  if (!state.at) return;
  const [x, y] = [toX(state.at[0]), toY(state.at[1])];
  const ring = (r, stroke, width) => add("circle", { cx: x, cy: y, r, fill: "none", stroke, "stroke-width": width });
  ring(12, "#fff", 6);
  ring(12, INK, 2.5);
  add("path", { d: `M${x - 19} ${y}h10m18 0h10M${x} ${y - 19}v10m0 18v10`, stroke: "#fff", "stroke-width": 5 });
  add("path", { d: `M${x - 19} ${y}h10m18 0h10M${x} ${y - 19}v10m0 18v10`, stroke: INK, "stroke-width": 2 });
}
