// The file of rechecks: what it holds, what it will replace, and how it leaves the page.

// All readings that make sense, and how many do not.
function listReadings() {
  const found = [];
  let wrong = 0;
  for (const [key, target] of targets) {
    const told = understand(target, kept.read[key] || "");
    if (told.wrong) wrong += 1;
    else if (told.words) found.push({ ...target, ...told, typed: kept.read[key].trim() });
  }
  return { found, wrong };
}

const round3 = (metres) => unsigned((metres / plan.metres).toFixed(3));

// The radius about each reading that reaches the shots it replaces, and which those are.
function findReplaced(found) {
  const step = plan.metric ? 0.1 : 0.5 * plan.metres;
  const reach = Math.max(...found.map(({ at }) => nearestShot(...at).away));
  const radius = (Math.floor(reach / step + 1e-6) + 1) * step;
  const isNear = (shot) => found.some(({ at }) => Math.hypot(at[0] - shotPlace(shot)[0], at[1] - shotPlace(shot)[1]) <= radius);
  const replaced = shots.names.map((_, shot) => shot).filter(isNear);
  return { radius: `${Number((radius / plan.metres).toFixed(1))} ${plan.unit}`, replaced };
}

const slug = plan.title.toLowerCase().normalize("NFD").replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 40);
const fileName = `${slug ? `${slug}-` : ""}rechecks.csv`;

function sayKey(found) {
  return `rechecks = { shots = "${fileName}", units = "${plan.unit}", radius = "${findReplaced(found).radius}" }`;
}

const isDone = ({ rank }) => Boolean(kept.done[rank]);

// A cell as a spreadsheet and `check` read it; none begins as a formula would.
function cell(text) {
  const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\n]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
}

function composeFile(found) {
  const now = new Date();
  const two = (value) => `${value}`.padStart(2, "0");
  const day = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}:${two(now.getMinutes())}`;
  const lines = [
    `# Base read again: ${plan.title.replace(/\s+/g, " ")}, ${day}`,
    `# In the job, under [base]: ${sayKey(found)}`,
    `point,northing_${plan.unit},easting_${plan.unit},elevation_${plan.unit},description`,
  ];
  for (const { name, at, foot, typed } of found) {
    const how = { rod: `rod ${typed} from ${kept.height.trim()}`, elevation: `elevation ${typed}`, depth: `depth ${typed}` }[kept.kind];
    const done = plan.spots.filter((spot) => isDone(spot) && isIn(spot, at)).map(({ rank }) => `place ${rank} done`);
    const cells = [name, round3(at[1] + plan.origin[1]), round3(at[0] + plan.origin[0]), round3(foot + plan.origin[2]), [how, ...done].join("; ")];
    lines.push(cells.map(cell).join(","));
  }
  return `${lines.join("\n")}\n`;
}

const toFile = () => new File([composeFile(listReadings().found)], fileName, { type: "text/csv" });

async function share() {
  try {
    await navigator.share({ files: [toFile()], title: fileName });
  } catch (error) {
    if (error.name !== "AbortError") $("said").textContent = "Could not share: download it instead";
  }
}
