"""The pages of all samples, on a phone, a desk and paper."""

import json
from io import BytesIO
from typing import Any
from unicodedata import normalize

import pytest
from pypdf import PdfReader

from tests.conftest import SAMPLES

from .conftest import DESKTOP, PHONE, write_report
from .reading import find_barriers, find_faint, unfold, words

pytestmark = [pytest.mark.browser, pytest.mark.slow]

JOBS = [path.relative_to(SAMPLES).as_posix() for path in sorted(SAMPLES.glob("*/job*.toml"))]
#: Looked at with axe, with its contrast on one desk and one phone; the plan is in `test_page.py`.
BARRED_BY_DESK = {
    "apron/job_costs.toml": True,
    "cloud_pad/job.toml": False,
    "rod_sheet/job.toml": False,
}
BARRED_BY_PHONE = {
    "apron/job_rechecked.toml": True,
    "boat_shed/job.toml": False,
    "courtyard/job.toml": False,
}
#: Printed too: with prices, which says most, with rechecks, in metres, by rods, of a scan.
PRINTED = {
    "apron/job_costs.toml",
    "apron/job_rechecked.toml",
    "courtyard/job.toml",
    "boat_shed/job.toml",
    "site_scan/job.toml",
}
PAPER = 720  # dots across what is printed of a letter page, 7.5 in
#: How many colours the plan wears in each mode, up to three.
COLOURS = """() => Object.fromEntries([...document.querySelectorAll("[data-mode]")].map((mode) => {
  mode.click();
  const canvas = document.querySelector("#map canvas");
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  const seen = new Set();
  for (let at = 0; at < data.length && seen.size < 3; at += 4) {
    if (data[at + 3]) seen.add((data[at] << 16) | (data[at + 1] << 8) | data[at + 2]);
  }
  return [mode.dataset.mode, seen.size];
}))"""

#: Sizes of all letters that are seen, dots.
SIZES_OF_LETTERS = """() => [...document.querySelectorAll("main *, footer *")]
  .filter((one) => one.checkVisibility() && !one.closest("svg, .unseen, .frac"))
  .filter((one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
  .map((one) => parseFloat(getComputedStyle(one).fontSize))"""


@pytest.fixture(scope="module", params=JOBS)
def report(request, check_sample, tmp_path_factory):
    folder = tmp_path_factory.mktemp("sample")
    has_picture = request.param in PRINTED  # it is only printed
    return write_report(check_sample(request.param), folder, has_picture=has_picture)


def test_there_are_samples():
    assert len(JOBS) > 4


def test_a_page_is_smaller_than_two_megabytes(report):
    assert (report.folder / "report.html").stat().st_size < 2_000_000


@pytest.fixture
def job(request):
    """Return the name of the sample that is looked at."""
    return request.node.callspec.params["report"]


def test_a_page_on_a_phone_fits_tells_the_figures_of_the_json_and_prints_whole(report, show, job):
    page = show(report, **PHONE)
    assert_head_fills_one_screen_and_the_plan_begins_on_the_second(page)
    assert_fits(page, PHONE)
    assert_is_coloured(page)
    assert_figures_are_those_of_the_json(page, report)
    if job in PRINTED:
        assert_prints_whole_on_three_sheets(page, report)  # what is folded up too, and at night
        page.emulate_media(media="screen", color_scheme="light")
        page.set_viewport_size(PHONE["viewport"])
    unfold(page)
    assert find_faint(page) == []
    if (contrast := BARRED_BY_PHONE.get(job)) is not None:
        assert find_barriers(page, contrast=contrast) == []
    assert_large_letters_make_it_scroll_nowhere(page)


@pytest.mark.parametrize("report", [*BARRED_BY_DESK, "courtyard/job.toml"], indirect=True)
def test_a_page_on_a_desk_fits_and_bars_nobody(report, show, job):
    page = show(report, **DESKTOP, color_scheme="dark")
    assert_fits(page, DESKTOP)
    assert_is_coloured(page)
    # one look each: it takes long, and what is not theirs alone is seen on another
    if (contrast := BARRED_BY_DESK.get(job)) is not None:
        assert find_barriers(page, contrast=contrast) == []
    unfold(page)
    assert find_faint(page) == []
    assert_the_large_figures_stay_in_their_column(page)


def assert_head_fills_one_screen_and_the_plan_begins_on_the_second(page):
    high = page.viewport_size["height"]
    ends = page.evaluate("""() => ["#answer", "#work tbody", "#plan", "#map"].map((part) => {
      const at = document.querySelector(part)?.getBoundingClientRect();
      return at && [at.top, at.bottom];
    })""")
    head, rows, plan, drawn = ends
    assert head[1] <= high
    assert rows is None or head[1] <= rows[0] < rows[1] <= plan[0]
    assert plan[0] <= drawn[0] <= 2 * high


def assert_fits(page, size):
    assert page.evaluate("document.documentElement.scrollWidth") == size["viewport"]["width"]
    assert words(page, "#thick")


def assert_is_coloured(page):
    counts = page.evaluate(COLOURS)
    assert len(counts) >= 3
    for mode, count in counts.items():
        assert count >= (1 if mode in {"plain", "shots"} else 3), mode


def assert_figures_are_those_of_the_json(page, report):
    told = json.loads((report.folder / "result.json").read_text(encoding="utf-8"))
    figures = page.eval_on_selector_all(
        "data", "all => all.map((one) => [one.dataset.key, one.value])"
    )

    assert len(figures) > 20
    for key, value in figures:
        number: Any = told
        for part in key.split("."):
            number = number[int(part)] if isinstance(number, list) else number[part]
        assert float(value) == number, key


def assert_large_letters_make_it_scroll_nowhere(page):
    unfold(page)
    page.evaluate("document.documentElement.style.fontSize = '150%'")
    for width in (320, 390):
        page.set_viewport_size({"width": width, "height": 844})
        page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
        assert page.evaluate("document.documentElement.scrollWidth") == width


def assert_the_large_figures_stay_in_their_column(page):
    # what is not beside them need not be laid out again for each width
    rest = "document.querySelectorAll('main > :not(:has(.stats))')"
    page.evaluate(f"for (const one of {rest}) one.hidden = true")
    for width in (390, 960, 1210, 1280, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        ends = page.evaluate("""() => {
          const end = (of) => { const range = document.createRange(); range.selectNodeContents(of);
            return range.getBoundingClientRect().right; };
          return [document.querySelector(".stats").getBoundingClientRect().right,
            ...[...document.querySelectorAll(".stats b")].map(end)];
        }""")
        assert len(ends) == 5
        assert max(ends[1:]) <= ends[0] + 1, width


def assert_prints_whole_on_three_sheets(page, report):
    headings = page.locator("h2:not(.unseen)").all_inner_texts()
    page.emulate_media(media="print", color_scheme="dark")  # what is printed at night, too
    page.set_viewport_size({"width": PAPER, "height": 1000})
    assert page.evaluate("document.documentElement.scrollWidth") <= PAPER
    assert min(page.evaluate(SIZES_OF_LETTERS)) >= 7 / 72 * 96  # points, in dots of the page
    assert page.locator("#height").is_hidden()
    # on the paper of its country; the one with prices, which says most, on both
    papers = {"A4" if report.result.units.is_metric else "Letter"}
    papers |= {"A4"} if report.result.work.prices else set()
    for paper in sorted(papers):
        printed = PdfReader(BytesIO(page.pdf(format=paper)))
        *told, plan = printed.pages
        # without ligatures
        texts = [normalize("NFKC", sheet.extract_text()) for sheet in told]

        assert 2 <= len(printed.pages) <= 3, paper
        assert len(plan.images) == 1, paper
        first = " ".join(texts[0].split())
        assert "of concrete" in first
        assert "Fix list" in first or not report.result.work.fixes
        whole = " ".join(" ".join(texts).split())
        assert [heading for heading in headings if heading not in whole] == []
    assert page.locator("#still").bounding_box()["height"] > 800
