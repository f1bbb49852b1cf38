"""The pages of all samples, on a phone, a desk and paper."""

import json
from io import BytesIO
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from pypdf import PdfReader

from .conftest import DESKTOP, PHONE, SAMPLES, write_report
from .test_page import words

pytestmark = [pytest.mark.browser, pytest.mark.slow]

JOBS = sorted(SAMPLES.glob("*/job*.toml"))
LOOKS = [
    {**size, "color_scheme": scheme} for size in (PHONE, DESKTOP) for scheme in ("light", "dark")
]
PAPER = 720  # dots across what is printed of a letter page, 7.5 in


@pytest.fixture(scope="module", params=JOBS, ids=lambda job: f"{job.parent.name}-{job.stem}")
def report(request, tmp_path_factory):
    return write_report(request.param, tmp_path_factory.mktemp("sample"))


def test_there_are_samples():
    assert len(JOBS) > 4


def test_a_page_is_smaller_than_two_megabytes(report):
    assert (report.folder / "report.html").stat().st_size < 2_000_000


def test_figures_are_those_of_the_json(report, show):
    page = show(report, **PHONE)
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


@pytest.mark.parametrize("look", LOOKS, ids=["phone", "phone-dark", "desk", "desk-dark"])
def test_a_page_fits_reads_and_bars_nobody(report, show, look):
    page = show(report, **look)

    assert page.evaluate("document.documentElement.scrollWidth") == look["viewport"]["width"]
    assert words(page, "#thick")
    for mode in page.eval_on_selector_all("[data-mode]", "all => all.map((x) => x.dataset.mode)"):
        page.locator(f'[data-mode="{mode}"]').click()
        colours = page.evaluate("""() => {
          const canvas = document.querySelector("#map canvas");
          const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
          const seen = new Set();
          for (let at = 0; at < data.length; at += 4) {
            if (data[at + 3]) seen.add(data.slice(at, at + 3).join());
          }
          return seen.size;
        }""")
        assert colours >= (1 if mode in {"plain", "shots"} else 3)
    found = Axe().run(page).response
    serious = [one["id"] for one in found["violations"] if one["impact"] in {"serious", "critical"}]
    assert serious == []


@pytest.mark.parametrize("width", [390, 960, 1210, 1280, 1440])
def test_the_large_figures_stay_in_their_column(report, show, width):
    page = show(report, viewport={"width": width, "height": 900})
    ends = page.evaluate("""() => {
      const end = (of) => { const range = document.createRange(); range.selectNodeContents(of);
        return range.getBoundingClientRect().right; };
      return [document.querySelector(".stats").getBoundingClientRect().right,
        ...[...document.querySelectorAll(".stats b")].map(end)];
    }""")
    assert len(ends) == 5
    assert max(ends[1:]) <= ends[0] + 1


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_a_page_prints_whole(report, show, paper):
    page = show(report, viewport={"width": PAPER, "height": 1000}, color_scheme="dark")
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth") <= PAPER
    printed = PdfReader(BytesIO(page.pdf(format=paper)))
    texts = [sheet.extract_text() for sheet in printed.pages]

    assert len(texts) <= 6
    assert all(len(text.split()) > 20 for text in texts)  # no sheet but for a line that ran over
    first = " ".join(texts[0].split())
    assert "of concrete" in first
    assert "side 1" in first  # the plan is on the first
    whole = " ".join(" ".join(texts).split())
    for heading in page.locator("h2:not(.unseen)").all_inner_texts():
        assert heading in whole
    assert "Instrument height" not in whole
