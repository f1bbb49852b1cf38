// What is said after each load: the sentences of gradevol pour, their gaps filled here.
const { units, said } = data;

// A number with so many decimals; what lies just between two goes to the even one, as in Python.
function fix(value, digits) {
  const text = value.toFixed(digits);
  const [whole, rest] = value.toFixed(digits + 40).split(".");
  const isTie = /^50*$/.test(rest.slice(digits)) && Number(`${whole}.${rest}`) === value;
  const isOdd = Number(text.at(-1)) % 2 === 1;
  if (isTie && isOdd) return `${whole}${digits ? "." : ""}${rest.slice(0, digits)}`;
  return Number(text) === 0 ? text.replace("-", "") : text;
}

const trim = (text) => (text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text);
const group = (text) => text.replace(/^(-?\d+)/, (whole) => whole.replace(/\B(?=(\d{3})+$)/g, ","));
const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
const MOST_NAMED = 6;
function listOf(items) {
  if (items.length > MOST_NAMED + 1) return `${items.slice(0, MOST_NAMED).join(", ")} and ${items.length - MOST_NAMED} more`;
  return [items.slice(0, -1).join(", "), ...items.slice(-1)].filter(Boolean).join(" and ");
}
const toVolume = (volume) => volume / units.per_volume;

const digitsOf = (value) => (Math.abs(value) >= 9.95 ? 1 : 2);

function sayVolume(volume) {
  const value = toVolume(volume);
  return `${group(fix(value, digitsOf(value))).replace(/^-/, "\u2212")} ${units.volume}`;
}

function sayTape(metres) {
  if (units.is_metric) return `${fix(metres, 2)} m`;
  const inches = Math.floor(Math.abs(metres) / 0.0254 + 0.5);
  return `${metres < 0 && inches ? "-" : ""}${Math.floor(inches / 12)} ft ${inches % 12} in`;
}

// Decimals of what is needed: as its range bears, of a large one no more than a step's.
function bearDigits(told) {
  const [mean, low, high] = told.map(toVolume);
  const value = Math.max(mean, 0);
  const borne = -Math.floor(Math.log10(Math.max((high - low) / 2 / 5, 1e-9)) + 1e-9);
  const digits = Math.max(0, Math.min(digitsOf(value), borne));
  return value >= 10 ? Math.min(digits, stepDigits) : digits;
}

const sayNeeded = (told) => `${group(fix(toVolume(Math.max(told[0], 0)), bearDigits(told)))} ${units.volume}`;

// Between what a volume lies, rounded outwards to its own digits.
function boundOf(told) {
  const scale = 10 ** bearDigits(told);
  const [down, up] = told.slice(1).map((bound) => toVolume(Math.max(bound, 0)) * scale);
  return [Math.floor(down + 1e-6) / scale, Math.ceil(up - 1e-6) / scale];
}

const sayRange = (told) => say("range", ...boundOf(told).map((bound) => group(fix(bound, bearDigits(told))))).join("");

// What the slab will take: what is told to be in it and what is told to be needed.
function sayTotal({ placed, still, total }) {
  const ticketed = toVolume(placed.ticketed);
  const rest = Number(fix(toVolume(Math.max(still[0], 0)), bearDigits(still)));
  const told = Number(fix(ticketed, digitsOf(ticketed))) + rest;
  const [low, high] = boundOf(total);
  return `${group(fix(Math.min(Math.max(told, low), high), bearDigits(total)))} ${units.volume}`;
}

// A time of day, and how many days on from that of another it is.
function sayClock(hours, since) {
  const [minutes, from] = [hours, since].map((each) => Math.floor(each * 60 + 1e-6));
  const [day, rest] = [Math.floor(minutes / 1440) - Math.floor(from / 1440), wrap(minutes, 1440)];
  const clock = `${Math.floor(rest / 60)}:${String(rest % 60).padStart(2, "0")}`;
  if (day < 1) return clock;
  return (day === 1 ? say("next day", clock) : say("days on", clock, day)).join("");
}

// Steps of the plant, with no more digits than a step has.
const stepSize = toVolume(data.plant.step);
const stepDigits = (() => {
  const found = [0, 1, 2, 3].findIndex((digits) => {
    const scaled = stepSize * 10 ** digits;
    return Math.abs(scaled - Math.round(scaled)) < 1e-6;
  });
  return found < 0 ? 2 : found;
})();
const saySteps = (count) => trim(fix(count * stepSize, stepDigits));
const stepsDown = (volume) => saySteps(Math.floor(toVolume(volume) / stepSize + 1e-9));
const stepsUp = (volume) => saySteps(Math.ceil(toVolume(volume) / stepSize - 1e-9));

// What is expected to be left over, as an order tells it.
const sayAbout = (left, still) =>
  `${group(fix(toVolume(left), Math.min(stepDigits, 1, bearDigits(still))))} ${units.volume}`;

function sayOrder(volume) {
  const scale = 10 ** stepDigits;
  return trim(fix(Math.ceil(toVolume(volume) * scale - 1e-4) / scale, stepDigits));
}

// A chance of coming up short, rounded up.
function sayShort(chance) {
  if (chance < 0.01 || chance > 0.99) return chance < 0.01 ? "under 1 %" : "over 99 %";
  const accepted = 100 * (data.plant.bound?.risk ?? 0);
  const digits = Math.abs(accepted - Math.round(accepted)) < 1e-9 ? 0 : 1;
  const scale = 10 ** digits;
  return `${fix(Math.ceil(100 * chance * scale - 1e-9) / scale, digits)} %`;
}

// A sentence by its name, as parts: figures, made by `large`, are set large.
function say(name, ...parts) {
  const [first, ...rest] = data.words[name].split("{}");
  return [first, ...rest.flatMap((text, at) => [parts[at], text])].flat(9).filter((part) => part !== "");
}

// Name of the words of a front, or of what is done where that alone is told.
const nameOfWords = (name, ...steps) => (steps.length && steps.every((step) => step.isByName) ? `${name} done` : name);

const large = (text) => ({ large: text });
const nameOf = (load) => `load ${load.number}`;
const listFed = (feeds) =>
  feeds.map(({ name, count, volume }) =>
    `${count === 1 ? name : say("several", count, name).join("")} ${sayVolume(volume)}`);

function tellNow(day) {
  if (day.isDone) {
    return { still: say(day.isByTickets || day.surplus ? "full by tickets" : "full", large(sayVolume(day.placed.ticketed))), calls: [] };
  }
  const calls = day.calls.map((choice) => [...askFirst(choice, day), ...sayCall(choice.call)]);
  return {
    still: say("still", large(sayNeeded(day.still)), sayRange(day.still), said.level, sayComing(day)),
    calls: day.calls.length > 1 ? [sayCheck(day), ...calls] : calls,
  };
}

// What of it needs no call; nothing where that hangs on what is off, or is all of it.
function sayComing({ calls, still }) {
  const { coming } = calls[0].call;
  return calls.length > 1 || !(coming > 0 && coming < still[0]) ? "" : say("on the way", sayVolume(coming));
}

const listOpen = (day) => day.alerts.flatMap(({ verdict, step }) => (verdict === "front" ? [] : [step]));

// What to find out first, where the call hangs on it.
function sayCheck(day) {
  const steps = listOpen(day);
  const names = steps.flatMap((step) => step.names);
  if (day.surplus !== null) names.push(...day.placed.unread);
  const hasFront = day.calls.some(({ cases }) => cases.includes("front"));
  return say("check", listOf(names), hasFront ? say(nameOfWords("tape", ...steps)) : "");
}

// In which case a call holds; nothing where in all.
function askFirst({ cases }, day) {
  if (!cases.length) return [];
  const isRight = cases.includes("slab");
  const slips = ["ticket", "front"].filter((one) =>
    isRight ? !cases.includes(one) && day.calls.some((each) => each.cases.includes(one)) : cases.includes(one));
  const saidOf = { ticket: "slip ticket", front: nameOfWords("slip front", ...listOpen(day)) };
  const named = slips.map((one) => say(saidOf[one]).join(""));
  const told = isRight && named.length > 1 ? say("both").join("") : named.join(say("or").join(""));
  return [...say(isRight ? "right" : "wrong", capital(told)), " "];
}

function sayCall(call) {
  const fed = call.feeds.length ? [" ", ...say("feeds", listOf(listFed(call.feeds)))] : [];
  if (call.isNothing) {
    const spare = call.left > NOTHING ? say("spare", sayVolume(call.left)) : "";
    return [...say("nothing", call.coming > 0 ? say("enough", sayVolume(call.coming), spare) : ""), ...fed];
  }
  let when = "";
  if (call.by !== null) {
    const [clock, ...day] = sayClock(call.by, call.pace.since).split(" ");
    when = say(call.isLate ? "late" : "by", [large(clock), ...day.map((word) => ` ${word}`)]);
  }
  return [...say("call", large(`${sayOrder(call.volume)} ${units.volume}`), when), ...fed];
}

function tellPlaced(day) {
  const told = [];
  const { loads, placed } = day;
  if (loads.length) {
    const count = `${loads.length} ticket${loads.length === 1 ? "" : "s"}`;
    const into = say("into", sayVolume(placed.ticketed), count);
    const front = placed.unread.length && placed.steps.length ? say("front of", nameOf(placed.steps.at(-1).load)) : "";
    told.push([...into, ...(day.behind === null ? [] : ["; ", ...say(nameOfWords("behind", placed.steps.at(-1)), front, sayVolume(day.behind))]), "."]);
  }
  if (placed.unread.length && !day.isDone) told.push(say(nameOfWords("no front", ...placed.steps), listOf(placed.unread)));
  const gone = listFed(placed.filled);
  if (placed.returned) gone.push(say("returned", sayVolume(placed.returned)).join(""));
  if (gone.length) told.push(say("gone", gone.join("; ")));
  if (day.called) told.push(say("called", sayVolume(day.called)));
  if (!day.isDone) {
    told.push(say(day.isByTickets ? "total by tickets" : "total", sayTotal(day), sayRange(day.total), said.level, sayVolume(data.volume)));
  }
  const [mean, low, high] = day.factor.map((factor) => fix(factor, 3));
  told.push(say("factor", mean, low, high, fix(day.expected, 3), said.expected));
  return told;
}

// What each call rests on, what waiting would tell, and the chance of coming up short.
const tellCalls = (day) =>
  day.calls.flatMap((choice) => {
    const [rests, ...more] = tellCall(choice, day.called);
    return [[...askFirst(choice, day), ...rests], ...more];
  });

function tellCall({ call, still }, called) {
  const parts = [say("rests still", sayNeeded(still))];
  if (call.coming > 0) parts.push(say(called ? "rests called" : "rests coming", sayVolume(call.coming)));
  const risk = say("rests risk", said.risk);
  if (call.isNothing) return [[parts.concat([risk]).map((part) => part.join("")).join(", "), "."]];
  parts.push(data.plant.costs ? say("rests costs") : risk, say("rests step", said.step));
  const all = [[parts.map((part) => part.join("")).join(", "), ". ", ...sayPace(call.pace)]];
  if (call.by !== null && !call.isLate) {
    const [low, high] = still.slice(1).map((bound) => Math.max(bound - call.coming, 0));
    all.push(say("wait", stepsDown(low), stepsUp(high)));
  }
  all.push(say("short", capital(sayShort(call.chanceShort)), sayAbout(call.left, still)));
  return all;
}

function sayPace({ outAt, since, rate, told }) {
  if (data.notice === null || since === null || rate === null) {
    return say(`no ${data.notice === null ? "notice" : since === null ? "start" : "rate"}`);
  }
  const begins = say(outAt === null ? "starts" : "out at");
  return say("pace", begins, sayClock(since, since), trim(fix(toVolume(rate), 0)), units.volume, say(told), said.notice);
}

const sayAlerts = ({ alerts, surplus, unit, placed }) => [
  ...(unit ? [say(nameOfWords("unit", ...placed.steps), ...unit.slice(0, 2))] : []),
  ...alerts.map(sayAlert),
  ...(surplus === null ? [] : [say(nameOfWords("over", ...placed.steps), sayVolume(surplus), listOf(placed.unread))]),
];

// More small pours than there are, and loads that held more than theirs take, as gradevol pour notes them.
function sayPoured({ loads }) {
  const [share, close] = data.full;
  const counts = {};
  return loads.flatMap((load) => {
    const named = data.pours.filter(({ name }) => load.poured[name]).map((pour) => [load.poured[pour.name], pour]);
    const told = named.flatMap(([number, { name, count }]) => {
      const before = counts[name] ?? 0;
      counts[name] = before + number;
      const isTooOften = number > count || (before + number > count && count > 1);
      return isTooOften ? [say("too often", nameOf(load), name, before + number, count)] : [];
    });
    const took = sum(named.map(([number, pour]) => number * pour.volume));
    const stayed = load.volume - (load.returned?.value ?? 0);
    if (named.length && load.isAlone && stayed > took * (1 + share) + close) {
      told.push(say("alone", capital(nameOf(load)), listOf(namePoured(load)), sayVolume(stayed), sayVolume(took)));
    }
    return told;
  });
}

function sayAlert({ step, excess, verdict, mayBeMisread: isOn, ahead, totalIf }) {
  const isMore = excess > 0;
  const seen = say(nameOfWords("alert", step), capital(listOf(step.names)), sayVolume(Math.abs(excess)), say(isMore ? "more" : "less"));
  let off = "";
  if (step.isByName) off = say(isMore ? "more done" : "less done");
  else if (ahead !== null) off = say("ahead", sayTape(Math.abs(ahead)), say(isMore ? "on" : "back"));
  const slip = say(isMore ? "too much" : "too little");
  const cause = say(isMore ? "gave way" : "higher");
  const [ifSlab, ifTicket, ifFront] = CASES.map((one) => sayVolume(totalIf[one]));
  const rest = {
    front: () => say(nameOfWords("front", step), off),
    concrete: () => say(isOn ? "concrete" : nameOfWords("beyond", step), slip, ifTicket, cause, ifSlab),
    open: () => say(nameOfWords("open", step), off, ifFront, slip, ifTicket, cause, ifSlab),
  }[verdict]();
  return [...seen, " ", ...rest];
}
