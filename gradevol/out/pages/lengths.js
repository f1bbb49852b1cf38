// Lengths as a rod and a tape show them: read as they are typed, and said in either notation.
const plan = JSON.parse(document.getElementById("plan-data").textContent);

const INCH = 0.0254;
const FOOT = plan.metric ? 0.3048 : plan.metres;
const UNITS = { m: 1, mm: 0.001, cm: 0.01, ft: FOOT, "'": FOOT, in: INCH, '"': INCH };
const GLYPHS = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const MIXED = String.raw`(?:(?:\d+[ -])?\d+\/[1-9]\d*|\d+\.?\d*|\.\d+)`;
const FEET_INCHES = RegExp(`^(\\d+) ?(?:'|ft) ?-? ?(${MIXED}) ?(?:"|in)?$`);
const DASHED = RegExp(`^(\\d+)-(\\d+)(?:-(\\d+/[1-9]\\d*|[0-7]))?$`);
const MARKED = RegExp(`^(${MIXED}) ?(mm|cm|m|ft|in|'|")$`);

function mixed(text) {
  const parts = text.replace(/-(?=\d+\/)/, " ").split(" ");
  return parts.reduce((sum, part) => {
    const [over, under] = part.split("/").map(Number);
    return sum + (under ? over / under : over);
  }, 0);
}

function unmarked(text) {
  return text
    .trim()
    .toLowerCase()
    .replace(/[½¼¾⅛⅜⅝⅞]/g, (glyph) => ` ${GLYPHS[glyph]}`)
    .replace(/[’′‘]/g, "'")
    .replace(/[”″“]|''/g, '"')
    .replace(/[−–]/g, "-")
    .replace(/\b(?:feet|foot)\b/g, "ft")
    .replace(/\binch(?:es)?\b/g, "in")
    .replace(/(\d),(\d)/g, "$1.$2")
    .replace(/\s*\/\s*/g, "/")
    .replace(/\s+/g, " ")
    .trim();
}

// Metres of a length as it is typed: 5.54 in the job's unit, 5'-6 1/2", 66 1/2", 1687 mm; and by
// dashes 5-6 (feet, inches), 5-6-4 (eighths), 5-6-1/2. NaN where it is none, or could be two.
function readLength(text) {
  const bare = unmarked(text);
  const sign = bare[0] === "-" ? -1 : 1;
  const rest = bare.replace(/^[-+] ?/, "");
  if (/^(?:\d+\.?\d*|\.\d+)$/.test(rest)) return sign * Number(rest) * plan.metres;
  const feet = FEET_INCHES.exec(rest);
  if (feet) return mixed(feet[2]) < 12 ? sign * (feet[1] * FOOT + mixed(feet[2]) * INCH) : NaN;
  const dashed = !plan.metric && DASHED.exec(rest);
  if (dashed) {
    const [, whole, inches, part = "0"] = dashed;
    const more = part.includes("/") ? mixed(part) : part / 8;
    return inches < 12 && more < 1 ? sign * (whole * FOOT + (Number(inches) + more) * INCH) : NaN;
  }
  const marked = MARKED.exec(rest);
  return marked ? sign * mixed(marked[1]) * UNITS[marked[2]] : NaN;
}

// half a step of what is packed: a reading that falls short of an eighth by less falls on it
const SLACK = 3e-6;

function fraction(parts) {
  const size = Math.abs(parts);
  const whole = Math.floor(size / 8);
  let [over, under] = [size % 8, 8];
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const words = [whole || !over ? `${whole}` : "", over ? `${over}/${under}` : ""];
  return (parts < 0 ? "-" : "") + words.filter(Boolean).join(" ");
}

// Lengths as the sheet has them; or, of a job in feet, all in inches or in hundredths of a foot.
let notation = "";
const written = () => plan.written[notation];
const isInFeet = () => notation === "hundredths";
// Marks and rods: the sheet's are as the job says.
const isInInches = () => (notation ? !isInFeet() : plan.grade.inches);

// A number as it is read: with a minus as long as its digits.
const withMinus = (text) => text.replace(/^-/, "\u2212");

function sayThickness(metres, down = false) {
  const step = plan.metric ? 0.001 : isInFeet() ? FOOT / 100 : INCH / 8;
  const steps = down ? Math.floor((metres + SLACK) / step) : Math.floor(metres / step + 0.5);
  return withMinus(sayFine(steps, isInFeet()));
}

// So many millimetres, hundredths of a foot or eighths of an inch.
function sayFine(steps, inFeet) {
  if (plan.metric) return `${steps} mm`;
  return inFeet ? `${unsigned((steps / 100).toFixed(2))} ft` : `${fraction(steps)} in`;
}

function sayTape(metres) {
  if (plan.metric) return `${unsigned(metres.toFixed(2))} m`;
  if (isInFeet()) return `${unsigned((metres / FOOT).toFixed(1))} ft`;
  const inches = Math.floor(Math.abs(metres) / INCH + 0.5);
  return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
}

function unsigned(text) {
  return /^-[0.]+$/.test(text) ? text.slice(1) : text;
}

// In the job's unit, as it is booked and typed.
function book(metres) {
  return unsigned((metres / plan.metres).toFixed(plan.metric ? 3 : 2));
}

function sayLevel(metres) {
  return withMinus(notation === "inches" ? sayFeetInches(metres) : `${book(metres)} ${plan.unit}`);
}

function sayFeetInches(metres) {
  const parts = Math.floor((Math.abs(metres) / INCH) * 8 + 0.5);
  return `${metres < 0 && parts ? "-" : ""}${Math.floor(parts / 96)}'-${parts % 96 && parts % 96 < 8 ? "0 " : ""}${fraction(parts % 96)}"`;
}

function sayRod(metres) {
  return isInInches() ? sayFeetInches(metres) : sayLevel(metres);
}

// What such a length looks like, for a hint.
function showLength(metres) {
  return sayRod(metres).replace(/ (?:ft|us-ft|m)$/, "");
}
