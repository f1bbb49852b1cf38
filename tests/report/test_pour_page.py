"""The page for the day of the pour in a browser: what gradevol pour says, to the last digit."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe

from gradevol.after.kept import keep_known, sign_inputs
from gradevol.answer.said.day import tell_day
from gradevol.cli.pour import PAGE, keep_for_the_day
from gradevol.job import Job, read_job
from gradevol.job.inputs import find_inputs
from gradevol.pour import KEPT, know_job, pour_job
from tests.small_job import write_job

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
SAMPLES = Path(__file__).parents[2] / "sample_surveys"
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
truck = 4
least_load = 1
notice = "25 min"
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
    const [alerts, rests] = ["alerts", "placed"].map(items);
    found.push({ now: [still, ...calls], alerts, rests, told });
  }
  return found;
}"""

#: What a thumb in a glove may miss.
SMALL_TARGETS = """() =>
  [...document.querySelectorAll("button, input:not(.unseen), select, .button, summary")]
    .map((one) => [one.getBoundingClientRect(), one.id || one.textContent])
    .filter(([box]) => box.width && (box.height < 44 || box.width < 44))
    .map(([, name]) => name)"""


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
        return {"now": said["now"], "alerts": said.get("alerts", []), "rests": rests}


def make_day(path: Path, folder: Path) -> Day:
    job = read_job(path)
    known = know_job(job)
    keep_known(folder / KEPT, known, sign_inputs(find_inputs(job)))
    keep_for_the_day(job, known, folder)
    return Day(job, folder)


@pytest.fixture(scope="module")
def days(tmp_path_factory) -> dict[str, Day]:
    made = {}
    with pytest.MonkeyPatch.context() as patch:
        left_out = ("check.study_hidden", "check.plan_next_shots", "before_pour.lay_ruler")
        for name in left_out:
            patch.setattr(f"gradevol.{name}", lambda *_args, **_rest: None)
        rng = np.random.default_rng(5)
        for name, text, step, size in (("yard", YARD, 1.0, 13), ("halves", HALVES, 2.0, 9)):
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
        page.goto(days[name].url)
        if page.evaluate("localStorage.length"):
            page.evaluate("localStorage.clear()")
            page.reload()
        return page

    yield run
    assert screens.wrong == []


#: The apron's fronts are taped from the far end of two sides; the court's go around its corners.
FRONTS = {
    "apron": ("front_y_west_ft", "front_y_east_ft"),
    "yard": ("front_7_m", "front_1_m", "front_2_m", "front_5_m", "front_4_m", "front_3_m"),
}
SMALL = {"apron": ("equipment pad", "2 bollard base"), "yard": ("kerb", "post base")}


def tape(name: str, reach: float, rng: Any) -> list[str]:
    """Tapes of a front that has reached so far of its way, 0 to 1."""
    one, other = np.clip(reach + rng.normal(0, 0.03, 2), 0, 1)
    if rng.random() < 0.1:
        one = np.clip(one + 0.15, 0, 1)  # misread
    if name == "apron":
        told = [f"{80 * (1 - one):.2f}", f"{80 * (1 - other):.2f}"]
    else:
        ways = (12, 10, 3.1), (7, 7, 3)
        told = []
        for share, lengths in zip((one, other), ways, strict=True):
            begins = np.cumsum([0, *lengths[:-1]])
            on = int(np.searchsorted(begins, share * sum(lengths), side="right")) - 1
            at = f"{min(share * sum(lengths) - begins[on], lengths[on]):.2f}"
            told += [at if side == on else "" for side in range(3)]
    if rng.random() < 0.15:  # by one tape alone
        told[rng.choice([at for at, text in enumerate(told) if text])] = ""
    return told


def tickets_of(name: str, count: int, rng: Any, *, is_wrong: bool = False) -> str:
    """Invented tickets of so many loads, as the page of a job heads them; some wrong, if asked."""
    unit, each = ("yd3", 10.0) if name == "apron" else ("m3", 2.0)
    rows = [
        f"load,ticket,volume_{unit},finished,{','.join(FRONTS[name])},done,went_to,returned_{unit}"
    ]
    reach = 0.0
    for load in range(1, count + 1):
        reach += rng.uniform(0.09, 0.16)
        is_told = load == 1 or rng.random() < 0.9
        fronts = tape(name, reach, rng) if is_told else [""] * len(FRONTS[name])
        out = f"{(21 + load // 3) % 24}:{(17 * load) % 60:02d}" if rng.random() < 0.8 else ""
        volume = each * (1 + 0.025 * rng.integers(-2, 3))
        if is_wrong and rng.random() < 0.25:
            volume *= rng.choice([0.1, 1.5])
        went = f"slab + {SMALL[name][rng.integers(2)]}" if rng.random() < 0.2 else ""
        back = rng.choice(["~0.3", "0.2"]) if rng.random() < 0.2 else ""
        rows.append(f"{load},,{volume:.2f},{out},{','.join(fronts)},,{went},{back}")
    return "\n".join(rows) + "\n"


def assert_says_the_same(day: Day, page: Any, texts: Sequence[str]) -> list[dict[str, Any]]:
    found = page.evaluate(READ, list(texts))
    for text, told in zip(texts, found, strict=True):
        assert "read from" in told.pop("told"), text
        assert told == day.tell(text), text
    return found


@pytest.mark.parametrize("name", ["apron", "yard"])
def test_it_says_what_the_program_does_after_any_loads(days, open_page, name):
    rng = np.random.default_rng(11)
    texts = [tickets_of(name, count, rng) for count in (0, 1, 2, 4, 6, 8, 9) for _ in range(2)]
    unit, each = ("yd3", 10) if name == "apron" else ("m3", 2)
    head = (
        f"load,ticket,volume_{unit},finished,{','.join(FRONTS[name])},done,went_to,returned_{unit}"
    )
    blank = "," * len(FRONTS[name])
    texts.append(f"{head}\n1,,{each},8:00{blank},,,\n")
    texts.append(f"{texts[-2]}10,,{each},{blank},,,\n11,,{each},{blank},,,\n")
    found = assert_says_the_same(days[name], open_page(name), texts)
    said = " ".join(str(told) for told in found)
    for words in (
        *(" by ", "is ticketed than", "Elsewhere", "It feeds", "front of load"),
        *("No front is given for load 1: ", "for load 10 and load 11: "),
    ):
        assert words in said


def test_it_says_what_the_program_does_of_wrong_tickets(days, open_page):
    rng = np.random.default_rng(4)
    for name, told in (
        ("apron", ("First check with the plant what load", "Ticket wrong? Call", "Both right? ")),
        ("yard", ("By the tickets as they stand", "bear it out", "and tape the front again")),
    ):
        texts = [
            tickets_of(name, count, rng, is_wrong=True) for count in (1, 3, 4, 6) for _ in range(4)
        ]
        said = str(assert_says_the_same(days[name], open_page(name), texts))
        for words in told:
            assert words in said


def test_it_says_what_the_program_does_after_each_load_of_the_invented_day(days, open_page):
    rows = [
        line.split(",") for line in (SAMPLES / "apron" / "tickets.csv").read_text().splitlines()
    ]
    head = f"load,ticket,volume_yd3,finished,{','.join(FRONTS['apron'])},done,went_to,returned_yd3"
    lines = [
        f"{load},,{volume},{out},{west},{east},,,"
        for load, _, _, _, out, volume, _, _, _, _, west, east, *_ in rows[1:]
    ]
    lines[-1] = lines[-1].replace(",,,", ",,slab + equipment pad + bollard base,~0.2")
    texts = ["\n".join([head, *lines[:count]]) + "\n" for count in range(9)]
    found = assert_says_the_same(days["apron"], open_page("apron"), texts)
    assert found[6]["now"][1].startswith("Call 8.25 yd³ by 9:10.")
    assert "now: 9:10 has gone by" in found[7]["now"][1]
    assert found[8]["now"] == ["The slab is full: it took 76.8 yd³."]


def test_it_says_what_the_program_does_of_panels_and_halves(days, open_page):
    head = "load,ticket,volume_yd3,finished,done,went_to,returned_yd3\n"
    rows = ["1,,0.9,,A1,,\n", "2,,0.6,,west half,,\n", "3,,1.4,,east half,,\n"]
    texts = [head + "".join(rows[:count]) for count in range(4)]
    # what is left is now and then a small load, which pays a fee
    texts += [f"{head}1,,1.4,,west half,,\n2,,{0.1 * more:.1f},,,,\n" for more in range(1, 13)]
    found = assert_says_the_same(days["halves"], open_page("halves"), texts)
    assert len({told["now"][1] for told in found[4:]}) > 3


def type_load(page: Any, *fields: str) -> None:
    """Type a load by the page's own keys."""
    for number, text in enumerate(fields):
        for letter in text:
            page.locator("#keys button", has_text="ft" if letter == "'" else letter).first.click()
        if number < len(fields) - 1:
            page.click("#next")
    page.click("#save")


def text_of(page: Any, selector: str) -> str:
    return " ".join(page.locator(selector).text_content().replace("\u00a0", " ").split())


def test_loads_are_typed_by_its_keys_kept_changed_and_given_out(days, open_page, tmp_path):
    page = open_page("apron")
    type_load(page, "10", "71", "70'6")
    type_load(page, "10", "60.5", "60")
    first = text_of(page, "#still")
    assert "Bulkhead 70' 6" in text_of(page, "#loads li >> nth=0")
    assert re.search(r"out \d+:\d\d", text_of(page, "#loads li >> nth=0"))

    page.click("#loads li >> nth=1 >> button")
    page.locator("#keys button", has_text="Delete").click()
    page.locator("#keys button", has_text="Delete").click()
    type_load(page, "9.5")
    assert "9.5 yd" in text_of(page, "#loads li >> nth=1")
    assert text_of(page, "#still") != first
    page.click("#undo")
    assert text_of(page, "#still") == first

    type_load(page, "10", "50", "50")
    page.click("#loads li >> nth=2 >> button")
    page.click("#drop")
    assert text_of(page, "#still") == first

    page.reload()
    assert text_of(page, "#still") == first
    with page.expect_download() as held:
        page.click("#download")
    file = tmp_path / held.value.suggested_filename
    held.value.save_as(file)
    assert file.name == "cider-house-loading-apron-tickets.csv"
    assert days["apron"].tell(file.read_text())["now"][0] == first
    page.click("#clear")
    assert page.locator("#loads li").count() == 0
    page.set_input_files("#read", file)
    page.wait_for_selector("#loads li")
    assert text_of(page, "#still") == first


def test_what_cannot_be_is_asked_about_and_not_counted(open_page):
    page = open_page("apron")
    for fields, said in (
        (("", "71"), "Type the volume"),
        (("100", "71"), "more than a truck holds"),
        (("10", "91", "70"), "West form: 91 is beyond its end, it is 80 ft 0 in long"),
        (("10", "7.1.1", "70"), "is no tape"),
    ):
        type_load(page, *fields)
        assert said in text_of(page, "#fault")
        assert page.locator("#loads li").count() == 0
        page.reload()
    told = page.evaluate(READ, ["load,ticket_yd\n1,10\n", "", "load,volume_yd3\n1,ten\n"])
    assert "ticket_yd is no heading" in told[0]["told"]
    assert "tickets files that it gives out" in told[1]["told"]
    assert "Load 1: Type the volume" in told[2]["told"]


@pytest.mark.parametrize("name", ["apron", "halves"])
def test_it_is_made_for_a_thumb_and_the_sun(open_page, name):
    page = open_page(name)
    head = "load,ticket,volume_yd3,finished,done,went_to,returned_yd3\n1,,0.9,10:00,A1,,\n"
    page.evaluate(READ, [head])
    page.click("#more summary")
    for wide, large in ((320, 1), (360, 1), (390, 1), (390, 1.5), (320, 1.5)):
        page.set_viewport_size({"width": wide, "height": 844})
        page.evaluate(
            "(large) => { document.documentElement.style.fontSize = `${16 * large}px`; }", large
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= wide, (wide, large)
        assert page.evaluate(SMALL_TARGETS) == [], (wide, large)
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.set_viewport_size(PHONE)
    keys = page.locator("#keys button")
    assert min(keys.nth(at).bounding_box()["height"] for at in range(keys.count())) >= 48
    save = page.locator("#save").bounding_box()
    assert save["y"] + save["height"] <= PHONE["height"]  # without scrolling
    for scheme, forced in (("light", "none"), ("dark", "none"), ("light", "active")):
        page.emulate_media(color_scheme=scheme, forced_colors=forced)
        found = Axe().run(page).response
        assert len(found["passes"]) > 15
        assert [one["id"] for one in found["violations"]] == []
    page.emulate_media(forced_colors="none")


def test_loads_that_fit_no_more_are_not_dropped_in_silence(open_page):
    page = open_page("apron")
    type_load(page, "10", "71", "70")
    page.evaluate("""() => {
      const key = Object.keys(localStorage).find((name) => localStorage[name].includes('"71"'));
      localStorage[key] = localStorage[key].replace('"71"', '"7.1.1"');
    }""")
    page.reload()
    assert page.locator("#loads li").count() == 0
    assert "do not fit this page" in text_of(page, "#told")
    assert page.evaluate("Object.values(localStorage).some((kept) => kept.includes('7.1.1'))")


def test_a_browser_that_keeps_nothing_says_so(days, browser):
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('refused'); } })"
    )
    page = context.new_page()
    page.goto(days["apron"].url)
    assert "This browser keeps no entries" in text_of(page, "#kept")
    type_load(page, "10", "71", "70")
    assert page.locator("#loads li").count() == 1
    context.close()
