// A place by tape. Of the sides that face it: where the nearest is curved, along it and off it; else the nearest
// pair of straight ones that are not near parallel; failing that, along the nearest that is long enough, and off it.
// Where none is, two corners whose tapes meet squarely enough, and at no other place of the slab. The same rule as in
// the lists.
const { LEAST_ANGLE, LEAST_SIDE, BEYOND, ASKEW, LONG_TAPE, NEAREST_CORNERS } = plan.taping;
const round6 = (value) => Math.round(value * 1e6) / 1e6;

const starts = [];
plan.counts.reduce((at, count) => (starts.push(at), at + count), 0);

// By how much a line turns to the left from end to end, radians.
function turnOf(path) {
  const headings = path.slice(1).map(([x, y], at) => Math.atan2(y - path[at][1], x - path[at][0]));
  const turns = headings.slice(1).map((heading, at) => Math.sin(heading - headings[at]));
  return turns.reduce((sum, turn) => sum + turn, 0);
}

const sides = starts.map((row, number) => {
  const path = [];
  for (let at = 0; at <= plan.counts[number]; at += 1) path.push(plan.edge[(row + at) % plan.edge.length]);
  const [start, end] = [path[0], path[path.length - 1]];
  const [along, up] = [end[0] - start[0], end[1] - start[1]];
  const bearing = ((Math.atan2(up, along) * 180) / Math.PI + 360) % 180;
  const length = path.slice(1).reduce((sum, [x, y], at) => sum + Math.hypot(x - path[at][0], y - path[at][1]), 0);
  const curved = path.length > 2;
  const named = { number: number + 1, name: plan.names[number] || "" };
  return { ...named, path, start, end, along, up, length, bearing, curved, turn: turnOf(path) };
});

// 1 where the sides run with the slab on their left, else -1.
const handed = Math.sign(
  plan.edge.reduce((sum, [x, y], at) => {
    const [[a, b], [u, v]] = [plan.edge[0], plan.edge[(at + 1) % plan.edge.length]];
    return sum + (x - a) * (v - b) - (u - a) * (y - b);
  }, 0)
);

const nameSide = (side) => `side ${side.number}${side.name ? ` (${side.name})` : ""}`;

// Where a curve is nearest to a place, as the lists find it: between the chords its direction turns evenly.
function findFoot(path, east, north) {
  const chords = [];
  let [reached, near] = [0, null];
  path.slice(1).forEach(([u, v], at) => {
    const [x, y] = path[at];
    const [length, before] = [Math.hypot(u - x, v - y), chords[at - 1]];
    let heading = Math.atan2(v - y, u - x);
    if (before) heading += 2 * Math.PI * Math.round((before.heading - heading) / (2 * Math.PI));
    const share = hold(((east - x) * (u - x) + (north - y) * (v - y)) / length ** 2, 0, 1);
    const away = Math.hypot(x + share * (u - x) - east, y + share * (v - y) - north);
    if (!near || away < near.away) near = { away, length, station: reached + share * length };
    chords.push({ reached, length, heading, middle: reached + length / 2, x, y });
    reached += length;
  });
  const footAt = (station) => {
    const chord = chords.filter((one) => one.reached <= station).pop() || chords[0];
    const along = station - chord.reached;
    return [chord.x + along * Math.cos(chord.heading), chord.y + along * Math.sin(chord.heading)];
  };
  let { station } = near;
  let [foot, beyond] = [null, 0];
  for (let round = 0; round < 9; round += 1) {
    foot = footAt(station);
    const at = hold(chords.filter((one) => one.middle < station).length - 1, 0, chords.length - 2);
    const [one, next] = [chords[at], chords[at + 1]];
    const turning = (next.heading - one.heading) / (next.middle - one.middle);
    const angle = one.heading + turning * (station - one.middle);
    const [a, b] = [east - foot[0], north - foot[1]];
    beyond = a * Math.cos(angle) + b * Math.sin(angle);
    const closer = 1 - turning * (Math.cos(angle) * b - Math.sin(angle) * a);
    station = hold(station + hold(beyond / Math.max(closer, 0.1), -near.length, near.length), 0, reached);
  }
  return { station, foot, beyond: Math.abs(beyond), away: Math.hypot(foot[0] - east, foot[1] - north) };
}

// The nearest curved side that faces a place: how far along it, how far off it, and from where on it. Of two that
// meet in the foot the one that begins there.
function nearestCurve(east, north) {
  return sides
    .filter((side) => side.curved && side.length >= LEAST_SIDE)
    .map((side) => ({ ...findFoot(side.path, east, north), side }))
    .filter(({ beyond, side: { start, end } }) => beyond < BEYOND || (start[0] === end[0] && start[1] === end[1]))
    .reduce((best, one) => {
      const apart = best ? round6(one.away) - round6(best.away) || round6(one.station) - round6(best.station) : -1;
      return apart < 0 ? one : best;
    }, null);
}

function sayAlong({ side, station, away }) {
  const [corner, isOff] = [`corner ${side.number}`, sayTape(away) !== sayTape(0)];
  if (sayTape(station) === sayTape(0)) {
    return isOff ? `${sayTape(away)} off ${nameSide(side)} at ${corner}` : `at ${corner}`;
  }
  const along = `${sayTape(station)} along ${nameSide(side)} from ${corner}`;
  return isOff ? `${along}, ${sayTape(away)} off it` : along;
}

function tape(east, north) {
  let facing = sides
    .filter((side) => !side.curved && side.length >= LEAST_SIDE)
    .map((side) => {
      const [x, y] = [east - side.start[0], north - side.start[1]];
      const share = (x * side.along + y * side.up) / side.length ** 2;
      const foot = [side.start[0] + share * side.along, side.start[1] + share * side.up];
      const inward = (handed * (side.along * y - side.up * x)) / side.length;
      return { ...side, share, foot, inward, away: Math.abs(inward) };
    })
    .filter((side) => Math.abs(side.share - 0.5) * side.length < side.length / 2 + BEYOND)
    .filter((side) => side.inward > -BEYOND);
  let best = null;
  facing.forEach((one, first) => {
    for (const other of facing.slice(first + 1)) {
      const apart = Math.abs(one.bearing - other.bearing);
      const isFar = [one, other].some((side) => side.away > LONG_TAPE * side.length);
      if (Math.min(apart, 180 - apart) < (isFar ? 90 - ASKEW : LEAST_ANGLE)) continue;
      const total = round6(one.away + other.away);
      if (best === null || total < best.total) best = { total, pair: [one, other] };
    }
  });
  if (!best) facing = facing.filter((side) => side.away <= LONG_TAPE * side.length);
  const curve = nearestCurve(east, north);
  const nearest = Math.min(...facing.map((side) => side.away));
  if (curve && round6(curve.away) < round6(nearest)) return [{ ...curve, words: sayAlong(curve) }];
  if (best) return best.pair.map((side) => ({ name: nameSide(side), away: side.away, foot: side.foot }));
  const side = facing.find(({ away }) => round6(away) === round6(nearest));
  if (side) {
    const along = { side, station: hold(side.share, 0, 1) * side.length, away: side.away, foot: side.foot };
    return [{ ...along, words: sayAlong(along) }];
  }
  return tapeCorners(east, north);
}

function tapeCorners(east, north) {
  const off = starts
    .map((row) => plan.edge[row])
    .map(([x, y], number) => ({ number, x: x - east, y: y - north, away: Math.hypot(x - east, y - north) }))
    .sort((a, b) => round6(a.away) - round6(b.away) || a.number - b.number);
  const square = Math.cos((LEAST_ANGLE * Math.PI) / 180);
  const crosses = (one, other) =>
    Math.abs(one.x * other.x + one.y * other.y) / Math.max(one.away * other.away, 1e-12) <= square;
  const pairs = off.slice(0, NEAREST_CORNERS).flatMap((one) =>
    off.filter((other) => other !== one && crosses(one, other)).map((other) => [one, other])
  );
  const fixing = pairs.find(([one, other]) => !meetAgain(one, other, east, north));
  const [first, second] = (fixing || pairs[0] || off).slice(0, 2).sort((a, b) => a.away - b.away);
  const both = sayTape(first.away) === sayTape(0) ? [first] : [first, second];
  return both.map((corner) => ({
    name: `corner ${corner.number + 1}`,
    away: corner.away,
    foot: plan.edge[starts[corner.number]],
  }));
}

// Whether tapes from two corners meet at a second place on the slab.
function meetAgain(one, other, east, north) {
  const [x, y] = [other.x - one.x, other.y - one.y];
  const share = -(one.x * x + one.y * y) / Math.max(x * x + y * y, 1e-12);
  return isWithin(plan.outline, east + 2 * (one.x + share * x), north + 2 * (one.y + share * y));
}

function sayWhere(taped) {
  return taped
    .map(({ name, away, words }) => {
      if (words) return words;
      return sayTape(away) === sayTape(0) ? `at ${name}` : `${sayTape(away)} from ${name}`;
    })
    .join(", ");
}
