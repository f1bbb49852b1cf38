// The plan as drawn: colours on a canvas, lines and words over it.
const map = document.getElementById("map");
const canvas = map.querySelector("canvas");
const sheet = map.querySelector("svg");
const INK = "#1c1f24";
const ALERT = "#942604";
const MARGIN = { left: 30, right: 30, top: 30, bottom: 58 };

const box = (() => {
  const [easts, norths] = [plan.edge.map((p) => p[0]), plan.edge.map((p) => p[1])];
  return { west: Math.min(...easts), east: Math.max(...easts), south: Math.min(...norths), north: Math.max(...norths) };
})();
const ground = { width: box.east - box.west, height: box.north - box.south };
const isTall = ground.height > 1.1 * ground.width;

const state = { mode: "thickness", zoom: 1, middle: null, at: null, spot: null, about: "", unlabelled: 0, unnumbered: false, unnumberedRows: 0, unnamedNext: 0 };
let view = null; // { width, height, scale, west, north }: what of the ground is on the sheet

function layOut() {
  const wide = map.clientWidth;
  if (!wide) return;
  const room = window.innerWidth >= 960 ? window.innerHeight - (isTall ? 210 : 460) : window.innerHeight * 0.62;
  const across = wide - MARGIN.left - MARGIN.right;
  const most = Math.max(260, room) - MARGIN.top - MARGIN.bottom;
  const fit = Math.min(across / ground.width, most / ground.height);
  const height = Math.round(fit * ground.height) + MARGIN.top + MARGIN.bottom;
  map.style.height = `${height}px`;
  const scale = fit * state.zoom;
  let west = box.west - (MARGIN.left + (across - fit * ground.width) / 2) / fit;
  let north = box.north + MARGIN.top / fit;
  if (state.zoom > 1) {
    const [x, y] = state.middle;
    west = x - wide / 2 / scale;
    north = y + height / 2 / scale;
  }
  view = { width: wide, height, scale, west, north };
}

const toX = (east) => (east - view.west) * view.scale;
const toY = (north) => (view.north - north) * view.scale;
const toGround = (x, y) => [view.west + x / view.scale, view.north - y / view.scale];

// Thickness at the middle of each dot of the screen, and its marks.
function sampleField(columns, rows, dots) {
  const thickness = new Float32Array(columns * rows).fill(NaN);
  const marks = new Uint8Array(columns * rows);
  const scale = view.scale * dots;
  if (field.kind === "grid") {
    for (let row = 0; row < rows; row += 1) {
      const up = Math.floor((view.north - (row + 0.5) / scale - field.south) / field.cell);
      if (up < 0 || up >= field.rows) continue;
      for (let column = 0; column < columns; column += 1) {
        const along = Math.floor((view.west + (column + 0.5) / scale - field.west) / field.cell);
        if (along < 0 || along >= field.columns) continue;
        const from = up * field.columns + along;
        const value = field.thickness.grid[from];
        if (value === OUTSIDE) continue;
        thickness[row * columns + column] = field.thickness.least + field.thickness.unit * value;
        marks[row * columns + column] = field.marks[from];
      }
    }
    return { thickness, marks };
  }
  const { corners } = field;
  const [x, y, t] = [[0, 0, 0], [0, 0, 0], [0, 0, 0]]; // of a piece's corners
  for (let piece = 0; piece < field.marks.length; piece += 1) {
    for (let corner = 0; corner < 3; corner += 1) {
      const node = corners[3 * piece + corner];
      x[corner] = (field.east[node] - view.west) * scale - 0.5;
      y[corner] = (view.north - field.north[node]) * scale - 0.5;
      t[corner] = field.thick[node];
    }
    const twice = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
    if (Math.abs(twice) < 1e-12) continue;
    const across = ((t[1] - t[0]) * (y[2] - y[0]) - (t[2] - t[0]) * (y[1] - y[0])) / twice;
    const down = ((x[1] - x[0]) * (t[2] - t[0]) - (x[2] - x[0]) * (t[1] - t[0])) / twice;
    const first = Math.max(0, Math.ceil(Math.min(...y)));
    const last = Math.min(rows - 1, Math.floor(Math.max(...y)));
    for (let row = first; row <= last; row += 1) {
      let left = Infinity;
      let right = -Infinity;
      for (let side = 0; side < 3; side += 1) {
        const next = (side + 1) % 3;
        const rise = y[next] - y[side];
        if (rise === 0) continue;
        const share = (row - y[side]) / rise;
        if (share < 0 || share > 1) continue;
        const where = x[side] + share * (x[next] - x[side]);
        left = Math.min(left, where);
        right = Math.max(right, where);
      }
      const end = Math.min(columns - 1, Math.floor(right + 1e-9));
      for (let column = Math.max(0, Math.ceil(left - 1e-9)); column <= end; column += 1) {
        thickness[row * columns + column] = t[0] + across * (column - x[0]) + down * (row - y[0]);
        marks[row * columns + column] = field.marks[piece];
      }
    }
  }
  return { thickness, marks };
}

const parts = (hex) => [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));

// A colour as the canvas packs it: bare, between bands, hatched, at the design thickness, and of ink.
function tonesOf(hex) {
  const [colour, ink] = [parts(hex), parts(INK)];
  const tones = [0, 0.38, 0.9, 0.95, 1].flatMap((dark) => [...colour.map((part, at) => part + dark * (ink[at] - part)), 255]);
  return new Uint32Array(new Uint8ClampedArray(tones).buffer);
}

function bandOf(levels, value) {
  let band = 0;
  while (band < levels.length - 2 && value >= levels[band + 1]) band += 1;
  return band;
}

// Lines through the noise of single points can't be read: where pieces are small, none are drawn.
function hasLines() {
  return field.kind === "exact" && Math.sqrt((ground.width * ground.height) / field.triangles) * view.scale > 10;
}

// Whether the design thickness passes within a dot or so: some are thick there, some are not.
function isOnDesign(sides, at, column, columns, reach) {
  const other = 1 - sides[at];
  return (
    (column >= reach && sides[at - reach] === other) ||
    (column + reach < columns && sides[at + reach] === other) ||
    (at >= reach * columns && sides[at - reach * columns] === other) ||
    (at + reach * columns < sides.length && sides[at + reach * columns] === other)
  );
}

const isAcross = (marks, bands, at, other) =>
  other < bands.length && bands[other] !== 255 && ((marks[other] ^ marks[at]) & SURVEYED) !== 0;

// Whether the line through the outermost shots passes here: beyond it the base is assumed.
function isOutermost(marks, bands, at, column, columns) {
  return (
    isAcross(marks, bands, at, at + 1) ||
    (column + 2 < columns && isAcross(marks, bands, at, at + 2)) ||
    isAcross(marks, bands, at, at + columns) ||
    isAcross(marks, bands, at, at + 2 * columns)
  );
}

let sampled = null;

function paint() {
  const dots = Math.min(window.devicePixelRatio || 1, 2.5);
  const [columns, rows] = [Math.round(view.width * dots), Math.round(view.height * dots)];
  const key = [columns, rows, view.scale, view.west, view.north].join();
  if (!sampled || sampled.key !== key) sampled = { key, ...sampleField(columns, rows, dots) };
  canvas.width = columns;
  canvas.height = rows;
  const context = canvas.getContext("2d", { willReadFrequently: true });
  const image = context.createImageData(columns, rows);
  const pixels = new Uint32Array(image.data.buffer);
  const isMoves = state.mode === "moves";
  const isColoured = isMoves || state.mode === "thickness";
  const { levels } = written()[isMoves ? "moves" : "thickness"];
  const colours = plan.colours[isMoves ? "moves" : "thickness"];
  const tones = isColoured ? colours.map(tonesOf) : colours.map(() => tonesOf("#f6f4ee"));
  const off = isMoves ? plan.design : 0;
  const { thickness, marks } = sampled;
  const bands = new Uint8Array(columns * rows).fill(255);
  const sides = new Uint8Array(columns * rows).fill(255); // of the design thickness
  for (let at = 0; at < bands.length; at += 1) {
    if (Number.isNaN(thickness[at])) continue;
    bands[at] = bandOf(levels, thickness[at] - off + 1e-7);
    sides[at] = thickness[at] >= plan.design - 1e-7 ? 1 : 0;
  }
  const isLined = isColoured && hasLines();
  const reach = Math.max(1, Math.round(0.6 * dots));
  const { high } = plan.grade;
  // hatch that rises is too high, hatch that falls too thin: as on every picture
  const isRising = plan.styles.angles[isMoves ? "high" : "thin"] > 0;
  const period = Math.round(6.5 * dots);
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const at = row * columns + column;
      if (bands[at] === 255) continue;
      let tone = 0;
      if (isLined) {
        const right = column + 1 < columns ? at + 1 : at;
        const below = row + 1 < rows ? at + columns : at;
        if ((bands[right] !== bands[at] && bands[right] !== 255) || (bands[below] !== bands[at] && bands[below] !== 255)) tone = 1;
        if (!isMoves && isOnDesign(sides, at, column, columns, reach)) tone = 3;
      }
      const value = thickness[at];
      const isHatched = isMoves ? plan.design - value > high + 1e-6 : isColoured && isTooThin(value);
      const along = isRising ? row + column : column - row + period * rows;
      if (isHatched && along % period < 1.1 * dots) tone = 2;
      if (isColoured && (row + column) % (4 * dots) < 2 * dots && isOutermost(marks, bands, at, column, columns)) tone = 4;
      pixels[at] = tones[bands[at]][tone];
    }
  }
  context.putImageData(image, 0, 0);
}

function add(name, attributes, parent = sheet, text = "") {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  parent.append(made);
  return made;
}

const pathOf = (rings) =>
  rings.map((ring) => `M${ring.map(([e, n]) => `${toX(e).toFixed(1)} ${toY(n).toFixed(1)}`).join("L")}Z`).join("");
const lineOf = (places) => `M${places.map(([e, n]) => `${toX(e).toFixed(1)} ${toY(n).toFixed(1)}`).join("L")}`;

// Too little cover: a hollow star, as on the plan.
const starPath = (x, y) =>
  `M${Array.from({ length: 10 }, (_, at) => {
    const [reach, turn] = [at % 2 ? 3 : 7, (at * Math.PI) / 5];
    return `${(x + reach * Math.sin(turn)).toFixed(1)} ${(y - reach * Math.cos(turn)).toFixed(1)}`;
  }).join("L")}Z`;

function cased(d, attributes, casing = 3) {
  add("path", { ...attributes, d, fill: "none", stroke: "#fff", "stroke-opacity": 0.75, "stroke-width": Number(attributes["stroke-width"]) + casing, "stroke-dasharray": "none" });
  return add("path", { ...attributes, d, fill: "none" });
}

const dashesOf = (mark) => plan.styles.dashes[mark].join(" ");

// Too high is hatched, too low dotted; where cut is coloured the hatch is in the colours already.
const isTextured = (kind) => kind === "low" || state.mode !== "moves";

function addTextures() {
  const defs = add("defs", {});
  const one = (kind, size) => add("pattern", { id: `${kind}-texture`, width: size, height: size, patternUnits: "userSpaceOnUse" }, defs);
  add("path", { d: "M-1 10L10 -1M8 10L10 8M-1 1L1 -1", stroke: INK, "stroke-width": 0.8 }, one("high", 9));
  // what is thin has its own hatch, not two across one another
  const bare = add("clipPath", { id: "not-thin" }, defs);
  add("path", { d: pathOf([plan.edge, ...plan.thin.flat()]), "clip-rule": "evenodd" }, bare);
  const dots = one("low", 11);
  for (const [cx, cy] of [[3, 3], [8.5, 8.5]]) add("circle", { cx, cy, r: 1.1, fill: INK }, dots);
}

function drawLines() {
  addTextures();
  for (const part of plan.thickenings) {
    add("path", { d: pathOf(part.rings), fill: "none", stroke: INK, "stroke-width": 1.2, "stroke-dasharray": dashesOf("thickening") });
  }
  for (const kind of ["low", "high"]) {
    for (const d of plan[kind].map(pathOf)) {
      const style = { fill: `url(#${kind}-texture)`, "fill-rule": "evenodd", stroke: "none", "clip-path": "url(#not-thin)" };
      if (isTextured(kind)) add("path", { d, ...style });
      cased(d, { "stroke-width": 1.25, stroke: INK }, 1.25);
    }
  }
  const spot = plan.spots.find((one) => one.rank === state.spot);
  if (spot) cased(pathOf(spot.rings), { "stroke-width": 3, stroke: INK });
  for (const rings of plan.thin) cased(pathOf(rings), { "stroke-width": 2.25, stroke: ALERT }, 1.25);
  for (const line of plan.lines) {
    add("path", { d: lineOf(line.places), fill: "none", stroke: INK, "stroke-width": 4 });
    add("path", { d: lineOf(line.places), fill: "none", stroke: "#fff", "stroke-width": 1.75 });
  }
  for (const cover of plan.cover) {
    const [x, y] = [toX(cover.at[0]), toY(cover.at[1])];
    add("path", { d: starPath(x, y), fill: "#fff", stroke: "#fff", "stroke-width": 4 });
    add("path", { d: starPath(x, y), fill: "#fff", stroke: ALERT, "stroke-width": 1.5 });
  }
  add("path", { d: pathOf(plan.outline), fill: "none", stroke: INK, "stroke-width": 1.5, class: "border" });
  add("path", { d: pathOf([plan.edge]), fill: "none", stroke: INK, "stroke-width": 3, "stroke-linejoin": "round", class: "border" });
}

function draw() {
  layOut();
  if (!view) return;
  paint();
  drawOver();
}

function drawOver() {
  sheet.replaceChildren();
  sheet.setAttribute("viewBox", `0 0 ${view.width} ${view.height}`);
  [taken, firm] = [new Map(), []];
  drawLines();
  keepForFrame();
  if (state.mode !== "shots") keepForBadges();
  if (state.zoom === 1) drawSides();
  drawNext();
  if (state.mode === "shots") {
    drawCursor(); // beneath the marks, and no tapes over them: the panel has them
    drawShots();
  } else {
    drawTapes(); // beneath the numbers, their words above
    drawShots();
    drawBadges();
    writeTapes();
    drawCursor();
  }
  nameNext();
  drawScale();
  drawKey();
}
