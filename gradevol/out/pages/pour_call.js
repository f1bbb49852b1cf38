// The call: the balance at the job's risk or least cost, in whole steps of the plant, and by when.
const { DONE, NOTHING, NEARLY, EVEN, MOST_WEIGHED, CUBIC_YARD, ALIKE } = data.constants;

// The complementary error function to the last digits: a series near 0, a continued fraction beyond.
function erfc(x) {
  if (x < 0) return 2 - erfc(-x);
  if (x > 27) return 0;
  if (x < 2) {
    let [term, total] = [x, x];
    for (let n = 1; Math.abs(term) > 1e-17 * total; n += 1) {
      term *= (2 * x * x) / (2 * n + 1);
      total += term;
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * total;
  }
  let rest = 0;
  for (let n = 120; n > 0; n -= 1) rest = n / 2 / (x + rest);
  return Math.exp(-x * x) / Math.sqrt(Math.PI) / (x + rest);
}

const density = (z) => (Number.isFinite(z) ? Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI) : 0);
const below = (z) => erfc(-z / Math.SQRT2) / 2;
const chanceBetween = (low, high) => (low > 0 ? below(-low) - below(-high) : below(high) - below(low));
const chanceAbove = (need, value) => erfc((value - need.mean) / need.sd / Math.SQRT2) / 2;

// Expected shortage of an order.
function expectShort(need, volume) {
  const z = (volume - need.mean) / need.sd;
  return (need.mean - volume) * chanceAbove(need, volume) + need.sd * density(z);
}

// What remains of what is left over when a small pour has taken its share, stretch by stretch.
function fillPour(stretches, pour) {
  const [size, most] = pour.partial ? [pour.volume * pour.count, 1] : [pour.volume, pour.count];
  const made = [];
  for (const stretch of stretches) {
    let { start, rest } = stretch;
    while (start < stretch.end) {
      const whole = Math.min(most, Math.floor(rest / size + NEARLY));
      const reach = whole === most ? Infinity : (whole + 1) * size - rest;
      const end = Math.min(stretch.end, start + reach);
      if (whole === most || !pour.partial) made.push({ start, end, rest: Math.max(rest - whole * size, 0) });
      rest += end - start;
      start = end;
    }
  }
  return made;
}

// Expected volume that remains.
function expectUnused(stretches, mean, sd) {
  return sum(stretches.map(({ start, end, rest }) => {
    const [low, high] = [(start - mean) / sd, (end - mean) / sd];
    const chance = chanceBetween(low, high);
    return rest * chance + (mean - start) * chance + sd * (density(low) - density(high));
  }));
}

const countUp = (volume) => Math.ceil(volume / data.plant.step - NEARLY);

function canBring(steps, least = data.plant.least) {
  const { most } = data.plant;
  return steps >= least * (most === null ? 1 : Math.max(1, Math.ceil(steps / most)));
}

// Steps of each load of an order: full trucks first; those before a small last one give it what is missing.
function planLoads(steps) {
  const { most, least, fair } = data.plant;
  if (most === null) return [steps];
  const rest = steps % most;
  const loads = [...Array(Math.floor(steps / most)).fill(most), ...(rest ? [rest] : [])];
  const wanted = canBring(steps, fair) ? fair : least;
  let wanting = wanted - loads.at(-1);
  for (let at = loads.length - 2; at >= 0 && wanting > 0; at -= 1) {
    const given = Math.min(wanting, most - wanted);
    loads[at] -= given;
    loads[loads.length - 1] += given;
    wanting -= given;
  }
  return loads;
}

// How much the loads of an order are under what pays no fee.
function lackOf(steps) {
  const { short_load: fee, step } = data.plant;
  return fee === null ? 0 : sum(planLoads(steps).map((load) => Math.max(fee - load * step, 0)));
}

function roundUp(volume) {
  const { most, least } = data.plant;
  const steps = countUp(Math.max(volume, 0));
  return Math.max(steps, least * (most === null ? 1 : Math.max(1, Math.ceil(steps / most))));
}

// The order of least expected cost among those of `least` steps or more.
function weighUp(need, least, pours) {
  const { step, costs } = data.plant;
  const stretches = pours.reduce(fillPour, [{ start: 0, end: Infinity, rest: 0 }]);
  const rank = (steps) => {
    const volume = steps * step;
    const unused = expectUnused(stretches, volume - need.mean, need.sd);
    const loss =
      costs.left_over * unused +
      costs.short * chanceAbove(need, volume) +
      costs.short_rate * expectShort(need, volume) +
      costs.short_load * lackOf(steps);
    return Number(loss.toPrecision(6));
  };
  const low = roundUp(need.mean - 4 * need.sd);
  const taken = sum(pours.map((pour) => pour.volume * pour.count));
  const high = roundUp(Math.max(need.mean + 6 * need.sd + taken, least * step));
  const stride = Math.max(1, Math.floor((high - low) / MOST_WEIGHED));
  const seen = new Map();
  const look = (steps) => {
    if (!seen.has(steps) && steps > 0 && canBring(steps)) seen.set(steps, rank(steps));
  };
  const best = (counts) =>
    counts.reduce((one, other) => (seen.get(other) < seen.get(one) || (seen.get(other) === seen.get(one) && other < one) ? other : one));
  for (let steps = low; steps <= high; steps += stride) look(steps);
  [least, high].forEach(look);
  if (stride > 1) {
    const middle = best([...seen.keys()]);
    for (let steps = middle - stride; steps <= middle + stride; steps += 1) look(steps);
  }
  return best([...seen.keys()].filter((steps) => steps >= least));
}

function findPace(loads) {
  let ticketed = 0;
  const timed = [];
  for (const load of loads) {
    ticketed += load.volume;
    if (load.finished !== null) timed.push([load.finished, ticketed]);
  }
  const isStated = data.rate !== null && (data.trucks === null || data.rate <= data.trucks);
  const goBy = (seen, since) => {
    const [told, rate] = isStated ? ["stated", data.rate] : seen === null ? ["trucks", data.trucks] : ["seen", seen];
    return { rate, told, ...since };
  };
  if (!timed.length) return goBy(null, { outAt: null, since: data.begins, placed: 0 });
  const [outAt, placed] = timed.reduce((one, other) =>
    other[0] > one[0] || (other[0] === one[0] && other[1] > one[1]) ? other : one);
  const [first, begun] = timed[0];
  const seen = outAt > first && placed > begun ? (placed - begun) / (outAt - first) : null;
  return goBy(seen, { outAt, since: outAt, placed });
}

function timeCall(pace, until) {
  if (pace.rate === null || pace.since === null || data.notice === null) return null;
  const minutes = (pace.since + Math.max(until - pace.placed, 0) / pace.rate - data.notice) * 60;
  return Math.floor(minutes + 1e-6) / 60; // never later than it is
}

// Small pours that are filled where just what is expected is left over.
function feed(left, pours) {
  const fed = [];
  for (const pour of pours) {
    let count = Math.min(pour.count, Math.floor(left / pour.volume + NEARLY));
    let volume = count * pour.volume;
    if (pour.partial && count < pour.count && left - volume > NOTHING) [count, volume] = [count + 1, left];
    if (count) fed.push({ name: pour.name, count, volume });
    left -= count ? volume : 0;
  }
  return fed;
}

function sizeCall(still, loads, filled, called) {
  const ticketed = sum(loads.map((load) => load.volume));
  const untold = data.released + called - ticketed;
  const coming = untold > NOTHING ? untold : 0;
  const stated = still.mean - coming;
  const { sd } = still;
  const need = { mean: stated + still.off, sd };
  const pace = findPace(loads);
  const gone = new Map(filled.map((one) => [one.name, one.count]));
  const pours = data.carries
    ? data.pours.map((pour) => ({ ...pour, count: pour.count - (gone.get(pour.name) ?? 0) })).filter((pour) => pour.count > 0)
    : [];
  if (need.mean + data.risk.reach * sd <= NOTHING) {
    const left = Math.max(-need.mean, 0);
    return { isNothing: true, volume: 0, coming, by: null, isLate: false, left, feeds: feed(left, pours), pace };
  }
  const { bound, step, costs } = data.plant;
  let least = 0;
  if (bound) {
    const volume = Math.max(need.mean + bound.reach * sd, stated + still.least);
    least = roundUp(bound.risk < 0.5 ? Math.max(volume, stated) : volume);
  }
  const volume = (costs ? weighUp(need, least, pours) : least) * step;
  const by = timeCall(pace, ticketed + coming);
  return {
    isNothing: false,
    volume,
    coming,
    by,
    isLate: by !== null && pace.outAt !== null && by < pace.outAt - 1e-9,
    chanceShort: chanceAbove(need, volume),
    left: volume - need.mean + expectShort(need, volume),
    feeds: feed(Math.max(volume - need.mean, 0), pours),
    pace,
  };
}

// Calls that are no more than a step of the plant apart are one: the larger, by when the first must be called.
function joinAlike(choices) {
  const joined = [];
  const rank = (one, other) => other.call.volume - one.call.volume || Math.round(one.call.left / EVEN) - Math.round(other.call.left / EVEN);
  for (const choice of [...choices].sort(rank)) {
    const before = joined.at(-1);
    if (before && before.call.volume - choice.call.volume <= 1.001 * data.plant.step) {
      const timed = [before.call, choice.call].filter((call) => call.by !== null);
      const { by, isLate } = timed.reduce((one, other) => (other.by < one.by ? other : one), timed[0] ?? before.call);
      joined[joined.length - 1] = { ...before, cases: [...before.cases, ...choice.cases], call: { ...before.call, by, isLate } };
    } else joined.push(choice);
  }
  return joined.length > 1 ? joined : [{ ...joined[0], cases: [] }];
}

// The unit that all tickets fit, where it is not the one that they were read in, and that one.
function doubtUnit(steps) {
  const shares = steps.filter(({ behind }) => behind > 0).map(({ ticketed, behind }) => ticketed / (data.prior.factor * behind));
  const sizes = [["yd³", "m³", 1 / CUBIC_YARD], ["m³", "yd³", CUBIC_YARD]];
  return sizes.find(([, , size]) => shares.length && shares.every((share) => Math.abs(share / size - 1) < ALIKE));
}

// Where a pour stands: all that gradevol pour knows after the same loads.
function follow(loads, called = 0) {
  const placed = placeLoads(loads);
  const found = forecast(placed.steps);
  const last = placed.steps.at(-1);
  const isDone = last !== undefined && last.share >= 1 - DONE;
  const needOf = (total, spread) => ({ mean: total, off: 0, sd: spread, least: -Infinity });
  const whole = placed.steps.length || !data.need ? needOf(found.total, found.sd) : data.need; // the order's
  const leave = (need, gone) => ({ ...need, mean: need.mean - gone, sd: Math.hypot(need.sd, placed.elsewhere) });
  const rest = leave(whole, placed.ticketed);
  const range = (mean, spread) => [mean, mean - data.reach * spread, mean + data.reach * spread];
  const rangeOf = ({ mean, off, sd }) => { // what is stated lies within
    const [, low, high] = range(mean + off, sd);
    return [mean, Math.min(low, mean), Math.max(high, mean)];
  };
  // what is still to come and to call in a case, less what its tickets say too much
  const choose = ({ cases, total, sd: spread, off }) => {
    const came = loads.map((load) => ({ ...load, volume: load.volume - (off.get(load) ?? 0) }));
    const still = leave(found.ways.length ? needOf(total, spread) : whole, placed.ticketed - sum([...off.values()]));
    return { cases, still: rangeOf(still), call: sizeCall(still, came, placed.filled, called) };
  };
  const ways = found.ways.length ? found.ways : [{ cases: ["slab"], total: found.total, sd: found.sd, off: new Map() }];
  const over = -rest.mean;
  const hasSurplus = placed.unread.length > 0 && over > LIMIT * rest.sd + NOTHING;
  if (hasSurplus) { // the slab took it, or else none of what has no front is in it
    if (!found.ways.length) ways.push({ ...ways[0], cases: ["ticket"], off: new Map() });
    const { off } = ways.find((way) => way.cases[0] === "ticket");
    loads.slice(-placed.unread.length).forEach((load) => off.set(load, load.volume - (load.returned?.value ?? 0)));
  }
  const calls = isDone ? [] : joinAlike(ways.map(choose));
  const still = isDone ? [0, 0, 0] : rangeOf(rest);
  if (hasSurplus && !isDone) still[2] = Math.max(...calls.map((choice) => choice.still[2]));
  const total = rangeOf(whole);
  const factor = total.map((each) => (each - data.prior.pump) / data.prior.volume);
  if (isDone) factor[0] = (placed.ticketed - data.prior.pump) / data.prior.volume;
  factor.splice(1, 2, Math.min(factor[0], factor[1]), Math.max(factor[0], factor[2]));
  return {
    loads,
    called,
    placed,
    isDone,
    behind: last?.behind ?? null,
    total,
    still,
    factor,
    expected: data.prior.factor,
    alerts: found.alerts,
    surplus: hasSurplus ? over : null,
    unit: found.alerts.length ? doubtUnit(placed.steps) : undefined,
    isByTickets: found.ways.length > 0,
    calls,
  };
}
