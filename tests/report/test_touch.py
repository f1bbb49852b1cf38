"""Places of the plan in a browser: what is read of them is the field's, whichever way."""

import numpy as np
import pytest
import shapely

from gradevol.answer.drawing.bands import choose_bands
from gradevol.ground.units import METRES
from gradevol.job import read_job
from gradevol.out.pages import plan_data
from gradevol.out.pages.packing import pack_field
from gradevol.out.pictures.colours import shades
from gradevol.runs.check import check_job
from tests.conftest import look_coarsely
from tests.pads import grid
from tests.small_job import write_job

from .conftest import DESKTOP, PHONE, SIZES, write_report
from .reading import (
    TOLD,
    around,
    assert_reads,
    colours_at,
    ground_of,
    thickness_at,
    where_at,
    words,
)

pytestmark = pytest.mark.browser

#: Does something to the plan, once for each of many, and tells what is told after each.
EACH = f"""(each) => {{
  const map = document.getElementById("map");
  const tell = {TOLD};
  return each.map((one) => {{ %s; return tell(); }});
}}"""
PRESS = (
    EACH
    % """
  map.dispatchEvent(new KeyboardEvent("keydown", { ...one, bubbles: true, cancelable: true }))"""
)
TOUCH = (
    EACH
    % """
  const [clientX, clientY] = one;
  for (const type of ["pointerdown", "pointerup"]) {
    document.elementFromPoint(clientX, clientY)
      .dispatchEvent(new PointerEvent(type,
        { clientX, clientY, bubbles: true, isPrimary: true, pointerType: "touch" }));
  }"""
)


@SIZES
def test_each_row_shows_its_place_and_reads_it_right(apron, show, size):
    page = show(apron, **size)
    units, read = apron.result.units, []

    for fix in apron.result.work.fixes:
        page.locator(f'button[data-spot="{fix.rank}"]').click()
        told = page.evaluate(TOLD)
        read.append((told, fix.at[:2]))
        assert told["thick"] == units.say_thickness(fix.thickness, down=True)
        assert told["about"] == f"Place {fix.rank} of the list, at its worst"
        assert page.locator("tr.on").get_attribute("id") == f"spot-{fix.rank}"
        box = page.locator("#map").bounding_box()
        assert box["y"] < size["viewport"]["height"] / 2  # the plan was brought into view

    assert_reads(apron, read)


@pytest.mark.parametrize("name", ["apron", "courtyard", "drive", "notched"])
def test_a_walk_over_the_plan_reads_the_surface_at_every_step(name, show, request):
    report = request.getfixturevalue(name)
    page = show(report)
    step = 0.1 if report.result.units.is_metric else 4 * METRES["in"]
    low, high = report.result.slab.edge.min(axis=0), report.result.slab.edge.max(axis=0)
    ways = {"ArrowLeft": (-1, 0), "ArrowRight": (1, 0), "ArrowUp": (0, 1), "ArrowDown": (0, -1)}
    rng = np.random.default_rng(2)
    keys, places = [], [np.array(report.result.thickness.min_at)]
    for _ in range(60):
        key = list(ways)[rng.integers(4)]
        count = 10 if rng.random() < 0.6 else 1
        keys.append({"key": key, "shiftKey": count == 10})
        places.append(np.clip(places[-1] + count * step * np.array(ways[key]), low, high))

    steps = list(zip(page.evaluate(PRESS, keys), places[1:], strict=True))
    on_it = [(told, place) for told, place in steps if told["about"] != "Off the slab"]

    assert len(on_it) > 30
    assert_reads(report, on_it)


@pytest.mark.parametrize(("name", "size"), [("apron", PHONE), ("courtyard", DESKTOP)])
def test_a_touch_at_a_known_place_reads_the_right_thickness(name, show, size, request):
    report = request.getfixturevalue(name)
    page = show(report, **size)
    page.locator('button[data-mode="plain"]').click()
    page.locator("#map").evaluate("map => map.scrollIntoView({ block: 'start' })")
    to_screen, scale = ground_of(page, report)
    low, extent = report.result.slab.edge.min(axis=0), np.ptp(report.result.slab.edge, axis=0)
    places = low + np.random.default_rng(4).random((40, 2)) * extent
    badges = np.array([fix.at[:2] for fix in report.result.work.fixes])
    dots = [to_screen(place) for place in places]
    touched = page.evaluate(TOUCH, dots)
    press = page.mouse.click if size is DESKTOP else page.touchscreen.tap
    read = 0

    for place, dot, told in zip(places, dots, touched, strict=True):
        near = np.abs(badges - place).max(axis=1).min() * scale
        if near < 40 or told["about"] != "Here":
            continue
        read += 1
        # a finger is where the screen's dots are: the surface within a dot of it
        assert told["thick"] in around(report, place, 1.5 / scale)
        if read <= 4:  # the browser's own touch does the same
            press(*dot)
            assert page.evaluate(TOLD) == told

    assert read > 8


def test_a_place_beyond_the_shots_is_said_to_be(apron, show):
    page = show(apron)
    page.locator("#map").focus()
    page.locator('button[data-spot="1"]').click()
    assert "assumed" not in words(page, "#flags")
    for _ in range(4):
        page.locator("#map").press("Shift+ArrowRight")

    assert "Nobody measured here: the base is assumed" in words(page, "#flags")
    assert "at side 2 (bulkhead)" in words(page, "#where")


@pytest.fixture(scope="module")
def patio(tmp_path_factory):
    """Return an invented round slab that is thinnest at one of its outermost shots."""
    folder = tmp_path_factory.mktemp("patio")
    job = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 9], { curve = [9, 0] }, [18, 9], { curve = [9, 18] }]
thickness = "4 in"
[top]
level = 100
"""
    shots = "P,N,E,Z\n1,0.5,9,99.75\n2,9,0.5,99.66\n3,17.5,9,99.66\n4,9,17.5,99.66\n5,9,9,99.66\n"
    with look_coarsely():
        result = check_job(read_job(write_job(folder, job=job, shots=shots)))
    return write_report(result, folder)


def test_at_an_outermost_shot_nobody_is_told_that_nobody_shot(patio, show):
    page = show(patio)
    assert "1, here" in words(page, "#more")
    assert "assumed" not in words(page, "#flags")


def test_names_of_corners_stand_off_a_round_slab_on_a_phone(patio, show):
    page = show(patio, **PHONE)
    west, east = page.evaluate("""() => {
      const rings = [...document.querySelectorAll("#map path")].map((path) => path.getBBox());
      const widest = rings.reduce((one, other) => (other.width > one.width ? other : one));
      const map = document.querySelector("#map").getBoundingClientRect();
      const corner = (number) => [...document.querySelectorAll("#map text")]
        .find((text) => text.textContent === `corner ${number}`).getBoundingClientRect();
      const [west, east] = [corner(1).right - map.left, corner(2).left - map.left];
      return [widest.x - west, east - widest.x - widest.width];
    }""")
    assert min(west, east) > 0


def test_off_the_slab_there_is_no_thickness_to_read(courtyard, show):
    page = show(courtyard)
    box = page.locator("#map").bounding_box()
    page.mouse.click(box["x"] + 5, box["y"] + 5)

    assert words(page, "#about") == "Off the slab"
    assert words(page, "#thick") == "no concrete"


def test_a_badge_on_the_plan_marks_its_row(apron, show):
    page = show(apron)
    page.locator("#map g[data-spot='3']").click()

    assert page.locator("tr.on").get_attribute("id") == "spot-3"
    assert words(page, "#about").startswith("Place 3")


def test_what_is_read_is_said_aloud(apron, show):
    page = show(apron)
    page.locator("#map").press("ArrowUp")

    said = page.locator("#said")
    assert said.get_attribute("role") == "status"
    assert words(page, "#thick") in said.inner_text()
    assert words(page, "#where") in said.inner_text().replace("\u00a0", " ")


def test_the_plan_wears_the_colours_of_the_scale(apron, show):
    page = show(apron)
    bands = choose_bands(apron.result)
    to_screen, _ = ground_of(page, apron)
    wanted = np.rint(255 * shades(bands.steps))
    places = grid([1.2, 4, 6.5, 9, 12], np.arange(1.1, 24, 1.3))
    thickness = thickness_at(apron, places)
    # a line may run where a level, or the design, is near
    lines = np.append(bands.levels, apron.result.slab.thickness)
    is_plain = np.abs(lines[:, None] - thickness).min(axis=0) >= 0.0015
    # places of the list are hatched or dotted
    for fix in apron.result.work.fixes:
        for ring in fix.rings:
            is_plain &= ~shapely.contains_xy(shapely.Polygon(ring), *places.T)
    numbers = np.searchsorted(bands.levels[1:-1], thickness, side="right")
    colours = colours_at(page, [to_screen(place) for place in places])

    off = np.abs(colours - wanted[numbers]).max(axis=1)
    assert places[is_plain & (off > 1)].tolist() == []
    assert len(set(numbers[is_plain])) >= 3


def test_what_is_coloured_can_be_switched(apron, show):
    page = show(apron)
    to_screen, _ = ground_of(page, apron)
    at = to_screen((1.0, 23.3))
    colours = set()

    for mode in ("thickness", "moves", "plain"):
        button = page.locator(f'button[data-mode="{mode}"]')
        button.click()
        assert button.get_attribute("aria-pressed") == "true"
        assert page.locator('button[data-mode][aria-pressed="true"]').count() == 1
        colours.add(tuple(colours_at(page, [at])[0]))

    assert len(colours) == 3
    page.locator('button[data-mode="shots"]').click()
    text = page.locator("#map svg").text_content()
    assert "C.10?" in text  # shot 41, suspect
    assert "F.19" in text  # shot 49
    page.locator('button[data-notation="inches"]').click()
    text = page.locator("#map svg").text_content()
    assert "C 1 1/4?" in text
    assert "F 2 1/4" in text
    assert words(page, "#move") == "Cut 1 1/4 in"
    assert "what its base needs, in." in words(page, "#key")


def test_the_plan_can_be_enlarged_about_the_place(apron, show):
    page = show(apron)
    before = ground_of(page, apron)[1]
    page.locator('button[data-zoom="in"]').click()

    assert ground_of(page, apron)[1] == pytest.approx(2 * before, rel=0.01)
    page.locator("#map").press("ArrowRight")
    place = np.add(apron.result.thickness.min_at, (4 * METRES["in"], 0))
    assert_reads(apron, [(page.evaluate(TOLD), place)])


@SIZES
def test_a_large_job_is_read_from_its_grid(apron, tmp_path, show, monkeypatch, size):
    monkeypatch.setattr(
        plan_data, "pack_field", lambda field, **told: pack_field(field, most=50, **told)
    )
    page = show(write_report(apron.result, tmp_path), **size)
    fix = apron.result.work.fixes[2]
    page.locator('button[data-spot="3"]').click()

    assert "nearest square" in words(page, "#keys")
    told = page.evaluate(TOLD)
    assert told["thick"] in around(apron, fix.at[:2], 0.02)
    assert told["where"] == where_at(apron, fix.at[:2])


@pytest.fixture(scope="module")
def notched(tmp_path_factory):
    """Return an invented slab with corners cut off and a notch: not every place faces two sides."""
    folder = tmp_path_factory.mktemp("notched")
    job = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[4, 0], [24, 0], [26, 2], [26, 16], [17, 16], [15, 4], [9, 16], [3, 16], [0, 13], [0, 4]]
thickness = "4 in"
base_high = 0.02
base_low = 0.04
[top]
level = 100
"""
    places = [(n, e) for n in (0.5, 5, 10, 15.5) for e in (0.5, 5, 9, 17, 21, 25.5)]
    rows = [f"{at},{n},{e},{99.6 + at % 7 / 50:.2f}\n" for at, (n, e) in enumerate(places)]
    shots = "P,N,E,Z\n" + "".join(rows)
    with look_coarsely():
        result = check_job(read_job(write_job(folder, job=job, shots=shots)))
    return write_report(result, folder)
