// The colours and the marks that the plan shows now, and what they mean.
function drawLegend() {
  const legend = $("legend");
  legend.replaceChildren();
  const isMoves = state.mode === "moves";
  const unit = plan.metric ? "mm" : "in";
  const words = [];
  if (state.mode === "thickness" || isMoves) {
    const { levels, colours, labels } = isMoves ? plan.moves : plan.thickness;
    const [wide, cell] = [300, 300 / colours.length];
    const svg = add("svg", { viewBox: "0 0 300 52", "aria-hidden": "true" }, legend);
    const heading = isMoves ? `Cut and fill to the design base, ${unit}` : `Thickness, ${unit}`;
    add("text", { x: 0, y: 10, "font-weight": 600 }, svg, heading);
    colours.forEach((fill, at) => add("rect", { x: at * cell, y: 16, width: cell + 0.3, height: 16, fill }, svg));
    const across = (value) => ((value - levels[0]) / (levels[levels.length - 1] - levels[0])) * wide;
    const thin = isMoves ? across(-(plan.high === null ? levels[1] - levels[0] : plan.high)) : across(plan.least);
    const hatch = [];
    for (let x = 5; x < Math.min(wide, thin) + 16; x += 6.5) {
      const [from, to] = [Math.max(0, x - 16), Math.min(x, thin)];
      if (to > from) hatch.push(`M${from} ${32 - (from - (x - 16))}L${to} ${32 - (to - (x - 16))}`);
    }
    add("path", { d: hatch.join(""), stroke: INK, "stroke-width": 1 }, svg);
    add("rect", { x: 0.5, y: 16, width: wide - 1, height: 16, fill: "none", stroke: INK, class: "frame" }, svg);
    if (isMoves) {
      const every = Math.ceil((labels.length * 44) / wide);
      const zero = labels.findIndex((label) => label === "0");
      labels.forEach((label, at) => {
        if ((at - zero) % every) return;
        const mark = at === zero ? "G" : `${at < zero ? "C" : "F"} ${label}`;
        const middle = (at + 0.5) * cell;
        const x = Math.min(wide - 19, Math.max(19, middle));
        add("text", { x, y: 46, "text-anchor": "middle", "font-size": 11 }, svg, mark);
      });
    } else {
      const every = Math.ceil(labels.length / 8);
      labels.forEach((label, at) => {
        const x = across(levels[at]);
        const apart = at === 0 || at === labels.length - 1 ? 36 : 26;
        const isNear = [plan.design, plan.least].some((level) => Math.abs(across(level) - x) < apart);
        if (at % every || isNear) return;
        const anchor = at === 0 ? "start" : at === labels.length - 1 ? "end" : "middle";
        add("text", { x, y: 46, "text-anchor": anchor, "font-size": 11 }, svg, label);
      });
      for (const [level, width] of [[plan.least, 2], [plan.design, 3]]) {
        add("path", { d: `M${across(level)} 14v20`, stroke: level === plan.least ? ALERT : INK, "stroke-width": width, class: level === plan.least ? "" : "frame" }, svg);
        const [, whole] = /^(.*) \w+$/.exec(sayThickness(level));
        const half = measure(whole, "700 11px") / 2;
        const x = Math.min(wide - half, Math.max(half, across(level)));
        add("text", { x, y: 46, "text-anchor": "middle", "font-size": 11, "font-weight": 700 }, svg, whole);
      }
    }
    legend.setAttribute("aria-label", `${heading}: ${labels[0]} to ${labels[labels.length - 1]}`);
  }
  legend.hidden = !legend.firstChild;
  drawKey();
}

// The marks that the plan shows now, and what they mean.
function drawKey() {
  const isMoves = state.mode === "moves";
  const isColoured = isMoves || state.mode === "thickness";
  const unit = plan.metric ? "mm" : "in";
  const line = (style) => (svg) => add("path", { d: "M1 9h26", fill: "none", stroke: "currentColor", ...style }, svg);
  const disc = (style, text) => (svg) => {
    add("circle", { cx: 14, cy: 9, r: 8, ...style }, svg);
    if (text) add("text", { x: 14, y: 9.5, "text-anchor": "middle", "dominant-baseline": "central", "font-size": 10, "font-weight": 700, fill: "currentColor" }, svg, text);
  };
  const hatch = (svg) => {
    add("path", { d: "M2 14L13 3M8 15L20 3M15 15L26 4", stroke: "currentColor", "stroke-width": 1 }, svg);
    if (!isMoves) add("rect", { x: 1, y: 2, width: 26, height: 14, fill: "none", stroke: "var(--alert)", "stroke-width": 2 }, svg);
  };
  const dots = (svg) => {
    for (const x of [3, 9, 15, 21]) for (const y of [5, 11]) add("circle", { cx: x + (y === 11 ? 3 : 0), cy: y, r: 1, fill: "currentColor" }, svg);
  };
  const has = (kinds) => plan.spots.some((spot) => kinds.includes(spot.kind) && spot.rings.length);
  const marks = [];
  if (state.mode === "thickness" && hasLines()) marks.push([line({ "stroke-width": 3 }), `design ${sayThickness(plan.design)}`]);
  if (state.mode === "thickness") marks.push([hatch, `thinner than ${sayThickness(plan.least)}${plan.some_thin ? "" : ": none seen"}`]);
  if (isMoves) {
    marks.push([hatch, plan.high === null ? "C: base high, take it down" : `C: base high; hatched beyond ${sayThickness(plan.high)}`]);
    marks.push([null, "F: base low, fill or pour. G: on grade."]);
  }
  if (state.mode === "shots") {
    const left = state.unlabelled;
    const unnumbered = state.unnumbered ? " Where there is no room for it, the number is left out." : "";
    const unmarked = left ? ` ${left} ${left === 1 ? "mark has" : "marks have"} no room: enlarge, or touch the shot.` : "";
    marks.push([null, `Number of each shot, and what its base needs, ${unit}. C: base high, take it down. F: base low, fill or pour. G: on grade.${unnumbered}${unmarked}`]);
  }
  if (has(["thin", "high"])) marks.push([line({ "stroke-width": 1.5, "stroke-dasharray": "4 2.5" }), "place to shave"]);
  if (has(["low"])) marks.push([line({ "stroke-width": 1.5, "stroke-dasharray": "9 3 2 3" }), "place to fill"]);
  if (state.mode !== "shots" && plan.spots.length) {
    marks.push([disc({ fill: "none", stroke: "currentColor", "stroke-width": 1.5 }, "1"), "row of the fix list; filled: must"]);
  }
  if (shots && shots.suspects.includes(true)) {
    marks.push([disc({ fill: "none", stroke: "currentColor", "stroke-width": 2 }), "suspect shot"]);
  }
  if (plan.next.length) {
    const triangle = (svg) => add("path", { d: trianglePath(14, 10), fill: "none", stroke: "currentColor", "stroke-width": 1.5, "stroke-linejoin": "round" }, svg);
    marks.push([triangle, "next shot: where one more tells most"]);
  }
  if (isColoured && hasBeyond) marks.push([dots, "beyond the shots"]);
  if (plan.thickenings.length) marks.push([line({ "stroke-width": 1, "stroke-dasharray": "12 4" }), "thickening"]);
  if (plan.lines.length) {
    const both = (svg) => [line({ "stroke-width": 4 })(svg), line({ "stroke-width": 1.75, stroke: "var(--paper)" })(svg)];
    marks.push([both, `cast in: ${[...new Set(plan.lines.map((one) => one.name))].slice(0, 3).join(", ")}`]);
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
