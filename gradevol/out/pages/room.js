// Room for words on the plan: boxes that are taken, found by the squares of the sheet that they touch.
const SQUARE = 48;
let taken = new Map();
let firm = []; // boxes that nothing may be written over, whatever room is left
function squaresOf([left, top, right, bottom]) {
  const found = [];
  for (let across = Math.floor(left / SQUARE); across <= Math.floor(right / SQUARE); across += 1) {
    for (let down = Math.floor(top / SQUARE); down <= Math.floor(bottom / SQUARE); down += 1) found.push(across * 4096 + down);
  }
  return found;
}
const boxOf = (x, y, wide, high) => [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
function isFree(x, y, wide, high, { isOverDots = false } = {}) {
  const one = boxOf(x, y, wide, high);
  const isApart = (other) => (isOverDots && other.isDot) || one[2] < other[0] || one[0] > other[2] || one[3] < other[1] || one[1] > other[3];
  return squaresOf(one).every((square) => (taken.get(square) || []).every(isApart));
}
function take(x, y, wide, high, { isDot = false, isFirm = false } = {}) {
  const one = Object.assign(boxOf(x, y, wide, high), { isDot });
  if (isFirm) firm.push(one);
  for (const square of squaresOf(one)) taken.set(square, [...(taken.get(square) || []), one]);
}
const isInView = (x, y, wide, high) => x >= wide / 2 && y >= high / 2 && x <= view.width - wide / 2 && y <= view.height - high / 2;

// Whether a line from a mark to its words crosses no words: but for what the mark itself stands in.
function isLineClear(x, y, a, b) {
  const holds = (u, v) => ([left, top, right, bottom]) => u >= left && u <= right && v >= top && v <= bottom;
  const steps = Math.ceil(Math.hypot(a - x, b - y) / 3);
  for (let step = 1; step <= steps; step += 1) {
    const [u, v] = [x + ((a - x) * step) / steps, y + ((b - y) * step) / steps];
    const [square] = squaresOf([u, v, u, v]);
    if ((taken.get(square) || []).some((box) => !box.isDot && holds(u, v)(box) && !holds(x, y)(box))) return false;
  }
  return true;
}
