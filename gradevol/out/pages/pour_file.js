// Loads: what is typed of them, what the browser keeps of them, and the tickets file.

// Metres of a tape as typed: 9.5, or 9' 6 in feet and inches; null where it is none.
function parseTape(text) {
  const match = /^\s*(\d+(?:[.,]\d*)?|[.,]\d+)?\s*(?:'\s*(\d+(?:[.,]\d*)?)?\s*"?)?\s*$/.exec(text);
  if (!match || (match[1] === undefined && match[2] === undefined)) return null;
  const [whole, inches] = [match[1] ?? "0", match[2] ?? "0"].map((part) => Number(part.replace(",", ".")));
  if (inches >= 12) return null;
  return whole * units.per_length + inches * 0.0254;
}

function parseNumber(text) {
  const match = /^\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*$/.exec(text);
  return match ? Number(match[1].replace(",", ".")) : null;
}

// A tape as it was typed, of metres that a file holds.
function showTape(metres) {
  if (units.is_metric) return trim(metres.toFixed(4));
  const inches = Math.round(metres / 0.0254);
  if (Math.abs(metres / 0.0254 - inches) < 1e-3 && inches % 12 && inches > 11) {
    return `${Math.floor(inches / 12)}' ${inches % 12}`;
  }
  return trim((metres / units.per_length).toFixed(4));
}

function nameSide(side) {
  return capital(data.sides[side - 1].name || `side ${side}`);
}

// What was called at the plant stands among the loads, in the order of time.
const isCall = (entry) => entry.called !== undefined;
const listLoads = (entries) => entries.filter((entry) => !isCall(entry));
const numberOf = (at) => listLoads(state.entries.slice(0, at)).length + 1;
const sumCalled = (entries) => sum(entries.filter(isCall).map((entry) => parseNumber(entry.called) * units.per_volume));
const followEntries = (entries) => follow(readLoads(listLoads(entries)), sumCalled(entries));

const frontColumns = data.columns.filter((column) => column.kind === "front");
const isFar = (side) => frontColumns.find((column) => column.side === side)?.far ?? false;
const lengthOfSide = (side) => edge.lengths[side - 1];

// Loads as typed, as the arithmetic takes them: SI, tapes from where placing began, times that rise.
function readLoads(entries) {
  let last = null;
  const turn = findTurn(entries);
  return entries.map((entry, at) => {
    let finished = parseClock(entry.out);
    if (finished !== null) {
      if (last !== null) finished += turn * Math.max(0, Math.ceil((last - BACK - finished) / turn));
      last = finished;
    }
    return {
      number: at + 1,
      volume: parseNumber(entry.volume) * units.per_volume,
      finished,
      fronts: entry.tapes.filter(({ text }) => text.trim()).map(({ side, text }) => {
        const length = lengthOfSide(side);
        const tape = Math.min(Math.max(parseTape(text), 0), length);
        return [side, isFar(side) ? length - tape : tape];
      }),
      done: entry.done,
      poured: entry.poured,
      isAlone: Boolean(entry.alone),
      returned: entry.returned.trim()
        ? { value: parseNumber(entry.returned.replace("~", "")) * units.per_volume, isEstimate: entry.returned.includes("~") }
        : null,
    };
  });
}

// What is wrong with an entry; an empty text where nothing is.
function findFault(entry) {
  const isWrongClock = entry.out.trim() && parseClock(entry.out) === null;
  if (isWrongClock) return `"${entry.out}" is no time of day, such as 14:05.`;
  if (isCall(entry)) return parseNumber(entry.called) ? "" : "Type what was called at the plant.";
  const volume = parseNumber(entry.volume);
  if (volume === null && entry.volume.trim()) return `"${entry.volume}" is no number of ${units.volume}, such as 9.5.`;
  if (!volume) return "Type the volume on the ticket.";
  if (volume * units.per_volume > 16) return `${entry.volume} ${units.volume} is more than a truck holds. Look at the ticket.`;
  for (const { side, text } of entry.tapes.filter((tape) => tape.text.trim())) {
    const [tape, length] = [parseTape(text), lengthOfSide(side)];
    if (tape === null) return `"${text}" is no tape, such as ${units.is_metric ? "21.6" : "70.5, or 70' 6"}.`;
    const { span, slack } = data.sides[side - 1];
    if (tape > length + slack) {
      return `${nameSide(side)}: ${text} is beyond its end, it is ${sayTape(length)} long. Read the tape again.`;
    }
    const [begin, end] = span ?? [0, length];
    const [along, at] = [isFar(side) ? length - tape : tape, (place) => sayTape(isFar(side) ? length - place : place)];
    if (along > end + slack) {
      return `${nameSide(side)}: ${text} is beyond what is poured, which ends there at ${at(end)}. Read the tape again.`;
    }
    if (along < begin - slack) {
      return `${nameSide(side)}: ${text} is outside what is poured, which begins there at ${at(begin)}. Read the tape again, held at the corner.`;
    }
  }
  const tapes = entry.tapes.filter((tape) => tape.text.trim()).map((tape) => [tape.side, parseTape(tape.text)]);
  if (tapes.length === 1 && findFront(tapes) === null) return "One tape does not reach across the slab: give two.";
  const returned = parseNumber(entry.returned.replace("~", ""));
  if (entry.returned.trim() && returned === null) return `"${entry.returned}" is no volume that was sent back.`;
  if (returned > volume) return "More was sent back than the ticket says.";
  return "";
}

// A load that has the ticket of another; an empty text where none has.
function findTwin({ ticket }, entries, editing) { // entries may be calls, which have none
  const name = (text) => text.trim().toLowerCase();
  const twin = entries.findIndex((one, at) => at !== editing && ticket.trim() && name(one.ticket) === name(ticket));
  return twin < 0 ? "" : `Ticket ${ticket} is that of load ${numberOf(twin)}. If it is another load, tell them apart: ${ticket}a.`;
}

const namePoured = ({ poured }) =>
  Object.entries(poured).map(([name, count]) => (count === 1 ? name : `${count} ${name}`));

const QUOTED = /[",\n\r]/;
const quote = (text) => (QUOTED.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

function listColumns(entries) {
  const sides = new Set(entries.flatMap((entry) => entry.tapes.filter((tape) => tape.text.trim()).map((tape) => tape.side)));
  frontColumns.forEach((column) => sides.delete(column.side));
  const more = [...sides].sort((a, b) => a - b).map((side) => ({
    kind: "front", text: `front_${side}_${units.length}`, side, far: false, factor: units.per_length,
  }));
  const last = data.columns.findLastIndex((column) => column.kind === "front" || column.kind === "finished");
  return [...data.columns.slice(0, last + 1), ...more, ...data.columns.slice(last + 1)];
}

// The tickets file, as gradevol pour and gradevol reconcile read it.
function writeFile(entries) {
  const columns = listColumns(entries);
  const inUnit = (value, factor) => trim((value / factor).toFixed(6));
  const cell = (entry, at, { kind, side, factor }) => {
    const tape = entry.tapes.find((one) => one.side === side && one.text.trim());
    const poured = namePoured(entry);
    const went = entry.alone ? poured : ["slab", ...poured];
    return {
      load: () => (isCall(entry) ? "" : String(listLoads(entries.slice(0, at)).length + 1)),
      called: () => (isCall(entry) ? inUnit(parseNumber(entry.called) * units.per_volume, factor) : ""),
      ticket: () => entry.ticket.trim(),
      volume: () => (isCall(entry) ? "" : inUnit(parseNumber(entry.volume) * units.per_volume, factor)),
      finished: () => writeClock(entry.out),
      front: () => (tape ? inUnit(parseTape(tape.text), factor) : ""),
      done: () => entry.done.join(" + "),
      went_to: () => (poured.length ? went.join(" + ") : ""),
      returned: () => {
        if (!entry.returned.trim()) return "";
        const value = parseNumber(entry.returned.replace("~", "")) * units.per_volume;
        return `${entry.returned.includes("~") ? "~" : ""}${inUnit(value, factor)}`;
      },
    }[kind]?.() ?? "";
  };
  const rows = entries.map((entry, at) => columns.map((column) => cell(entry, at, column)));
  return [columns.map((column) => column.text), ...rows].map((row) => row.map(quote).join(",")).join("\n") + "\n";
}

function splitRows(text) {
  const rows = [[""]];
  let isQuoted = false;
  const letters = [...text.replace(/^\ufeff/, "").replace(/\r\n?/g, "\n")];
  for (let at = 0; at < letters.length; at += 1) {
    const row = rows.at(-1);
    if (isQuoted && letters[at] === '"' && letters[at + 1] === '"') {
      row[row.length - 1] += '"';
      at += 1;
    } else if (letters[at] === '"') isQuoted = !isQuoted;
    else if (letters[at] === "," && !isQuoted) row.push("");
    else if (letters[at] === "\n" && !isQuoted) rows.push([""]);
    else row[row.length - 1] += letters[at];
  }
  return rows.filter((row) => row.some((cell) => cell.trim()));
}

// Entries of a tickets file that a page of this job has given out; throws what is wrong with it.
function readFile(text) {
  const [header, ...rows] = splitRows(text);
  const columns = (header ?? []).map((heading) => {
    const name = heading.trim().toLowerCase();
    const own = data.columns.find((column) => column.text.toLowerCase() === name);
    const front = new RegExp(`^front_(\\d+)_${units.length}$`).exec(name);
    if (own || !front) return own;
    const side = Number(front[1]);
    const isSide = edge && side >= 1 && side <= data.sides.length && side !== data.start;
    return isSide ? { kind: "front", side, factor: units.per_length } : undefined;
  });
  const unknown = columns.findIndex((column) => !column);
  if (!header || unknown >= 0) {
    const which = header ? `, and ${header[unknown].trim() || "an empty one"} is no heading of it` : "";
    throw new Error(`This page reads the tickets files that it gives out${which}. gradevol pour reads others.`);
  }
  return sortLoads(rows.map((row, at) => {
    const find = (kind) => {
      const number = columns.findIndex((column) => column.kind === kind);
      return number < 0 ? "" : (row[number] ?? "").trim();
    };
    const convert = (kind, size) => {
      const cell = find(kind);
      const factor = columns.find((column) => column.kind === kind)?.factor;
      const number = parseNumber(cell.replace("~", ""));
      if (!cell || number === null) return cell;
      return `${cell.includes("~") ? "~" : ""}${trim(((number * factor) / size).toFixed(6))}`;
    };
    const poured = {};
    const told = find("went_to").split("+").map((name) => name.trim()).filter(Boolean);
    const went = told.filter((name) => name !== "slab");
    for (const name of went) {
      const match = /^(?:(\d+)\s+)?(.*)$/.exec(name);
      const pour = data.pours.find((one) => one.name === name || one.name === match[2]);
      if (!pour) throw new Error(`Load ${at + 1} went to ${name}, which is no small pour of this job.`);
      poured[pour.name] = (poured[pour.name] ?? 0) + (pour.name === name ? 1 : Number(match[1] ?? 1));
    }
    const done = find("done").split("+").map((name) => name.trim()).filter(Boolean);
    const wrong = done.find((name) => !(name in data.zones));
    if (wrong) throw new Error(`Load ${at + 1}: ${wrong} is no panel or pour of this job.`);
    const tapes = columns.flatMap(({ kind, side, factor }, number) => {
      const cell = kind === "front" ? (row[number] ?? "").trim() : "";
      if (!cell) return [];
      const value = parseNumber(cell);
      if (value === null) throw new Error(`Load ${at + 1}: the front ${cell} is no number.`);
      return [{ side, text: showTape(value * factor) }];
    });
    const entry = {
      volume: convert("volume", units.per_volume), returned: convert("returned", units.per_volume),
      tapes, done, poured, out: find("finished"), ticket: find("ticket"), alone: told.length > 0 && told.length === went.length,
    };
    const called = convert("called", units.per_volume);
    const isOfCall = called && !entry.volume && !find("load");
    const call = { ...entry, volume: "", tapes: [], done: [], poured: {}, returned: "", ticket: "", called };
    const made = [...(isOfCall ? [] : [entry]), ...(called ? [call] : [])];
    const fault = made.map(findFault).find(Boolean);
    if (fault) throw new Error(`Load ${at + 1}: ${fault}`);
    return { number: find("load"), made };
  }));
}

// Entries of rows in the order of their loads' numbers, where all have one, as gradevol pour takes them; what
// was called stays behind the load before it. Throws where two rows have one number or one ticket.
function sortLoads(rows) {
  const groups = [];
  for (const { number, made } of rows) {
    if (made.every(isCall) && groups.length) groups.at(-1).made.push(...made);
    else groups.push({ number, made: [...made], at: made.every(isCall) ? -1 : Number(number) });
  }
  const loads = groups.filter(({ at }) => at !== -1);
  const tickets = loads.map(({ made }) => made[0].ticket.toLowerCase());
  for (const [names, what] of [[loads.map(({ number }) => number.toLowerCase()), "Load"], [tickets, "Ticket"]]) {
    const twin = names.find((name, at) => name && names.indexOf(name) < at);
    if (twin) throw new Error(`${what} ${twin} stands twice in the file: if it is one load, take a row out; if two, tell them apart.`);
  }
  const isNumbered = loads.every(({ number }) => /^\d+$/.test(number));
  if (isNumbered) groups.sort((one, other) => one.at - other.at);
  return groups.flatMap(({ made }) => made);
}
