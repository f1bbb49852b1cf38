// What stands about the slab: the numbers of its sides, corners of curves, the bar of lengths, north.
function drawSides() {
  const turn = plan.edge.reduce((sum, [e, n], at) => {
    const [x, y] = plan.edge[(at + 1) % plan.edge.length];
    return sum + e * y - x * n;
  }, 0) > 0 ? 1 : -1;
  // corners first: places are told from them
  for (const side of sides) {
    const isLong = side.curved && side.length * view.scale >= 40;
    if (isLong || plan.told.includes(side.number)) drawCorner(side, turn);
  }
  for (const side of sides) {
    const long = side.length * view.scale;
    if (long < 40) continue;
    // of a curve the chord in its middle
    const half = (side.path.length - 2) >> 1;
    const [from, to] = [side.path[half], side.path[half + 1]];
    const [across, up] = [to[0] - from[0], to[1] - from[1]];
    const chord = Math.hypot(across, up);
    const out = [(turn * up) / chord, (-turn * across) / chord];
    let angle = (Math.atan2(-up, across) * 180) / Math.PI;
    if (angle > 89.9) angle -= 180;
    if (angle < -90.1) angle += 180;
    const full = side.name ? `side ${side.number}: ${side.name}` : `side ${side.number}`;
    // a curve that bends outwards beneath the words would run through them
    const bend = side.curved ? (measure(full, "600 11px") ** 2 / 8 / long) * -turn * side.turn : 0;
    const isNamed = measure(full, "600 11px") < long - 30 && bend < 8;
    const placeAt = (share, off) => [toX(from[0] + share * across) + off * out[0], toY(from[1] + share * up) - off * out[1]];
    // a box for each stretch of the words: one about them all would take half the plan where they lean
    const boxesOf = ([a, b], size) => {
      const steps = Math.ceil(size / 12);
      return Array.from({ length: steps + 1 }, (_, at) => (at / steps - 0.5) * size)
        .map((reach) => [a + (reach * across) / chord, b - (reach * up) / chord, 12, 12]);
    };
    const shares = side.curved ? [0.5] : [0.5, 0.65, 0.35, 0.2, 0.8];
    const choices = (isNamed ? [full, `side ${side.number}`] : [`side ${side.number}`]).flatMap((words) =>
      [16, 28].flatMap((off) => shares.map((share) => ({ words, size: measure(words, "600 11px"), at: placeAt(share, off) }))),
    );
    const seen = choices.filter(({ at, size }) => boxesOf(at, size).every((one) => isInView(...one)));
    // the first that lies over nothing, or else over least
    const over = ({ at, size }) => boxesOf(at, size).filter((one) => !isFree(...one)).length;
    const best = (seen.length ? seen : choices).map((one) => ({ ...one, over: over(one) })).reduce((one, other) => (other.over < one.over ? other : one));
    const { words, at: [x, y], size } = best;
    for (const one of boxesOf([x, y], size)) take(...one, { isFirm: true });
    add("text", { x, y, transform: `rotate(${angle} ${x} ${y})`, "text-anchor": "middle", "dominant-baseline": "central", class: "off" }, sheet, words);
  }
}

// The corner where a side begins: places are taped from there.
function drawCorner(side, turn) {
  const outOf = ([x, y], [u, v]) => [v - y, x - u].map((way) => (turn * way) / Math.hypot(u - x, v - y));
  const [x, y] = side.path[0];
  const [one, other] = [outOf(...side.path), outOf(...sides.at(side.number - 2).path.slice(-2))];
  // between the sides that meet there
  const sum = [one[0] + other[0], one[1] + other[1]];
  const long = Math.hypot(...sum);
  const out = long > 0.1 ? sum.map((way) => way / long) : one;
  const at = (reach) => [toX(x) + reach * out[0], toY(y) - reach * out[1]];
  add("path", { d: `M${at(0)}L${at(9)}`, stroke: INK, "stroke-width": 1.5 });
  const text = `corner ${side.number}`;
  // beside the slab the words stand upright: level, the margin is too narrow for them
  const isUpright = Math.abs(out[0]) > Math.abs(out[1]);
  const size = measure(text, "600 11px");
  const [wide, high] = isUpright ? [12, size] : [size, 12];
  // clear of a side that leans, or else straight out
  for (const [reach, shift] of [18, 28, 38].flatMap((far) => [[far, size / 2], [far, 0]])) {
    const [a, b] = at(reach);
    const [aside, up] = isUpright ? [0, shift * out[1]] : [shift * out[0], 0];
    const [middle, level] = [Math.min(Math.max(a + aside, wide / 2), view.width - wide / 2), b - up];
    if (!isFree(middle, level, wide, high)) continue;
    take(middle, level, wide, high, { isFirm: true });
    const turned = isUpright ? { transform: `rotate(-90 ${middle} ${level})` } : {};
    add("text", { x: middle, y: level, ...turned, "text-anchor": "middle", "dominant-baseline": "central", class: "off" }, sheet, text);
    return;
  }
}

// The bar that shows how long lengths are; none where no round one has room.
function scaleBar() {
  const rounds = [-1, 0, 1, 2, 3].flatMap((power) => [1, 2, 5].map((k) => k * 10 ** power));
  const long = rounds.filter((round) => round * plan.metres * view.scale <= Math.min(150, view.width * 0.4)).pop();
  return long && { text: `${long} ${plan.metric ? "m" : "ft"}`, wide: long * plan.metres * view.scale, x: MARGIN.left, y: view.height - 12 };
}

function drawScale() {
  const scale = scaleBar();
  if (!scale) return;
  const { text, wide, x, y } = scale;
  const back = add("rect", { x: 0, y: y - 18, width: view.width, height: 30, class: "behind" });
  if (state.zoom === 1) back.remove();
  add("path", { d: `M${x} ${y - 4}v4h${wide}v-4M${x + wide / 2} ${y - 3}v3`, fill: "none", "stroke-width": 1.5, class: "offline" });
  add("text", { x: x + wide + 6, y: y - 2, "dominant-baseline": "central", class: "off" }, sheet, text);
  const right = view.width - MARGIN.right;
  add("path", { d: `M${right} ${y - 16}l5 15l-5 -4l-5 4z`, class: "offfill" });
  add("text", { x: right - 14, y: y - 6, "text-anchor": "middle", "dominant-baseline": "central", class: "off" }, sheet, "N");
}
