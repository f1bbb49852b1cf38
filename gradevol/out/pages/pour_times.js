// Times of loads: how they are typed, which come first, and which are hardly right.
function parseClock(text) {
  const match = /^\s*(\d{1,2})(?:[:.h]?([0-5]\d))?\s*(?:([ap])\.?m?\.?)?\s*$/i.exec(text);
  const [hour, half] = [Number(match?.[1]), match?.[3]?.toLowerCase()];
  if (!match || (half ? hour < 1 || hour > 12 : hour > 23 || match[2] === undefined)) return null;
  return (half ? (hour % 12) + (half === "p" ? 12 : 0) : hour) + Number(match[2] ?? 0) / 60;
}

function now() {
  const date = new Date();
  return `${date.getHours()}:${String(date.getMinutes()).padStart(2, "0")}`;
}

// A time may stand so many hours before the one ahead of it; one this far after the clock here is asked about.
const BACK = 6;
const [AHEAD, FAR_AHEAD] = [0.25, 20];

function findTurn(entries) { // the hours of their clock
  const times = entries.map((entry) => parseClock(entry.out)).filter((time) => time !== null);
  return times.every((time) => time >= 1 && time < 13) ? 12 : 24;
}

// Where an entry belongs by its time: before those that were out later.
function findPlace(entries, entry) {
  const [time, turn] = [parseClock(entry.out), findTurn([...entries, entry])];
  let place = entries.length;
  for (let at = entries.length - 1; at >= 0 && time !== null; at -= 1) {
    const other = parseClock(entries[at].out);
    if (other === null) continue;
    const later = wrap(other - time, turn);
    if (later < 1e-9 || later > BACK) break;
    place = at;
  }
  return place;
}

// A time as gradevol pour reads it, however it was typed.
function writeClock(text) {
  const hours = parseClock(text);
  if (hours === null) return "";
  const minutes = Math.round(hours * 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}

// Times that are hardly right, as gradevol pour notes them.
function sayDoubts({ loads }) {
  const { first, ahead, after } = data.times;
  let last = data.begins === null ? null : [data.begins, say("the start")];
  let limits = [first, first];
  return loads.filter((load) => load.finished !== null).flatMap((load) => {
    const [gap, from] = last ? [load.finished - last[0], last[1]] : [0, ""];
    const off = limits[0] === first ? wrap(gap + 12, 24) - 12 : gap; // from 22:00 to 0:10
    const [least, most] = [-limits[0] - 1e-6, limits[1] + (data.rate ? load.volume / data.rate : 0) + 1e-6];
    const day = last && Math.floor(load.finished / 24) > Math.floor(last[0] / 24) ? say("of the next day") : [];
    last = [load.finished, nameOf(load)];
    limits = [ahead, after];
    if (off >= least && off <= most) return [];
    const told = say(gap > 0 ? "time after" : "time before", capital(nameOf(load)), fix(Math.abs(gap), 1), from);
    return [[...told, ...day, ...say("misread")]];
  });
}

// A time that is still to come by the clock here is asked about once, and so is one that is hardly right.
function askTime(entries, at) {
  const { out } = entries[at];
  const time = parseClock(out);
  const here = parseClock(now());
  if (time === null || state.asked === out) return "";
  const isToCome = time > here + AHEAD && time <= here + FAR_AHEAD;
  const told = isToCome ? `${out} is still to come: it is ${now()} by the clock here.` : doubtOf(entries, at);
  if (!told) return "";
  state.asked = out;
  return `${told} Press again if it is right.`;
}

// What is doubted of the time of one load; nothing of a call's.
function doubtOf(entries, at) {
  if (isCall(entries[at])) return "";
  const count = listLoads(entries.slice(0, at)).length;
  const loads = readLoads(listLoads(entries)).slice(0, count + 1);
  const [before, doubts] = [loads.slice(0, count), loads].map((some) => sayDoubts({ loads: some }));
  return doubts.length > before.length ? doubts.at(-1).join("") : "";
}
