"""Plans with little room: words over nothing, within the plan, or left out and counted."""

import numpy as np
import pytest
import shapely

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import look_coarsely
from tests.small_job import write_job

from .conftest import DESKTOP, PHONE, SIZES, write_report
from .reading import ground_of, words

pytestmark = pytest.mark.browser

WALK = """title = "Invented walk"
units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [180, 0], [180, 4], [0, 4]]
sides = ["lawn form", "gate", "bed form", "street"]
thickness = "4 in"
least_thickness = "3 1/4 in"
base_high = "1/4 in"
base_low = "1/2 in"
[top]
level = 100.333
"""

#: Words on the plan with their boxes, and the plan's size; lines that lead to names; numbers.
WORDS = """() => [...document.querySelectorAll("#map text")].map((one) => {
  const at = one.getBoundingClientRect();
  const frame = document.querySelector("#map").getBoundingClientRect();
  const [left, top] = [at.left - frame.left, at.top - frame.top];
  return [one.textContent, left, top, left + at.width, top + at.height, frame.width, frame.height];
})"""
LEADERS = """() => [...document.querySelectorAll("#map path[stroke-width='1']")]
  .map((path) => path.getAttribute("d")).filter((d) => /^M[-\\d. ]+L[-\\d., ]+$/.test(d))
  .map((d) => d.match(/-?[\\d.]+/g).map(Number))"""
#: Places along the middle of each name of a side, which leans with it.
SIDES = """() => [...document.querySelectorAll("#map text.off")]
  .filter((one) => one.textContent.startsWith("side")).flatMap((one) => {
    const [at, turn] = [one.getBBox(), one.transform.baseVal.consolidate().matrix];
    return [0, 0.25, 0.5, 0.75, 1].map((share) => {
      const [x, y] = [at.x + share * at.width, at.y + at.height / 2];
      return [turn.a * x + turn.c * y + turn.e, turn.b * x + turn.d * y + turn.f];
    });
  })"""
TAPES = """() => [...document.querySelectorAll("#map rect[rx]")].map((one) => {
  const at = one.getBBox();
  return [at.x, at.y, at.x + at.width, at.y + at.height];
})"""
NUMBERS = """() => [...document.querySelectorAll("#map [data-spot]")].map((group) => {
  const circle = group.querySelector("circle");
  return ["cx", "cy"].map((at) => Number(circle.getAttribute(at)));
})"""


def pave(plan, level, *, off):
    """Shots as a file; `off` says how far each is above the level."""
    rows = [
        f"{number},{n:.3f},{e:.3f},{level + off(e, n):.3f}"
        for number, (e, n) in enumerate(plan.tolist(), start=1)
    ]
    return "P,N,E,Z\n" + "\n".join(rows) + "\n"


def lattice(wide, high, columns, rows):
    east, north = np.meshgrid(np.linspace(0, wide, columns), np.linspace(0, high, rows))
    return np.column_stack([east.ravel(), north.ravel()])


def _write(folder, job, shots):
    """Check an invented job, and write its page."""
    with look_coarsely():
        result = check_job(read_job(write_job(folder, job=job, shots=shots)))
    return write_report(result, folder)


@pytest.fixture(scope="module")
def walk(tmp_path_factory):
    """Return an invented walk of 4 by 180 ft, with next shots all along it."""
    folder = tmp_path_factory.mktemp("walk")
    shots = pave(
        lattice(180, 4, 37, 2),
        100,
        off=lambda e, n: 0.025 * np.sin(1.7 * e + n) + 0.01 * np.cos(e),
    )
    return write_report(check_job(read_job(write_job(folder, job=WALK, shots=shots))), folder)


@pytest.fixture(scope="module")
def bumps(tmp_path_factory):
    """Return an invented floor turned by 30 degrees, with two dozen bumps in rows."""
    turn = np.radians(30)
    way = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    corners = (np.array([[0, 0], [60, 0], [60, 15], [24, 15], [24, 36], [0, 36]]) @ way).round(4)
    plan = lattice(60, 36, 31, 37)
    plan = plan[(plan[:, 1] <= 15) | (plan[:, 0] <= 24)]
    is_bump = (plan[:, 0] % 6 == 2) & (plan[:, 1] % 8 == 4)
    heights = iter(np.where(is_bump, 0.09 + np.arange(len(plan)) % 30 / 1000, 0.0))
    turned = plan @ way
    job = WALK.replace("[[0, 0], [180, 0], [180, 4], [0, 4]]", str(corners.tolist())).replace(
        '["lawn form", "gate", "bed form", "street"]',
        '["house", "drive", "step", "garage form", "fence", "gate form"]',
    )
    shots = pave(turned, 100, off=lambda _e, _n: next(heights))
    return _write(tmp_path_factory.mktemp("bumps"), job, shots)


@SIZES
def test_names_on_a_narrow_walk_cross_no_words_or_are_counted(walk, show, size):
    page = show(walk, **size)
    told = page.evaluate(WORDS)
    names = [one for one in told if one[0].startswith("NEXT")]
    shots = walk.view["next_shots"]
    left = len({one["name"] for one in (*shots["thin"], *shots["volume"])}) - len(names)

    assert left > 0
    said = f"{left} name{' has' if left == 1 else 's have'} no room: enlarge, or touch it"
    assert said in words(page, "#key")
    others = [one for one in told if not one[0].startswith("NEXT")]
    assert {"side 1: lawn form", "side 3: bed form", "N"} <= {one[0] for one in others}
    for x, y, a, b in page.evaluate(LEADERS):
        steps = np.linspace((x, y), (a, b), 50)
        for text, *box, _wide, _high in others:
            west, north, east, south = np.add(box, (2, 2, -2, -2))
            is_in = (steps > (west, north)) & (steps < (east, south))
            assert not is_in.all(axis=1).any(), text


@SIZES
def test_names_of_sides_are_whole_and_under_nothing(bumps, show, size):
    page = show(bumps, **size)
    numbers = page.evaluate(NUMBERS)
    for fix in bumps.result.work.fixes:
        page.locator(f'button[data-spot="{fix.rank}"]').click()
        told = page.evaluate(WORDS)
        sides = [one for one in told if one[0].startswith("side")]
        assert len(sides) == 6
        for text, west, north, east, south, wide, high in sides:
            assert min(west, north, wide - east, high - south) > -1, text
        stretches = np.array(page.evaluate(SIDES))
        for tape in page.evaluate(TAPES):
            away = np.maximum(np.array(tape[:2]) - stretches, stretches - tape[2:]).max(axis=1)
            assert (away > -1).all()
        for number in numbers:
            assert (np.hypot(*(stretches - number).T) > 9).all()


@SIZES
def test_lines_to_numbers_of_the_list_are_short_and_run_under_no_number(bumps, show, size):
    page = show(bumps, **size)
    numbers = np.array(page.evaluate(NUMBERS))
    ends = page.evaluate("""() => [...document.querySelectorAll("#map path[stroke-width='1.25']")]
      .map((path) => path.getAttribute("d")).filter((d) => /^M[-\\d. ]+L[-\\d. ]+$/.test(d))
      .map((d) => d.match(/-?[\\d.]+/g).map(Number))""")
    assert len(ends) == 10
    lengths = [np.hypot(a - x, b - y) for x, y, a, b in ends]
    assert max(lengths) < 90
    for x, y, a, b in ends:
        steps = np.linspace((x, y), (a, b), 60)[:, None]
        away = np.hypot(*np.moveaxis(steps - numbers, -1, 0)).min(axis=0)
        assert (away[np.hypot(*(numbers - (a, b)).T) > 1] > 8).all()


def test_all_that_is_too_high_is_hatched_but_what_is_thin(bumps, show):
    page = show(bumps, **DESKTOP)
    hatched = page.locator('#map path[fill="url(#high-texture)"]')

    assert hatched.count() == len(bumps.answer.drawing.spots.high) > 10
    assert hatched.first.get_attribute("clip-path") == "url(#not-thin)"
    assert "base too high" in words(page, "#key")


def test_the_tapes_of_a_place_near_an_edge_are_not_written_one_over_the_other(bumps, show):
    page = show(bumps, **PHONE)
    for fix in bumps.result.work.fixes:
        page.locator(f'button[data-spot="{fix.rank}"]').click()
        boxes = page.evaluate(TAPES)
        for at, one in enumerate(boxes):
            for other in boxes[:at]:
                wide = min(one[2], other[2]) - max(one[0], other[0])
                high = min(one[3], other[3]) - max(one[1], other[1])
                assert min(wide, high) <= 0


def test_where_shots_stand_close_what_is_off_grade_has_its_marks(bumps, show):
    page = show(bumps, **PHONE)
    page.locator('button[data-mode="shots"]').click()
    marks = page.evaluate(
        '() => [...document.querySelectorAll("#map [data-shot]")].map((one) => one.textContent)'
    )
    high = sorted(float(mark[1:]) for mark in marks if mark.startswith("C"))

    # bumps of 0.090 to 0.119 ft, and 0.35 in from dot to dot
    assert len(high) > 15
    assert high[0] >= 0.09
    assert high[-1] == 0.12


@pytest.fixture(scope="module")
def cut(tmp_path_factory):
    """Return an invented floor with its corners cut off, off grade beside five of its sides."""
    edge = "[[4, 0], [36, 0], [40, 4], [40, 28], [36, 32], [4, 32], [0, 28], [0, 4]]"
    job = WALK.replace("[[0, 0], [180, 0], [180, 4], [0, 4]]", edge)
    job = "\n".join(line for line in job.splitlines() if not line.startswith("sides"))
    off = {(16, 1): 0.08, (39, 16): -0.09, (2, 3): 0.07, (38, 29): -0.08, (24, 31): 0.06}
    plan = np.concatenate([lattice(40, 32, 11, 9), list(off)])
    shots = pave(plan, 100, off=lambda e, n: off.get((e, n), 0.0))
    return _write(tmp_path_factory.mktemp("cut"), job, shots)


@SIZES
def test_corners_that_the_list_tapes_from_are_named_beside_the_slab(cut, show, size):
    page = show(cut, **size)
    told = {fix.where.along[0] for fix in cut.result.work.fixes if fix.where.along}
    assert told >= {1, 3, 4, 8}
    frame = page.locator("#map").bounding_box()
    to_screen, _ = ground_of(page, cut)
    slab = shapely.Polygon([to_screen(place) for place in cut.result.slab.edge])
    boxes = {
        text: shapely.box(*np.add(box, [frame["x"], frame["y"]] * 2))
        for text, *box, _wide, _high in page.evaluate(WORDS)
    }
    for number in told:
        assert boxes[f"corner {number}"].intersection(slab).area < 10, number  # px²
