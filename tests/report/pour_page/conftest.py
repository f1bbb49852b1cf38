"""Days of a pour, and the page for each in a browser."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gradevol.after.kept import keep_known, sign_inputs
from gradevol.answer.said.day import tell_day
from gradevol.cli.pour import PAGE, keep_for_the_day
from gradevol.job import Job, read_job
from gradevol.job.inputs import find_inputs
from gradevol.runs.pour import KEPT, know_job, pour_job
from tests.conftest import leave_out_simulated
from tests.small_job import write_job

PHONE = {"width": 390, "height": 844}


SAMPLES = Path(__file__).parents[3] / "sample_surveys"


#: An L with a rounded corner, an opening, thickened edges, voids and small pours; metres, by risk.
YARD = """title = "Court (invented)"
units = "m"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], { corner = [12, 0], radius = 2 }, [12, 5], [5, 5], [5, 12], [0, 12]]
sides = ["road", "bend", "fence", "wall", "shed", "gate", "lane"]
openings = [[[2, 7], [3, 7], [3, 8], [2, 8]]]
thickness = "150 mm"
[top]
level = 100.15
[[thickening]]
name = "edge beam"
sides = [1, 2]
width = 0.3
depth = 0.2
side_slope = 1
[[thickening]]
name = "pad"
outline = [[1, 2], [2, 2], [2, 3], [1, 3]]
depth = 0.25
[[void]]
name = "pipe"
diameter = 0.1
line = [[0, 1], [5, 6], [5, 12]]
[[void]]
name = "key"
section = 0.004
length = 12
[order]
waste = 0.02
settlement = 0.01
risk = 0.04
pump = { line = 12, diameter = 0.1, hopper = 0.2 }
truck = 4
least_load = 1
notice = "25 min"
spacing = "50 min"
start = "20:30"
[[pour]]
name = "kerb"
volume = 0.4
partial = true
[[pour]]
name = "post base"
volume = 0.13
count = 3
[placing]
from = "gate"
rate = 6
"""


#: Two halves and panels by name, in feet; it gives no notice, and small loads pay a fee.
HALVES = """title = "Pad (invented)"
units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [16, 0], [16, 9], [0, 9]]
thickness = "6 in"
[top]
level = 100
[order]
waste = 0.03
truck = "1 yd3"
step = "0.1 yd3"
least_load = "0.2 yd3"
short_load = "0.6 yd3"
[order.costs]
concrete = 168
short = 40
short_load = 150
[[pour]]
name = "west half"
edge = [[0, 0], [8, 0], [8, 9], [0, 9]]
[[pour]]
name = "east half"
edge = [[8, 0], [16, 0], [16, 9], [8, 9]]
[[placing.panel]]
name = "A1"
edge = [[0, 0], [4, 0], [10, 9], [0, 9]]
"""


#: Reads tickets files as a hand does, one after the other, and gives what is then told.
READ = """async (texts) => {
  const input = document.getElementById("read");
  const words = (element) => element.textContent.replaceAll("\\u00a0", " ").trim();
  const items = (id) => [...document.querySelectorAll(`#${id} li`)].map(words);
  const found = [];
  for (const text of texts) {
    const held = new DataTransfer();
    held.items.add(new File([text], "tickets.csv"));
    document.getElementById("told").textContent = "";
    input.files = held.files;
    input.dispatchEvent(new Event("change"));
    while (!words(document.getElementById("told"))) await new Promise((done) => setTimeout(done));
    const [still, told] = ["still", "told"].map((id) => words(document.getElementById(id)));
    const calls = [...document.querySelectorAll("#calls p")].map(words);
    const [alerts, doubts, rests] = ["alerts", "doubts", "placed"].map(items);
    found.push({ now: [still, ...calls], alerts, doubts, rests, told });
  }
  return found;
}"""


#: Presses keys of the page by their words, and buttons by their ids.
PRESS = """(presses) => {
  for (const one of presses) {
    const key = [...document.querySelectorAll("#keys button")]
      .find((button) => button.textContent.includes(one));
    (key ?? document.getElementById(one)).click();
  }
}"""


def type_load(page: Any, *fields: str) -> None:
    """Type a load by the page's own keys, all in one go."""
    presses = []
    for text in fields:
        presses += [*("ft" if letter == "'" else letter for letter in text), "next"]
    page.evaluate(PRESS, [*presses[:-1], "save"])


def text_of(page: Any, selector: str) -> str:
    return " ".join(page.locator(selector).text_content().replace("\u00a0", " ").split())


@dataclass(frozen=True)
class Day:
    """A job, its folder, and its page."""

    job: Job
    folder: Path

    @property
    def url(self) -> str:
        return (self.folder / PAGE).as_uri()

    def tell(self, text: str) -> dict[str, list[str]]:
        """What gradevol pour says of a tickets file."""
        path = self.folder / "tickets.csv"
        path.write_text(text)
        day = pour_job(self.job, path, kept=self.folder)
        topics = tell_day(
            day.progress,
            day.units,
            loads=len(day.tickets.loads),
            modelled=day.model.volume,
            notes=(),
        )
        said = {topic.key: [str(one.short) for one in topic.statements] for topic in topics}
        rests = said.get("placed", []) + said.get("call", [])
        doubted = {"ticket-times", "ticket-small-pours"}
        doubts = [note.say(day.units) for note in day.notes if note.code in doubted]
        alerts = said.get("alerts", [])
        return {"now": said["now"], "alerts": alerts, "doubts": doubts, "rests": rests}


#: Leaves nothing of what was being typed, nor lets it be kept as the page goes.
FORGET = "sessionStorage.clear(); Storage.prototype.setItem = () => {}"


def start_anew(page: Any) -> None:
    """Load a page again with nothing left of what was being typed."""
    page.evaluate(FORGET)
    page.reload()


def make_day(path: Path, folder: Path) -> Day:
    job = read_job(path)
    known = know_job(job)
    keep_known(folder / KEPT, known, sign_inputs(find_inputs(job)))
    keep_for_the_day(job, known, folder)
    return Day(job, folder)


@pytest.fixture(scope="session")
def days(tmp_path_factory) -> dict[str, Day]:
    made = {}
    with pytest.MonkeyPatch.context() as patch, leave_out_simulated():
        patch.setattr("gradevol.runs.before_pour.lay_ruler", lambda *_args, **_rest: None)
        rng = np.random.default_rng(5)
        for name, text, step, size in (
            ("yard", YARD, 1.0, 13),
            ("few", YARD, 4.0, 4),  # their tail is longer than a normal one
            ("halves", HALVES, 2.0, 9),
            ("west", f'{HALVES}[placing]\nfrom = 4\npour = "west half"\n', 2.0, 9),
            ("east", f'{HALVES}[placing]\nfrom = 4\npour = "east half"\n', 2.0, 9),
        ):
            folder = tmp_path_factory.mktemp(name)
            rows = [
                f"{n},{step * e},{step * m},{(100 if step < 2 else 99.5) + rng.normal(0, 0.01):.3f}"
                for n, (e, m) in enumerate(np.ndindex(size, size if step < 2 else 6))
            ]
            shots = "point,easting,northing,elevation\n" + "\n".join(rows) + "\n"
            made[name] = make_day(write_job(folder, job=text, shots=shots), folder)
        folder = tmp_path_factory.mktemp("apron")
        made["apron"] = make_day(SAMPLES / "apron" / "job_pour.toml", folder)
    return made


@pytest.fixture
def open_page(screens, days) -> Any:
    """Open a page with nothing kept of it."""
    screens.wrong.clear()

    def run(name: str) -> Any:
        page = screens.open({})
        screens.allowed.add(days[name].url)
        page.set_viewport_size(PHONE)
        page.emulate_media(media="screen", color_scheme="light")
        if page.url.startswith("file:"):  # what another page left; an empty one keeps nothing
            page.evaluate(f"localStorage.clear(); {FORGET}")
        page.goto(days[name].url)
        return page

    yield run
    assert screens.wrong == []
