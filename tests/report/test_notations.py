"""Lengths on the page: in one notation or the other, and one rounding for mark, panel and lists."""

import re
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from gradevol.answer.grade import find_grade
from gradevol.answer.said.places import say_where
from gradevol.job import read_job
from gradevol.runs.check import check_job
from gradevol.site.locating import locate
from tests.small_job import lattice_shots, write_job

from .conftest import DESKTOP, PHONE, write_report
from .reading import ground_of, unfold, words

pytestmark = pytest.mark.browser

#: What would be left of each notation in the other; a fraction, feet and inches; parts of a foot.
IN_INCHES = re.compile(
    r"\d in\b(?! \d+ spot| the | row| all)|\d ft \d|\d'-\d|[CF] \d+(?: \d/\d|/\d)?\b(?!.*=)"
)
IN_FEET = re.compile(r"\d\.\d+ ft\b(?!²)|[CF]\.\d\d")
#: What is not told of the job's lengths: coordinates, what was written by hand, a line to paste.
APART = re.compile(r"E, N\s+[\d., ]+ ft|E \d+, N \d+ ft|BM-1, .*|rechecks = .*")
TEXT = """() => {
  const drawn = [...document.querySelectorAll("#map text, #legend text")];
  const spoken = [document.querySelector("#legend").ariaLabel, document.querySelector("#said")];
  const told = [document.body.innerText, spoken[0] || "", spoken[1].textContent];
  return [...told, ...drawn.map((one) => one.textContent)].join("\\n");
}"""


def all_words(page):
    """All that the page says with every view of the plan, and what a touch tells."""
    unfold(page)
    said = []
    for mode in ("thickness", "moves", "shots"):
        page.locator(f'button[data-mode="{mode}"]').click()
        said.append(page.evaluate(TEXT))
    return APART.sub("", "\n".join(said).replace("\u00a0", " "))


@pytest.mark.parametrize(
    ("name", "size"),
    [("boat_shed/job.toml", PHONE), ("apron/job_costs.toml", DESKTOP)],
    ids=["shed-phone", "priced-desktop"],
)
def test_no_length_is_left_in_the_other_notation(name, check_sample, tmp_path, show, size):
    page = show(write_report(check_sample(name), tmp_path), **size)
    page.fill("#height", "104.25")
    page.locator("#map").press("ArrowRight")
    page.locator("#read-here").click()
    page.locator("#elsewhere input").fill("4.6")
    page.locator('[data-notation="inches"]').click()
    assert IN_FEET.findall(all_words(page)) == []
    page.locator('[data-notation="hundredths"]').click()
    assert IN_INCHES.findall(all_words(page)) == []
    page.locator('[data-notation=""]').click()
    said = all_words(page)
    assert IN_INCHES.search(said)
    assert IN_FEET.search(said)


def test_the_rows_of_the_list_turn_and_turn_back(apron, show):
    page = show(apron)
    before = words(page, "#spot-1")
    assert "shave: up to 1 1/4 in, 11 x 5 ft 4 3/4 in thick" in before
    page.locator('[data-notation="hundredths"]').click()
    turned = words(page, "#spot-1")
    assert "shave: up to 0.10 ft, 11 x 5 ft 0.40 ft thick" in turned
    assert "10.0 ft from side 2 (bulkhead), 25.0 ft from side 3" in turned
    page.reload()
    assert words(page, "#spot-1") == turned  # it is kept
    page.locator('[data-notation=""]').click()
    assert words(page, "#spot-1") == before


def test_what_is_typed_stays_when_lengths_turn(apron, show):
    page = show(apron)
    page.fill("#height", "104.50")
    page.locator("#spot-2 input.read").first.fill("4.85")
    page.locator("#spot-2 .tick input").check()
    page.locator('[data-notation="inches"]').click()
    assert page.locator("#spot-2 input.read").first.input_value() == "4.85"
    assert page.locator("#spot-2 .tick input").is_checked()
    said = page.locator("#spot-2 .says").first.inner_text().replace("\u00a0", " ")
    assert said.startswith("4'-10 1/4\": ")


def test_metric_pages_have_one_notation(courtyard, show):
    page = show(courtyard)
    assert not page.locator("#notation").is_visible()
    assert page.locator(".turns").count() == 0


@pytest.mark.parametrize("name", ["apron", "courtyard"])
def test_panel_and_mark_say_what_the_answer_says_of_any_move(name, show, request):
    report = request.getfixturevalue(name)
    page, given = show(report), report.result.units
    for notation in [""] if given.is_metric else ["", "inches", "hundredths"]:
        assert_moves_are_said_alike(page, report, given.written(notation))


def assert_moves_are_said_alike(page, report, units):
    grade = find_grade(replace(report.result, units=units))
    near = np.array([grade.high, -grade.low])
    moves = np.concatenate(
        [
            np.random.default_rng(5).uniform(-0.3, 0.3, 3000),
            np.arange(-250, 251) * 0.3048 / 1000,  # halves of hundredths of a foot among them
            np.arange(-200, 201) * 0.0254 / 16,
            (near[:, None] + np.linspace(-0.004, 0.004, 401)).ravel(),
        ]
    )
    source = "".join(
        files("gradevol.out.pages").joinpath(f"{part}.js").read_text("utf-8")
        for part in ("shared", "lengths", "reading")
    )
    told = page.evaluate(
        f"([moves, chosen]) => {{ {source}\nnotation = chosen;"
        "return moves.map((move) => [sayMark(move), sayMove(move)]); }",
        [moves.tolist(), units.notation],
    )
    for move, (mark, panel) in zip(moves.tolist(), told, strict=True):
        assert mark == grade.say_mark(move)
        digits = re.sub(r"^[CF] ?", "", mark)
        if mark == "G":
            assert panel == "On grade"
        else:
            way, rest = panel.split(" ", 1)
            much, unit = rest.rsplit(" ", 1)
            assert (way[0], much.removeprefix("0") if unit == "ft" else much) == (mark[0], digits)


def test_places_by_tape_are_said_alike_in_each_notation(apron, show):
    page = show(apron)
    slab = apron.result.slab
    for notation in ("inches", "hundredths"):
        units = apron.result.units.written(notation)
        page.locator(f'[data-notation="{notation}"]').click()
        for fix in apron.result.work.fixes:
            page.locator(f'button[data-spot="{fix.rank}"]').click()
            taping = locate(fix.at[:2], slab)
            assert words(page, "#where") == say_where(taping, units, slab.side_names)
            assert say_where(taping, units, slab.side_names) in words(page, f"#spot-{fix.rank}")


@pytest.mark.usefixtures("unsimulated")
def test_a_thickness_below_nought_has_a_whole_minus_in_the_panel(tmp_path, show):
    shots = lattice_shots().replace("8.0000,6.0000,99.", "8.0000,6.0000,100.")
    result = check_job(read_job(write_job(tmp_path, shots=shots)))
    assert result.thickness.min < -0.1
    report = write_report(result, tmp_path)
    page = show(report)
    to_screen, _ = ground_of(page, report)
    page.mouse.click(*to_screen(result.thickness.min_at))
    assert words(page, "#thick").startswith("\N{MINUS SIGN}")
    assert words(page, "#fine").startswith("\N{MINUS SIGN}")
