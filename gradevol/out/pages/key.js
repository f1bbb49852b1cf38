// The colours and the marks that the plan shows now, and what they mean.
function drawLegend() {
  const legend = $("legend");
  legend.replaceChildren();
  const isMoves = state.mode === "moves";
  const words = [];
  if (state.mode === "thickness" || isMoves) {
    const { heading, levels, labels } = written()[state.mode];
    const colours = plan.colours[state.mode];
    const [wide, cell] = [300, 300 / colours.length];
    const svg = add("svg", { viewBox: "0 0 300 66", "aria-hidden": "true" }, legend);
    add("text", { x: 0, y: 10, "font-weight": 600 }, svg, heading);
    colours.forEach((fill, at) => add("rect", { x: at * cell, y: 16, width: cell + 0.3, height: 16, fill }, svg));
    // bands are as wide as one another here, whatever they hold
    const across = (value) => {
      const at = bandOf(levels, value);
      return (at + Math.min(1, Math.max(0, (value - levels[at]) / (levels[at + 1] - levels[at])))) * cell;
    };
    const thin = across(isMoves ? -plan.grade.high : plan.least);
    const isRising = plan.styles.angles[isMoves ? "high" : "thin"] > 0;
    const hatch = [];
    for (let x = 5; x < Math.min(wide, thin) + 16; x += 6.5) {
      const [from, to] = [Math.max(0, x - 16), Math.min(x, thin)];
      const down = (at) => (isRising ? 32 - (at - (x - 16)) : 16 + (at - (x - 16)));
      if (to > from) hatch.push(`M${from} ${down(from)}L${to} ${down(to)}`);
    }
    add("path", { d: hatch.join(""), stroke: INK, "stroke-width": 1 }, svg);
    add("rect", { x: 0.5, y: 16, width: wide - 1, height: 16, fill: "none", stroke: INK, class: "frame" }, svg);
    // limits between the bands: of cut and fill those next to G first
    const limits = labels.map((label, at) => ({ label, x: (at + (isMoves ? 1 : 0)) * cell, rank: isMoves ? Math.min(Math.abs(at - 3), Math.abs(at - 4)) : at }));
    const every = Math.ceil((Math.max(...labels.map((label) => measure(label, "600 11px"))) + 5) / cell);
    let reached = -Infinity;
    for (const { label, x, rank } of limits) {
      const half = measure(label, "600 11px") / 2;
      const middle = Math.min(wide - half, Math.max(half, x)); // at the ends moved in
      if (rank % every || middle - half < reached + 1) continue;
      reached = middle + half;
      add("text", { x: middle, y: 46, "text-anchor": "middle", "font-size": 11 }, svg, label);
    }
    if (isMoves) add("text", { x: 4.5 * cell, y: 28, "text-anchor": "middle", "font-size": 11, "font-weight": 700, fill: INK }, svg, "G");
    const base = isMoves ? plan.design : 0;
    const [design, least] = [plan.design, plan.least].map((level) => ({ x: across(level - base), name: sayThickness(level).replace(/ \w+$/, "") }));
    for (const [{ x }, width, style] of [[least, 2, { stroke: ALERT }], [design, 3, { stroke: INK, class: "frame" }]]) {
      add("path", { d: `M${x} 14v20`, "stroke-width": width, ...style }, svg);
    }
    // the words of both, the least left of the design
    const [one, other] = [`least ${least.name}`, `design ${design.name}`].map((text) => ({ text, half: measure(text, "700 11px") / 2 }));
    const left = Math.max(one.half, Math.min(least.x, design.x - other.half - one.half - 8));
    const right = Math.min(wide - other.half, Math.max(design.x, left + one.half + other.half + 8));
    for (const [{ text }, x] of [[one, left], [other, right]]) {
      add("text", { x, y: 60, "text-anchor": "middle", "font-size": 11, "font-weight": 700 }, svg, text);
    }
    legend.setAttribute("aria-label", `${heading}: ${labels[0]} to ${labels[labels.length - 1]}`);
  }
  legend.hidden = !legend.firstChild;
}

// The marks that the plan shows now, and what they mean.
function drawKey() {
  const isMoves = state.mode === "moves";
  const isColoured = isMoves || state.mode === "thickness";
  const line = (style) => (svg) => add("path", { d: "M1 9h26", fill: "none", stroke: "currentColor", ...style }, svg);
  const disc = (style, text) => (svg) => {
    add("circle", { cx: 14, cy: 9, r: 8, ...style }, svg);
    if (text) add("text", { x: 14, y: 9.5, "text-anchor": "middle", "dominant-baseline": "central", "font-size": 10, "font-weight": 700, fill: "currentColor" }, svg, text);
  };
  const box = (style) => (svg) => add("rect", { x: 1, y: 2, width: 26, height: 14, fill: "none", stroke: "currentColor", ...style }, svg);
  const falling = (svg) => {
    add("path", { d: "M2 3L13 15M8 3L20 15M15 3L26 14", stroke: "currentColor", "stroke-width": 1 }, svg);
    box({ stroke: "var(--alert)", "stroke-width": 2 })(svg);
  };
  const rising = (svg) => {
    add("path", { d: "M2 14L13 3M9 15L21 3M17 15L26 6", stroke: "currentColor", "stroke-width": 0.8 }, svg);
    box({})(svg);
  };
  const dots = (svg) => {
    for (const x of [5, 11, 17, 23]) for (const y of [6, 12]) add("circle", { cx: x + (y === 12 ? -2 : 1), cy: y, r: 1.1, fill: "currentColor" }, svg);
    box({})(svg);
  };
  const marks = [];
  if (state.mode === "thickness" && hasLines()) marks.push([line({ "stroke-width": 3 }), `design ${sayThickness(plan.design)}`]);
  if (state.mode === "thickness") marks.push([falling, `thinner than ${sayThickness(plan.least)}${plan.some_thin ? "" : ": none seen"}`]);
  if (isMoves) {
    marks.push([rising, "base higher than on grade: C"]);
    marks.push([null, written().sense.join(" ")]);
  }
  if (state.mode === "shots") {
    const left = state.unlabelled;
    const unnumbered = state.unnumbered ? " Where there is no room for it, the number is left out." : "";
    const unmarked = left ? ` ${left} ${left === 1 ? "mark has" : "marks have"} no room: enlarge, or touch the shot.` : "";
    marks.push([null, `Number of each shot, and what its base needs, ${plan.metric ? "mm" : isInInches() ? "in" : "ft"}. C: base high, take it down. F: base low, fill or pour. G: on grade.${unnumbered}${unmarked}`]);
  }
  if (plan.high.length && !isMoves) marks.push([rising, written().meaning.high]);
  if (plan.low.length) marks.push([dots, written().meaning.low]);
  if (state.mode !== "shots" && plan.spots.length) {
    const left = state.unnumberedRows;
    marks.push([disc({ fill: "none", stroke: "currentColor", "stroke-width": 1.5 }, "1"), `row of the fix list; filled: must${left ? `. ${left} ${left === 1 ? "number has" : "numbers have"} no room: enlarge, or see the list` : ""}`]);
    marks.push([(svg) => add("path", { d: crossPath(14, 9), fill: "none", stroke: "currentColor", "stroke-width": 2 }, svg), written().meaning.worst || "worst place of it"]);
  }
  if (shots && shots.suspects.includes(true)) {
    const ringed = (svg) => [disc({ fill: "none", stroke: "currentColor", "stroke-width": 2 })(svg), add("circle", { cx: 14, cy: 9, r: 2.5, fill: "currentColor" }, svg)];
    marks.push([ringed, written().meaning.suspect]);
  }
  if (plan.next.length) {
    const triangle = (svg) => add("path", { d: trianglePath(14, 10), fill: "none", stroke: "currentColor", "stroke-width": 1.5, "stroke-linejoin": "round" }, svg);
    const left = state.unnamedNext;
    const unnamed = left ? `; ${left} ${left === 1 ? "name has" : "names have"} no room: enlarge, or touch it` : "";
    marks.push([triangle, `next shot: where one more tells most${unnamed}`]);
  }
  if (isColoured && hasBeyond) marks.push([line({ "stroke-width": 1.5, "stroke-dasharray": dashesOf("outermost") }), written().meaning.outermost || "beyond: assumed"]);
  if (plan.thickenings.length) marks.push([line({ "stroke-width": 1, "stroke-dasharray": dashesOf("thickening") }), written().meaning.thickening]);
  if (plan.lines.length) {
    const both = (svg) => [line({ "stroke-width": 4 })(svg), line({ "stroke-width": 1.75, stroke: "var(--paper)" })(svg)];
    marks.push([both, written().meaning.line]);
  }
  if (plan.cover.length) {
    const star = (svg) => add("path", { d: starPath(14, 9), fill: "none", stroke: "var(--alert)", "stroke-width": 1.5 }, svg);
    marks.push([star, written().meaning.cover]);
  }
  $("key").replaceChildren(
    ...marks.map(([mark, words]) => {
      const item = document.createElement("li");
      if (mark) mark(add("svg", { viewBox: "0 0 28 18", "aria-hidden": "true" }, item));
      const span = document.createElement("span");
      setWords(span, words);
      item.append(span);
      return item;
    }),
  );
}
