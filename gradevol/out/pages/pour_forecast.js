// The forecast: linear and Gaussian, as gradevol pour has it (after/joint.py tells what is what).
const { LIMIT, CLEAR, OFF_SLAB, EVENLY, FORMED, PARTLY } = data.constants;

const dot = (one, other) => sum(one.map((value, at) => value * other[at]));

function solve(matrix, beside) {
  const rows = matrix.map((row, at) => [...row, beside[at]]);
  const count = rows.length;
  for (let at = 0; at < count; at += 1) {
    let most = at;
    for (let row = at; row < count; row += 1) if (Math.abs(rows[row][at]) > Math.abs(rows[most][at])) most = row;
    [rows[at], rows[most]] = [rows[most], rows[at]];
    for (let row = at + 1; row < count; row += 1) {
      const share = rows[row][at] / rows[at][at];
      for (let column = at; column <= count; column += 1) rows[row][column] -= share * rows[at][column];
    }
  }
  const found = Array(count).fill(0);
  for (let at = count - 1; at >= 0; at -= 1) {
    found[at] = (rows[at][count] - sum(found.slice(at + 1).map((x, more) => x * rows[at][at + 1 + more]))) / rows[at][at];
  }
  return found;
}

function makeJoint(steps) {
  const { prior, noise } = data;
  const perVolume = noise.ticket ** 2 / noise.load;
  const grips = steps.map((step) => step.grip * (step.isByOne ? 2 : 1));
  return {
    count: steps.length,
    ticketed: steps.map((step) => step.ticketed),
    beyond: steps.map((step) => step.beyond),
    mean: steps.map((step) => prior.factor * step.behind + prior.off * step.share + prior.pump + step.beyond / 2),
    cov: steps.map((one, row) =>
      steps.map((other, column) => {
        const shared =
          prior.factor_sd ** 2 * one.behind * other.behind +
          prior.shared ** 2 * one.share * other.share +
          prior.own ** 2 * Math.min(one.share, other.share) +
          perVolume * Math.min(one.behind, other.behind) +
          noise.face ** 2 * grips[row] * grips[column] +
          steps[Math.min(row, column)].elsewhere ** 2;
        return shared + (row === column ? (grips[row] * noise.front) ** 2 + noise.held ** 2 + one.beyond ** 2 / EVENLY : 0);
      })),
    withTotal: steps.map(({ behind, share }) =>
      prior.factor_sd ** 2 * prior.volume * behind + (prior.shared ** 2 + prior.own ** 2) * share + perVolume * behind),
    totalVariance:
      (prior.factor_sd * prior.volume) ** 2 + prior.shared ** 2 + prior.own ** 2 + perVolume * prior.volume,
  };
}

const since = (joint, at) => joint.mean.map((_, step) => (step >= at ? 1 : 0));
const only = (joint, at) => joint.mean.map((_, step) => (step === at ? 1 : 0));

function addStep(joint, at, variance, isReal = true) {
  const later = since(joint, at);
  joint.cov = joint.cov.map((row, one) => row.map((value, other) => value + variance * later[one] * later[other]));
  if (!isReal) return; // only a ticket says so
  joint.withTotal = joint.withTotal.map((value, step) => value + variance * later[step]);
  joint.totalVariance += variance;
}

function addMisread(joint, at, variance) {
  joint.cov[at][at] += variance;
}

function condition(joint, mean, variance, beside, upto = joint.count) {
  if (!upto) return [mean, variance];
  const cov = joint.cov.slice(0, upto).map((row) => row.slice(0, upto));
  const weights = solve(cov, beside.slice(0, upto));
  const off = joint.ticketed.slice(0, upto).map((value, at) => value - joint.mean[at]);
  return [mean + dot(weights, off), Math.max(variance - dot(weights, beside.slice(0, upto)), 0)];
}

const findTotal = (joint) =>
  condition(joint, data.prior.factor * data.prior.volume + data.prior.off + data.prior.pump, joint.totalVariance, joint.withTotal);

// Whether a front would stand on the slab where what is ticketed puts it.
function mayBeMisread({ behind }, excess) {
  const share = (behind + excess / data.prior.factor) / data.prior.volume;
  return share >= -OFF_SLAB && share <= 1 + OFF_SLAB;
}

// Widened by what was found: by a case alone where one is given, else by all it may be.
function joinCases(steps, found, cases) {
  const joint = makeJoint(steps);
  found.forEach(({ at, excess }, number) => {
    const one = cases[number];
    if (one !== "front") addStep(joint, at, excess ** 2, one !== "ticket");
    if (one === "front" || (!one && mayBeMisread(steps[at], excess))) addMisread(joint, at, excess ** 2);
  });
  return joint;
}

// How far a step is off what those before it tell: in standard deviations, and m³.
function lookAt(joint, at) {
  const [mean, variance] = condition(joint, joint.mean[at], joint.cov[at][at], joint.cov.map((row) => row[at]), at);
  const off = joint.ticketed[at] - mean;
  const spare = joint.beyond[at] / 2; // up to there it lies beyond what is done
  const excess = off - Math.min(Math.max(off, -spare), spare);
  return [Math.abs(excess) / Math.sqrt(variance - (spare ** 2 * 4) / EVENLY), excess];
}

// Steps that are out of line with those before them, whatever the last of those was.
function screen(steps) {
  const found = [];
  let options = [makeJoint(steps)];
  for (let at = 0; at < steps.length; at += 1) {
    const [off, excess] = options
      .map((joint) => lookAt(joint, at))
      .reduce((one, other) => (other[0] < one[0] ? other : one));
    if (off > LIMIT) {
      found.push({ at, excess });
      const slips = mayBeMisread(steps[at], excess) ? ["slab", "front"] : ["slab"];
      options = slips.map((one) => joinCases(steps, found, { [found.length - 1]: one }));
    }
  }
  return found;
}

const CASES = ["slab", "ticket", "front"];
const holdStep = (joint, { at, excess }) =>
  condition(joint, 0, excess ** 2, since(joint, at).map((one) => excess ** 2 * one))[0];

// What holds if all alerts that are not settled are of one case.
function listWays(steps, found, alerts) {
  const unsettled = alerts.flatMap(({ verdict }, number) => (verdict === "front" ? [] : [number]));
  const isOpen = unsettled.some((number) => alerts[number].verdict === "open");
  return CASES.filter((one) => unsettled.length && (one !== "front" || isOpen)).map((one) => {
    const isSlab = (number) => one === "front" && alerts[number].verdict === "concrete";
    const joint = joinCases(steps, found, Object.fromEntries(
      unsettled.map((number) => [number, isSlab(number) ? "slab" : one])));
    const [total, variance] = findTotal(joint);
    const off = one === "ticket" ? unsettled.map((number) => [steps[found[number].at].load, holdStep(joint, found[number])]) : [];
    return { cases: [one], total, sd: Math.sqrt(variance), off: new Map(off) };
  });
}

function forecast(steps) {
  const { prior } = data;
  const found = screen(steps);
  const joint = joinCases(steps, found, {});
  const [total, variance] = findTotal(joint);
  const alerts = found.map(({ at, excess }, number) => {
    // held the other way, it is for what came after: it says nothing of this one
    const held = (shape) => condition(joint, 0, excess ** 2, shape.map((one) => excess ** 2 * one))[0] / excess;
    const hasLater = at < steps.length - 1;
    const isOn = mayBeMisread(steps[at], excess);
    let verdict = "open";
    if (!isOn) verdict = "concrete";
    else if (hasLater && held(only(joint, at)) > CLEAR) verdict = "front";
    else if (hasLater && held(since(joint, at)) > CLEAR) verdict = "concrete";
    return {
      step: steps[at],
      excess,
      verdict,
      mayBeMisread: isOn,
      ahead: steps[at].grip > 0 ? excess / (prior.factor * steps[at].grip) : null,
      totalIf: Object.fromEntries(
        CASES.map((one) => [one, findTotal(joinCases(steps, found, { [number]: one }))[0]])),
    };
  });
  const ways = listWays(steps, found, alerts);
  return { total, sd: Math.sqrt(variance), alerts, ways };
}

// What of the loads went into small pours.
function findPoured(loads) {
  const filled = data.pours.flatMap((pour) => {
    const count = Math.min(sum(loads.map((load) => load.poured[pour.name] ?? 0)), pour.count);
    if (!count) return [];
    const volume = count * pour.volume;
    const part = pour.partial ? pour.volume : 0; // the last of them stopped anywhere
    return [{ name: pour.name, count, volume: volume - part / 2, sigma: Math.hypot(FORMED * volume, PARTLY * part) }];
  });
  return { filled, volume: sum(filled.map((one) => one.volume)), variance: sum(filled.map((one) => one.sigma ** 2)) };
}

const measured = new Map(); // fronts that were cut already: an entry is looked at again and again

function measureStep(load, done) {
  const key = JSON.stringify([load.fronts, done]);
  if (!measured.has(key)) {
    const front = load.fronts.length ? findFront(load.fronts) : null;
    measured.set(key, { ...measureBehind(front, done), grip: gripOf(front), isByOne: front?.isByOne ?? false });
  }
  return measured.get(key);
}

// Concrete in the largest of the smallest places that have a name and are not all done.
function findLargestLeft(done) {
  const { share } = measureStep({ fronts: [] }, done);
  const left = Object.entries(data.rooms.volumes).filter(
    ([name]) => measureStep({ fronts: [] }, [...done, name]).share - share > 1e-9);
  return Math.max(data.rooms.unnamed, ...left.map(([, volume]) => volume));
}

// The loads, and where they have brought the pour.
function placeLoads(loads) {
  let [into, variance, returned, steps, unread, before, shareDone] = [0, 0, 0, [], [], 0, 0];
  const done = new Set();
  loads.forEach((load, at) => {
    into += load.volume - (load.returned?.value ?? 0);
    if (load.returned) {
      const { value, isEstimate } = load.returned;
      const [share, least] = isEstimate ? data.returned.guessed : data.returned.measured;
      const isAll = load.volume - value <= data.returned.all * load.volume; // no guess
      variance += isAll ? 0 : Math.max(share * value, least) ** 2;
      returned += value;
    }
    load.done.forEach((name) => done.add(name));
    unread.push(nameOf(load));
    const poured = findPoured(loads.slice(0, at + 1));
    const own = into - poured.volume - before;
    before = into - poured.volume;
    const isByName = !load.fronts.length;
    const { share } = load.done.length ? measureStep({ fronts: [] }, [...done]) : { share: shareDone };
    const isMore = share - shareDone > 1e-9;
    shareDone = share;
    if (isByName && !isMore) return; // what was done before tells nothing of where this load went
    const measured = measureStep(load, [...done]);
    const step = {
      load,
      ...measured,
      ticketed: before,
      isByName,
      beyond: isByName && measured.share < 1 ? Math.min(Math.max(own, 0), findLargestLeft([...done])) : 0,
      elsewhere: Math.sqrt(variance + poured.variance),
      names: unread,
    };
    unread = [];
    if (steps.length && Math.abs(steps.at(-1).behind - step.behind) <= 1e-9 * data.volume) {
      step.names = [...steps.pop().names, ...step.names];
    }
    steps.push(step);
  });
  const poured = findPoured(loads);
  const elsewhere = Math.sqrt(variance + poured.variance);
  return { steps, ticketed: into - poured.volume, elsewhere, filled: poured.filled, returned, unread };
}
