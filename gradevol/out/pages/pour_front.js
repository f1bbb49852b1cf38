// Fronts: what lies behind one, cut out of the very pieces that the check weighs. Metres.
const { AT_CORNER } = data.constants;

const sum = (values) => values.reduce((total, value) => total + value, 0);
const distance = ([a, b], [c, d]) => Math.hypot(c - a, d - b);
const wrap = (value, size) => ((value % size) + size) % size;
const pairs = (path) => path.slice(1).map((place, at) => [path[at], place]);
const close = (ring) => pairs([...ring, ring[0]]);
const lengthOf = (path) => sum(pairs(path).map(([one, other]) => distance(one, other)));
const between = ([a, b], [c, d], share) => [a + share * (c - a), b + share * (d - b)];

// The way around the slab, from the middle of the side where placing began.
const edge = data.start === null ? null : layEdge();

function layEdge() {
  const sides = data.sides.map((side) => side.path);
  const lengths = sides.map(lengthOf);
  const begins = lengths.map((_, at) => sum(lengths.slice(0, at)));
  const ring = sides.flatMap((side) => side.slice(0, -1));
  const marks = [0];
  for (const [one, other] of close(ring)) marks.push(marks.at(-1) + distance(one, other));
  const start = data.start - 1;
  const half = lengths[start] / 2;
  return { lengths, begins, ring, marks, start, half, total: sum(lengths), zero: begins[start] + half };
}

function placeAt(way) {
  const at = wrap(way, edge.total);
  let number = edge.marks.findLastIndex((mark) => mark <= at);
  number = Math.min(Math.max(number, 0), edge.ring.length - 1);
  const [one, other] = close(edge.ring)[number];
  return between(one, other, (at - edge.marks[number]) / (edge.marks[number + 1] - edge.marks[number]));
}

// How far round a tape along a side reaches: above 0 forward, below it backward.
function go(side, tape) {
  const { lengths, begins, start, half, total } = edge;
  const forward = wrap(begins[side - 1] - begins[start], total) - 2 * half;
  const backward = total - forward - 2 * half - lengths[side - 1];
  const held = Math.min(tape, lengths[side - 1]);
  return forward <= backward + 1e-9 ? half + forward + held : -(half + backward + held);
}

function walk(back, forward) {
  const [low, high] = [edge.zero - back, edge.zero + forward];
  const marks = edge.marks.slice(0, -1);
  const inner = [-1, 0, 1]
    .flatMap((turn) => marks.map((mark) => mark + turn * edge.total))
    .filter((mark) => mark > low + 1e-9 && mark < high - 1e-9)
    .sort((one, other) => one - other);
  return [low, ...inner, high].map(placeAt);
}

function isFarSide(back, forward) {
  const [low, high] = [edge.zero + forward, edge.zero + edge.total - back];
  const isSide = edge.begins.some((begin, at) => {
    const off = wrap(begin - low + edge.total / 2, edge.total) - edge.total / 2;
    return Math.abs(off) <= AT_CORNER && Math.abs(edge.lengths[at] - (high - low)) <= 2 * AT_CORNER;
  });
  return isSide || high - low <= 2 * AT_CORNER;
}

// Where a line square to the edge meets it again, for a front by one tape.
function squareAcross(way) {
  const at = edge.zero + way;
  const place = placeAt(at);
  const step = Math.min(0.01, edge.total / 1000);
  const [ahead, behind] = [placeAt(at + step), placeAt(at - step)];
  const size = Math.max(distance(ahead, behind), 1e-12);
  const across = [-(ahead[1] - behind[1]) / size, (ahead[0] - behind[0]) / size];
  const off = ([x, y]) => (x - place[0]) * across[1] - (y - place[1]) * across[0];
  const met = close(edge.ring).flatMap(([one, other], number) => {
    const [from, to] = [off(one), off(other)];
    if ((from > 0 && to > 0) || (from < 0 && to < 0) || from === to) return [];
    const found = between(one, other, from / (from - to));
    const away = distance(found, place);
    return away > 10 * step ? [{ away, way: edge.marks[number] + distance(one, found) }] : [];
  });
  if (!met.length) return null;
  return met.reduce((one, other) => (other.away < one.away ? other : one)).way - edge.zero;
}

// The front of tapes [side, m]: what is behind it, its line across; null where one tape is not enough.
function findFront(tapes) {
  const ways = tapes.map(([side, tape]) => go(side, tape));
  const ahead = ways.filter((way) => way > 0);
  const behind = ways.filter((way) => way <= 0).map((way) => -way);
  let forward = ahead.length ? Math.max(...ahead) : null;
  let back = behind.length ? Math.max(...behind) : null;
  const isByOne = forward === null || back === null;
  if (isByOne) {
    const other = squareAcross(forward ?? -back);
    if (other === null) return null;
    if (forward === null) forward = wrap(other, edge.total);
    else back = edge.total - wrap(other, edge.total);
  }
  if (back + forward >= edge.total - AT_CORNER || isFarSide(back, forward)) {
    return { rings: null, across: null, isByOne: false };
  }
  if (Math.max(Math.abs(back - edge.half), Math.abs(forward - edge.half)) <= AT_CORNER) {
    return { rings: [], across: null, isByOne: false };
  }
  const ring = walk(back, forward);
  const isNothing = lengthOf(ring) <= AT_CORNER || new Set(ring.map(String)).size < 3;
  if (isNothing) return { rings: [], across: null, isByOne: false };
  return { rings: [ring], across: [ring.at(-1), ring[0]], isByOne };
}

// Pieces: corners in plan with the thickness at each; those of the slab come first.
const pieces = (() => {
  const nodes = unpack(data.pieces.nodes, Float64Array);
  const faces = unpack(data.pieces.faces, Uint32Array);
  return Array.from({ length: faces.length / 3 }, (_, at) => {
    const corners = [0, 1, 2].map((corner) => {
      const first = 3 * faces[3 * at + corner];
      return [...nodes.subarray(first, first + 3)];
    });
    return weigh(corners, at < data.pieces.own);
  });
})();

function weigh(corners, isOwn) {
  const [xs, ys] = [0, 1].map((axis) => corners.map((corner) => corner[axis]));
  const piece = { corners, isOwn, west: Math.min(...xs), east: Math.max(...xs) };
  Object.assign(piece, { south: Math.min(...ys), north: Math.max(...ys) });
  return Object.assign(piece, { whole: measurePolygon(corners) });
}

// Area of a polygon, and its volume where the thickness is positive.
function measurePolygon(corners) {
  const filled = corners.some((corner) => corner[2] < 0) ? clip(corners, ([, , t]) => t) : corners;
  return { area: fan(corners, () => 1), volume: fan(filled, (t) => t / 3) };
}

function fan(corners, height) {
  let total = 0;
  for (let at = 2; at < corners.length; at += 1) {
    const [[a, b, s], [c, d, t], [e, f, u]] = [corners[0], corners[at - 1], corners[at]];
    const twice = (c - a) * (f - b) - (e - a) * (d - b);
    total += (twice / 2) * height(s + t + u);
  }
  return total;
}

// The part of a convex polygon where a linear figure is not below 0.
function clip(corners, figure) {
  const kept = [];
  const values = corners.map(figure);
  corners.forEach((corner, at) => {
    const before = (at || corners.length) - 1;
    if (values[before] >= 0 !== values[at] >= 0) {
      const share = values[before] / (values[before] - values[at]);
      kept.push(corners[before].map((x, axis) => x + share * (corner[axis] - x)));
    }
    if (values[at] >= 0) kept.push(corner);
  });
  return kept;
}

// Trapezoids between two levels that tile what lies in any of some polygons, each by even and odd.
function cutUp(polygons) {
  const sides = polygons.flatMap((rings, owner) =>
    rings.flatMap((ring) => close(ring).map(([one, other]) => {
      const [low, high] = one[1] <= other[1] ? [one, other] : [other, one];
      return { low, high, owner, at: (y) => low[0] + ((y - low[1]) / (high[1] - low[1])) * (high[0] - low[0]) };
    })));
  const levels = sides.flatMap(({ low, high }) => [low[1], high[1]]);
  sides.forEach((one, number) => {
    for (const other of sides.slice(0, number)) levels.push(...levelOfCrossing(one, other));
  });
  levels.sort((one, other) => one - other);
  return pairs(levels).filter(([south, north]) => north - south > 1e-12).flatMap(([south, north]) => {
    const middle = (south + north) / 2;
    const across = sides.filter(({ low, high }) => low[1] < middle && high[1] > middle);
    across.sort((one, other) => one.at(middle) - other.at(middle));
    const held = new Set();
    const found = [];
    let left = null;
    for (const side of across) {
      if (!held.delete(side.owner)) held.add(side.owner);
      if (left === null) left = side;
      else if (!held.size) {
        found.push({ south, north, left, right: side });
        left = null;
      }
    }
    return found;
  });
}

function levelOfCrossing(one, other) {
  if (one.low[1] >= other.high[1] || other.low[1] >= one.high[1]) return [];
  const [south, north] = [Math.max(one.low[1], other.low[1]), Math.min(one.high[1], other.high[1])];
  const [before, after] = [one.at(south) - other.at(south), one.at(north) - other.at(north)];
  if (!(before * after < 0)) return [];
  return [south + (before / (before - after)) * (north - south)];
}

function measureIn({ south, north, left, right }, into) {
  const ends = [left.at(south), left.at(north), right.at(south), right.at(north)];
  const [west, east] = [Math.min(ends[0], ends[1]), Math.max(ends[2], ends[3])];
  const [inWest, inEast] = [Math.max(ends[0], ends[1]), Math.min(ends[2], ends[3])];
  for (const piece of pieces) {
    if (piece.south >= north || piece.north <= south || piece.west >= east || piece.east <= west) continue;
    const isWithin = piece.south >= south && piece.north <= north && piece.west >= inWest && piece.east <= inEast;
    let measured = piece.whole;
    if (!isWithin) {
      let corners = piece.corners;
      for (const figure of [
        ([, y]) => y - south,
        ([, y]) => north - y,
        ([x, y]) => x - left.at(y),
        ([x, y]) => right.at(y) - x,
      ]) {
        if (corners.length) corners = clip(corners, figure);
      }
      if (corners.length < 3) continue;
      measured = measurePolygon(corners);
    }
    into.volume += measured.volume;
    if (piece.isOwn) into.area += measured.area;
  }
}

// Whether a place lies within rings by even and odd, or on one of them.
function isInRings([x, y], rings) {
  const sides = rings.flatMap(close);
  const isOn = sides.some(([one, other]) => {
    const size = distance(one, other);
    const along = ((x - one[0]) * (other[0] - one[0]) + (y - one[1]) * (other[1] - one[1])) / size ** 2;
    return distance([x, y], between(one, other, Math.min(Math.max(along, 0), 1))) < 1e-9;
  });
  const crossed = sides.filter(([[a, b], [c, d]]) => b > y !== d > y && x < a + ((y - b) / (d - b)) * (c - a));
  return isOn || crossed.length % 2 === 1;
}

// Length of a line within any of some polygons.
function lengthWithin([one, other], polygons) {
  const cuts = [0, 1];
  const [dx, dy] = [other[0] - one[0], other[1] - one[1]];
  for (const [p, q] of polygons.flat().flatMap(close)) {
    const [ex, ey] = [q[0] - p[0], q[1] - p[1]];
    const cross = dx * ey - dy * ex;
    if (!cross) continue;
    const along = ((p[0] - one[0]) * ey - (p[1] - one[1]) * ex) / cross;
    const over = ((p[0] - one[0]) * dy - (p[1] - one[1]) * dx) / cross;
    if (along > 0 && along < 1 && over >= -1e-12 && over <= 1 + 1e-12) cuts.push(along);
  }
  cuts.sort((a, b) => a - b);
  const inside = pairs(cuts).filter(([from, to]) => {
    const middle = between(one, other, (from + to) / 2);
    return polygons.some((rings) => isInRings(middle, rings));
  });
  return sum(inside.map(([from, to]) => to - from)) * Math.hypot(dx, dy);
}

// Modelled concrete behind a front and what is done, m³, and its share of the area.
function measureBehind(front, done) {
  const polygons = done.map((name) => data.zones[name]);
  if (front && front.rings === null) return { behind: data.volume, share: 1 };
  if (front && front.rings.length) polygons.push(front.rings);
  const found = { volume: 0, area: 0 };
  for (const part of cutUp(polygons)) measureIn(part, found);
  if (data.area - found.area <= 1e-9 * data.area) return { behind: data.volume, share: 1 };
  if (found.area <= 1e-9 * data.area) return { behind: 0, share: 0 };
  const lines = data.voids.map(({ line, density }) => density * lengthWithin(line, polygons));
  return { behind: found.volume - sum(lines) - data.flat * found.area, share: found.area / data.area };
}

// What a metre of front is worth, m³/m.
const gripOf = (front) =>
  front?.across ? (lengthWithin(front.across, [data.rings]) * data.volume) / data.area : 0;
