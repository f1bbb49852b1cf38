// What the plan holds, and what it says of a place. Lengths are metres about the survey's origin.
const isOnGrade = (cut) => cut <= plan.grade.high + 1e-6 && cut >= -plan.grade.low - 1e-6;
const isTooThin = (thickness) => thickness < plan.least - 1e-6;

// By how many steps of a mark to move the base. Cut is positive: the base stands that much above the
// design base. What is beyond the tolerance is never said as within it: the answer's own rule.
function countSteps(cut) {
  const step = plan.metric ? 0.001 : isInInches() ? INCH / 8 : plan.metres / 100;
  const nearest = (size) => Math.floor((size + SLACK) / step + 0.5);
  const steps = nearest(Math.abs(cut));
  return isOnGrade(cut) ? steps : Math.max(steps, nearest(cut > 0 ? plan.grade.high : plan.grade.low) + 1);
}

function sayMove(cut) {
  return isOnGrade(cut) ? "On grade" : `${cut > 0 ? "Cut" : "Fill"} ${sayFine(countSteps(cut), !isInInches())}`;
}

// The same as it is painted, and as the sheet has it: C.10 or C 1 1/4, F25, G.
function sayMark(cut) {
  if (isOnGrade(cut)) return "G";
  const [way, steps] = [cut > 0 ? "C" : "F", countSteps(cut)];
  if (plan.metric) return `${way}${steps}`;
  return isInInches() ? `${way} ${fraction(steps)}` : `${way}${(steps / 100).toFixed(2).replace(/^0/, "")}`;
}

const hold = (value, least, most) => Math.min(most, Math.max(least, value));

// The field.
const field = plan.field;
if (field.kind === "exact") {
  const nodes = unpack(field.nodes, Int32Array);
  const count = nodes.length / 4;
  field.east = new Float64Array(count);
  field.north = new Float64Array(count);
  field.thick = new Float64Array(count);
  field.level = new Float64Array(count);
  for (let at = 0; at < count; at += 1) {
    field.east[at] = nodes[4 * at] * plan.packed.plan;
    field.north[at] = nodes[4 * at + 1] * plan.packed.plan;
    field.thick[at] = nodes[4 * at + 2] * plan.packed.level;
    field.level[at] = nodes[4 * at + 3] * plan.packed.level;
  }
  field.corners = unpack(field.faces, field.wide ? Uint32Array : Uint16Array);
} else {
  for (const name of ["thickness", "base"]) field[name].grid = unpack(field[name].values, Int16Array);
}
field.marks = unpack(field.flags, Uint8Array);

const OUTSIDE = -32768;
const SURVEYED = 1;
const TRENCH = 2;
// A place this near to a shot is that shot, m.
const AT_SHOT = 0.002;

const hasBeyond = field.marks.some(
  (mark, at) => !(mark & SURVEYED) && (field.kind === "exact" || field.thickness.grid[at] !== OUTSIDE),
);

// Thickness, base and marks at a place; null where there is no concrete.
function readField(east, north) {
  return field.kind === "exact" ? readPieces(east, north) : readGrid(east, north);
}

function readPieces(east, north) {
  const { east: e, north: n, corners } = field;
  let best = null;
  let most = -1e-7;
  for (let piece = 0; piece < field.marks.length; piece += 1) {
    const a = corners[3 * piece];
    const b = corners[3 * piece + 1];
    const c = corners[3 * piece + 2];
    const twice = (e[b] - e[a]) * (n[c] - n[a]) - (e[c] - e[a]) * (n[b] - n[a]);
    if (!(twice > 0)) continue;
    const second = ((east - e[a]) * (n[c] - n[a]) - (e[c] - e[a]) * (north - n[a])) / twice;
    const third = ((e[b] - e[a]) * (north - n[a]) - (east - e[a]) * (n[b] - n[a])) / twice;
    const inside = Math.min(1 - second - third, second, third);
    if (inside < most) continue;
    most = inside;
    const mix = (values) => (1 - second - third) * values[a] + second * values[b] + third * values[c];
    best = { thickness: mix(field.thick), base: mix(field.level), marks: field.marks[piece] };
    if (inside > 1e-9) break;
  }
  return best;
}

function readGrid(east, north) {
  const column = Math.floor((east - field.west) / field.cell);
  const row = Math.floor((north - field.south) / field.cell);
  if (column < 0 || row < 0 || column >= field.columns || row >= field.rows) return null;
  const at = row * field.columns + column;
  if (field.thickness.grid[at] === OUTSIDE) return null;
  const value = ({ grid, unit, least }) => least + unit * grid[at];
  return { thickness: value(field.thickness), base: value(field.base), marks: field.marks[at] };
}

// Outlines: inside an odd number of rings.
function isWithin(rings, east, north) {
  let inside = false;
  for (const ring of rings) {
    for (let at = 0, before = ring.length - 1; at < ring.length; before = at, at += 1) {
      const [x, y] = ring[at];
      const [u, v] = ring[before];
      if (y > north !== v > north && east < ((u - x) * (north - y)) / (v - y) + x) inside = !inside;
    }
  }
  return inside;
}

const shots = plan.shots && {
  names: plan.shots.names,
  suspects: plan.shots.suspects,
  places: Array.from(unpack(plan.shots.places, Int32Array), (x) => x * plan.packed.plan),
  levels: Array.from(unpack(plan.shots.levels, Int32Array), (x) => x * plan.packed.level),
  moves: Array.from(unpack(plan.shots.moves, Int32Array), (x) => x * plan.packed.level),
};

function nearestShot(east, north) {
  if (!shots) return null;
  let best = null;
  shots.names.forEach((name, at) => {
    const away = Math.hypot(shots.places[2 * at] - east, shots.places[2 * at + 1] - north);
    if (!best || away < best.away) best = { name, at, away, move: shots.moves[at], suspect: shots.suspects[at] };
  });
  return best;
}

// The nearest place on a border: the slab's, or another's.
function nearestOnBorder(east, north, rings = plan.outline) {
  let best = null;
  for (const ring of rings) {
    ring.forEach(([x, y], at) => {
      const [u, v] = ring[(at + 1) % ring.length];
      const length = (u - x) ** 2 + (v - y) ** 2;
      const share = length ? hold(((east - x) * (u - x) + (north - y) * (v - y)) / length, 0, 1) : 0;
      const place = [x + share * (u - x), y + share * (v - y)];
      const away = Math.hypot(place[0] - east, place[1] - north);
      if (!best || away < best.away) best = { place, away };
    });
  }
  return best;
}

// All that is known of a place.
function readPlace(east, north) {
  const found = readField(east, north);
  if (!found) return null;
  const cut = plan.design - found.thickness;
  const designBase = found.base - cut;
  const shot = nearestShot(east, north);
  return {
    ...found,
    cut,
    designBase,
    taped: tape(east, north),
    isThin: isTooThin(found.thickness),
    // at an outermost shot pieces meet that were shot and that were not
    isBeyond: !(found.marks & SURVEYED) && !(shot && shot.away < AT_SHOT),
    isTrench: Boolean(found.marks & TRENCH),
    spots: plan.spots.filter((spot) => isWithin(spot.rings, east, north)),
    thickenings: plan.thickenings.filter((part) => isWithin(part.rings, east, north)),
    shot,
  };
}
