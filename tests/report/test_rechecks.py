"""What is typed beside the work: read in any notation, kept, and sent as rechecks."""

import csv
import json
import re
from contextlib import suppress

import pytest
from click.testing import CliRunner

from gradevol.answer.setting_out import find_stakes
from gradevol.cli import main
from gradevol.ground.lengths import parse_length
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import SAMPLES
from tests.small_job import JOB as SMALL
from tests.small_job import SHOTS, write_job

from .conftest import PHONE, write_report
from .reading import unfold, words

pytestmark = pytest.mark.browser
UNSIMULATED = pytest.mark.usefixtures("unsimulated")

#: Lengths as people write them in a job in feet, and what they are, ft; None: two, or none.
WRITTEN = {
    "5.54": 5.54,
    "5,54": 5.54,
    ".5": 0.5,
    "5'-6 1/2\"": 5 + 6.5 / 12,
    "5' 6 1/2": 5 + 6.5 / 12,
    "5’-6½”": 5 + 6.5 / 12,
    "5-6-1/2": 5 + 6.5 / 12,
    "5-6-4": 5 + 6.5 / 12,  # eighths
    "5-6": 5.5,
    "5'": 5.0,
    "5 ft 6 in": 5.5,
    '66 1/2"': 66.5 / 12,
    "66 1/2 in": 66.5 / 12,
    "54⅝″": 54.625 / 12,
    "1687 mm": 1.687 / 0.3048,
    "1.687 m": 1.687 / 0.3048,
    "66 1/2": None,
    "5-14": None,
    "5'-14\"": None,
    "5-6-9": None,
    "6-1/2": None,
    "5.5.4": None,
    "five": None,
}
#: What is told of the rod where a height of the instrument is typed, for each of many.
TYPED = """(each) => {
  const field = document.getElementById("height");
  return each.map((text) => {
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    const told = document.getElementById("wrong").textContent;
    return [told, document.getElementById("more").innerText];
  });
}"""


def find(pattern, text):
    match = re.search(pattern, text)
    assert match, f"{pattern} in {text}"
    return match[1]


def check_again(folder, job, file):
    """Check a job once more with the rechecks of a page, as the page says to write them."""
    said = find(r"under \[base\]: (rechecks = .*)", file)
    name = find(r'shots = "([^"]+)"', said)
    (folder / name).write_text(file, encoding="utf-8")
    (folder / "again.toml").write_text(job.replace("[base]", f"[base]\n{said}", 1))
    run = CliRunner().invoke(main, ["check", str(folder / "again.toml"), "--json", "--no-pictures"])
    assert run.exit_code == 0, run.output
    return json.loads(run.stdout)


def copy_sample(name, folder):
    for path in (path for path in (SAMPLES / name).iterdir() if path.is_file()):
        (folder / path.name).write_bytes(path.read_bytes())
    return (folder / "job.toml").read_text(encoding="utf-8")


def download(page, folder):
    with page.expect_download() as waiting:
        page.locator("#download").click()
    path = folder / waiting.value.suggested_filename
    waiting.value.save_as(path)
    text = path.read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return text, {row["point"]: row for row in rows}


@UNSIMULATED
def test_lengths_are_read_as_people_write_them(tmp_path, show):
    # a base at nought: the height of the instrument is what is typed
    job = write_job(tmp_path, job=SMALL.replace("100", "0.5"), shots=SHOTS.replace(",99.", ",-0."))
    page = show(write_report(check_job(read_job(job)), tmp_path))
    told = words(page, "#more").replace("\N{MINUS SIGN}", "-")
    base = float(find(r"Base here (-?[\d.]+)", told))
    for text, (wrong, more) in zip(WRITTEN, page.evaluate(TYPED, list(WRITTEN)), strict=True):
        feet = WRITTEN[text]
        if feet is None:
            assert "Write it in ft, such as" in wrong, text
            continue
        rod = re.search(r"Rod here\s+([\d.]+)", more)
        assert rod, text
        assert float(rod[1]) == pytest.approx(feet - base, abs=0.0101), text
        with suppress(ValueError):  # what a job file reads too, it reads as the page does
            assert parse_length(text, unit="ft") == pytest.approx(feet * 0.3048), text


@UNSIMULATED
def test_work_is_ticked_off_and_what_the_rod_reads_leaves_as_rechecks(apron, show, tmp_path):
    page = show(apron, **PHONE)
    unfold(page)
    job = copy_sample("apron", tmp_path)
    row = page.locator("#spot-2")
    row.locator("input.read").first.fill("5'-9\"")
    assert "Give the instrument height first" in row.inner_text()
    page.fill("#rod .height", "105'-3 7/8\"")
    assert page.input_value("#height") == "105'-3 7/8\""  # the plan reads by it too
    says = page.locator("#spot-3 .says").first
    assert says.inner_text().startswith("Rod on design base:")
    assert_aims_at_the_design(page, apron.result)
    page.locator("button[data-notation=inches]").click()
    told = row.locator(".says").first.inner_text().replace("\u00a0", " ")
    assert re.fullmatch(r"5'-9\": 6 \d/\d in thick\. (On grade|Fill \d/\d in)\.", told)
    row.locator(".tick").tap()
    # the suspect has one reading, wherever it is typed
    page.locator("#suspects input.read").fill("5-7-4")
    assert page.input_value("#spot-1 input.read") == "5-7-4"
    page.locator("#spot-3 input.read").first.fill("55.4")
    assert "look again. Not in the file" in says.inner_text()
    tally = words(page, "#tally")
    assert tally.startswith("1 of 3 places done. 2 readings, 1 more to look at.")
    assert "In the place of shots 32, 41." in tally
    assert "not read again, and so counted as they were: 22, 27, 28, 33." in tally

    page.reload()
    assert words(page, "#tally") == tally
    file, rows = download(page, tmp_path)
    assert list(rows) == ["41R", "32R"]
    height = 105 + 3.875 / 12
    assert float(rows["41R"]["elevation_ft"]) == pytest.approx(height - 5 - 7.5 / 12, abs=6e-4)
    assert float(rows["32R"]["elevation_ft"]) == pytest.approx(height - 5.75, abs=6e-4)
    assert rows["32R"]["description"] == "rod 5'-9\" from 105'-3 7/8\"; place 2 done"

    result = check_again(tmp_path, job, file)
    epochs = result["survey"]["rechecks"]
    assert epochs["later"] == ["41R", "32R"]
    assert sorted(one["id"] for one in epochs["retired"]) == ["32", "41"]
    assert result["thin"]["area"] == 0  # the suspect alone had been thin

    clear = page.locator("#clear")
    clear.click()
    assert words(page, "#tally") == tally
    clear.click()
    assert words(page, "#tally") == "0 of 3 places done. 0 readings."
    page.reload()
    assert words(page, "#tally") == "0 of 3 places done. 0 readings."


def assert_aims_at_the_design(page, result):
    """Each shot has the rod that reads on its design base, in a thickening too."""
    stakes, height = find_stakes(result), 105 + 3.875 / 12
    level = dict(zip(stakes.names, stakes.design + result.survey.origin[2], strict=True))
    told = page.eval_on_selector_all(
        "input.read",
        """all => all.map((x) => [x.dataset.key,
             document.getElementById(x.getAttribute("aria-describedby")).textContent])""",
    )
    aims = [
        (key.removeprefix("shot "), float(find(r"Rod on design base: ([\d.]+)", text)))
        for key, text in told
        if key.startswith("shot ") and "Rod on" in text
    ]
    assert {"59", "33", "41"} < {name for name, _ in aims}  # 59 is on the bottom of an edge
    for name, aim in aims:
        assert aim == pytest.approx(height - level[name] / 0.3048, abs=0.0051), name


@pytest.fixture(scope="session")
def rods(check_sample, tmp_path_factory):
    """Return a base by rod readings on a lattice."""
    return write_report(check_sample("rod_sheet/job.toml"), tmp_path_factory.mktemp("rods"))


@UNSIMULATED
def test_a_base_by_rods_is_read_again_at_any_place_that_is_touched(rods, show, tmp_path):
    page = show(rods, **PHONE)
    page.fill("#rod .height", "105.32")
    box = page.locator("#map").bounding_box()
    for share in (0.45, 0.5):
        page.locator("#map").scroll_into_view_if_needed()
        box = page.locator("#map").bounding_box()
        page.touchscreen.tap(box["x"] + 0.4 * box["width"], box["y"] + share * box["height"])
        aim = float(find(r"Rod on design base ([\d.]+)", words(page, "#more")))
        page.locator("#read-here").tap()
        page.keyboard.type(f"{aim:.2f}")
    for said in page.locator("#elsewhere .says").all_inner_texts():
        assert re.search(r": (6|5 7/8) in thick\. On grade\.", said.replace("\u00a0", " "))
    file, rows = download(page, tmp_path)

    result = check_again(tmp_path, copy_sample("rod_sheet", tmp_path), file)
    assert result["survey"]["rechecks"]["later"] == list(rows) == ["HERE1", "HERE2"]
    assert result["survey"]["rechecks"]["retired"]


@UNSIMULATED
def test_depths_in_millimetres_are_taken_again_and_shared_where_nothing_is_kept(browser, tmp_path):
    places = [(e, n) for n in range(0, 9, 2) for e in range(0, 13, 2)]
    depths = {at: 0.13 if at == (4, 4) else 0.15 + 0.001 * (sum(at) % 3) for at in places}
    shots = "\n".join(f"P{k},{e},{n},{depths[e, n]}" for k, (e, n) in enumerate(places))
    job = """units = "m"
[base]
depths = "depths.csv"
[slab]
edge = [[0, 0], [12, 0], [12, 8], [0, 8]]
thickness = "150 mm"
base_high = "5 mm"
[top]
level = 10.0
"""
    files = {"depths.csv": f"point,easting,northing,depth\n{shots}\n"}
    path = write_job(tmp_path, job=job, shots=None, files=files)
    report = write_report(check_job(read_job(path)), tmp_path)
    page = browser.new_context(**PHONE).new_page()
    page.add_init_script("""
      Object.defineProperty(window, "localStorage", { get() { throw new Error("refused"); } });
      navigator.canShare = () => true;
      navigator.share = async ({ files: [file] }) => {
        window.shared = [file.name, await file.text()];
      };""")
    page.goto(report.url)
    unfold(page)
    assert not page.locator("#notation").is_visible()
    assert page.input_value("#kind") == "depth"
    field = page.locator("#spot-1 input.read").first
    says = page.locator("#spot-1 .says").first

    def told():
        return says.inner_text().replace("\u00a0", " ")

    assert told() == "On design base: 150 mm"
    field.fill("151")
    assert "look again" in told()  # metres, where none are named
    field.fill("151 mm")
    assert told() == "0.151 m: 151 mm thick. On grade."
    assert "keeps nothing, or has no room: send the file before you close" in words(page, "#tally")
    page.locator("#share").tap()
    # the page lets no text be run as a script, as waiting for it by Playwright's own way would
    name, file = page.evaluate("""() => new Promise((done) => {
      const look = () => (window.shared ? done(window.shared) : setTimeout(look, 20));
      look();
    })""")
    page.context.close()

    assert name == "job-rechecks.csv"
    result = check_again(tmp_path, job, file)
    assert result["survey"]["rechecks"]["later"] == ["P16R"]
    assert result["thickness"]["min"] == pytest.approx(0.15, abs=1e-6)


def test_a_scan_is_ticked_off_but_takes_no_readings(check_sample, show, tmp_path):
    page = show(write_report(check_sample("cloud_pad/job.toml"), tmp_path), **PHONE)

    assert page.locator("input.read").count() == 0
    assert not page.locator("#rod").is_visible()
    assert not page.locator("#read-here").is_visible()
    assert page.locator("#height").is_visible()


@UNSIMULATED
def test_two_tabs_keep_the_readings_of_both(tmp_path, browser):
    report = write_report(check_job(read_job(write_job(tmp_path))), tmp_path)
    context = browser.new_context(**PHONE)
    one, other = context.new_page(), context.new_page()
    for page in (one, other):
        page.goto(report.url)
        page.fill("#height", "104.25")
    # as a phone does with the tab behind: it is told of nothing
    deaf = "addEventListener('storage', (event) => event.stopImmediatePropagation(), true)"
    other.evaluate(deaf)
    for page, keys, typed in ((one, "ArrowRight", "4.7"), (other, "ArrowLeft", "4.6")):
        page.locator("#map").press(keys)
        page.locator("#read-here").click()
        page.locator("#elsewhere input >> visible=true").last.fill(typed)
    both = ["4.7", "4.6"]
    for page in (one, other):
        page.wait_for_function("document.querySelectorAll('#elsewhere input').length === 2")
        fields = page.locator("#elsewhere input")
        assert [fields.nth(at).input_value() for at in range(2)] == both
        page.reload()
        fields = page.locator("#elsewhere input")
        assert [fields.nth(at).input_value() for at in range(2)] == both
    context.close()
