"""The page in a browser: what it tells is the result, and a touch reads the surface."""

import json
import re
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe

from gradevol.answer.said.places import say_where
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.units import METRES
from gradevol.out.pages import plan_data
from gradevol.out.pages.packing import pack_field
from gradevol.out.pictures.colours import shades
from gradevol.site.locating import locate

from .conftest import DESKTOP, PHONE, SAMPLES, write_report

pytestmark = pytest.mark.browser

SIZES = pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])


def words(page, selector):
    return " ".join(page.locator(selector).inner_text().replace("\u00a0", " ").split())


def expected_at(report, place):
    """Thickness, cut and base at a place by the field itself, m, and how to tape it."""
    result, field = report.result, report.result.field
    at = np.array([place], float)
    thickness = float(nearest_level(np.dstack([field.corners, field.thickness]), at)[0])
    base = float(nearest_level(np.dstack([field.corners, field.base]), at)[0])
    where = say_where(locate(tuple(place), result.slab), result.units, result.slab.side_names)
    return thickness, result.slab.thickness - thickness, base, where


def say_move(cut, units):
    said = units.say_thickness(abs(cut))
    return "On grade" if said.startswith("0 ") else f"{'Cut' if cut > 0 else 'Fill'} {said}"


def assert_reads(page, report, place):
    """The panel tells of a place just what the field and the lists do."""
    units = report.result.units
    thickness, cut, base, where = expected_at(report, place)
    origin = float(report.result.survey.origin[2])
    near = np.array([-4e-6, 4e-6])  # what packing may turn
    assert words(page, "#thick") in {units.say_thickness(thickness + x, down=True) for x in near}
    assert words(page, "#move") in {say_move(cut + x, units) for x in near}
    assert words(page, "#where") == where
    levels = re.search(r"Design base (.*?) Base here (.*? (?:ft|m))", words(page, "#more"))
    assert levels
    assert levels[1] in {units.say_level(base + origin - cut + x) for x in near}
    assert levels[2] in {units.say_level(base + origin + x) for x in near}
    is_thin = thickness < report.result.slab.least_thickness
    assert ("Thinner than" in words(page, "#flags")) == is_thin


@SIZES
def test_the_page_fits_and_tells_its_volume(apron, show, size):
    page = show(apron, **size)

    wide = size["viewport"]["width"]
    assert page.evaluate("document.documentElement.scrollWidth") == wide
    assert words(page, ".big") == "72.7 yd³ of concrete"
    assert page.locator("#map canvas").bounding_box()["width"] > 300


def test_a_page_fits_the_narrowest_phone_and_large_letters(apron, show):
    page = show(apron, viewport={"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    for mode in ("thickness", "moves", "shots", "plain"):
        page.locator(f'button[data-mode="{mode}"]').click(timeout=2000)  # nothing lies over it
    page.locator('button[data-zoom="in"]').click(timeout=2000)
    page.locator("#theme").click(timeout=2000)


@SIZES
def test_figures_on_the_page_are_those_of_the_json(apron, show, size):
    page = show(apron, **size)
    told = json.loads((apron.folder / "result.json").read_text(encoding="utf-8"))
    figures = page.eval_on_selector_all(
        "data", "all => all.map((one) => [one.dataset.key, one.value, one.innerText])"
    )

    assert len(figures) > 60
    for key, value, text in figures:
        number: Any = told
        for part in key.split("."):
            number = number[int(part)] if isinstance(number, list) else number[part]
        assert float(value) == number
        assert text.strip()


@SIZES
def test_each_row_shows_its_place_and_reads_it_right(apron, show, size):
    page = show(apron, **size)
    units = apron.result.units

    for fix in apron.result.work.fixes:
        page.locator(f'button[data-spot="{fix.rank}"]').click()
        assert words(page, "#thick") == units.say_thickness(fix.thickness, down=True)
        assert words(page, "#about") == f"Place {fix.rank} of the list, at its worst"
        assert_reads(page, apron, fix.at[:2])
        assert page.locator("tr.on").get_attribute("id") == f"spot-{fix.rank}"
        box = page.locator("#map").bounding_box()
        assert box["y"] < size["viewport"]["height"] / 2  # the plan was brought into view


@pytest.mark.parametrize("name", ["apron", "courtyard"])
def test_a_walk_over_the_plan_reads_the_surface_at_every_step(name, show, request):
    report = request.getfixturevalue(name)
    page = show(report)
    units = report.result.units
    step = 0.1 if units.is_metric else 4 * METRES["in"]
    place = np.array(report.result.thickness.min_at)
    low, high = report.result.slab.edge.min(axis=0), report.result.slab.edge.max(axis=0)
    ways = {"ArrowLeft": (-1, 0), "ArrowRight": (1, 0), "ArrowUp": (0, 1), "ArrowDown": (0, -1)}
    rng = np.random.default_rng(2)
    page.locator("#map").focus()
    is_on = 0

    for _ in range(60):
        key = list(ways)[rng.integers(4)]
        count = 10 if rng.random() < 0.6 else 1
        page.keyboard.press(f"Shift+{key}" if count == 10 else key)
        place = np.clip(place + count * step * np.array(ways[key]), low, high)
        if words(page, "#about") == "Off the slab":
            continue
        is_on += 1
        assert_reads(page, report, place)

    assert is_on > 40


def ground_of(page, report):
    """How places of the ground, m, lie on the screen: by the corners of the slab as drawn."""
    path = page.locator("#map path.border").last.get_attribute("d")
    drawn = np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path), float)
    edge = report.result.slab.edge
    frame = page.locator("#map").bounding_box()
    scale = np.ptp(drawn[:, 0]) / np.ptp(edge[:, 0])
    west, north = edge[:, 0].min(), edge[:, 1].max()

    def to_screen(place):
        east = frame["x"] + drawn[:, 0].min() + (place[0] - west) * scale
        return east, frame["y"] + drawn[:, 1].min() + (north - place[1]) * scale

    return to_screen, scale


@pytest.mark.parametrize("name", ["apron", "courtyard"])
@SIZES
def test_a_touch_at_a_known_place_reads_the_right_thickness(name, show, size, request):
    report = request.getfixturevalue(name)
    page = show(report, **size)
    page.locator("#plan").scroll_into_view_if_needed()
    page.locator("#map").evaluate("map => map.scrollIntoView({ block: 'start' })")
    page.locator('button[data-mode="plain"]').click()
    page.locator("#map").evaluate("map => map.scrollIntoView({ block: 'start' })")
    to_screen, scale = ground_of(page, report)
    units, low = report.result.units, report.result.slab.edge.min(axis=0)
    rng = np.random.default_rng(4)
    places = low + rng.random((40, 2)) * np.ptp(report.result.slab.edge, axis=0)
    badges = np.array([fix.at[:2] for fix in report.result.work.fixes])
    read = 0

    for place in places:
        near = np.abs(badges - place).max(axis=1).min() * scale
        x, y = to_screen(place)
        page.mouse.click(x, y) if size is DESKTOP else page.touchscreen.tap(x, y)
        if near < 40 or words(page, "#about") != "Here":
            continue
        read += 1
        # a finger is where the screen's dots are: the surface within a dot of it
        around = [expected_at(report, place + off / scale)[0] for off in _AROUND]
        bounds = (min(around) - 1e-4, max(around) + 1e-4)
        told = {units.say_thickness(x, down=True) for x in np.linspace(*bounds, 50)}
        assert words(page, "#thick") in told

    assert read > 12


_AROUND = 1.5 * np.array([(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)], float)


def test_a_place_beyond_the_shots_is_said_to_be(apron, show):
    page = show(apron)
    page.locator("#map").focus()
    page.locator('button[data-spot="1"]').click()
    assert "Beyond" not in words(page, "#flags")
    for _ in range(4):
        page.locator("#map").press("Shift+ArrowRight")

    assert "Beyond the shots" in words(page, "#flags")
    assert "at side 2 (bulkhead)" in words(page, "#where")


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


def dot_at(page, place):
    """Colour of the plan's canvas at a place of the screen."""
    return page.evaluate(
        """([x, y]) => {
          const canvas = document.querySelector("#map canvas");
          const frame = canvas.getBoundingClientRect();
          const scale = canvas.width / frame.width;
          const at = [(x - frame.left) * scale, (y - frame.top) * scale].map(Math.floor);
          return [...canvas.getContext("2d").getImageData(...at, 1, 1).data];
        }""",
        list(place),
    )


def test_the_plan_wears_the_colours_of_the_scale(apron, show):
    page = show(apron)
    bands = apron.answer.drawing.bands
    to_screen, _ = ground_of(page, apron)
    wanted = np.rint(255 * shades(len(bands.levels) - 1))
    seen = set()

    for place in np.stack(np.meshgrid([1.2, 4, 6.5, 9, 12], np.arange(1.1, 24, 1.3)), -1).reshape(
        -1, 2
    ):
        thickness = expected_at(apron, place)[0]
        if np.abs(bands.levels - thickness).min() < 0.0015:
            continue  # a line may run there
        colour = dot_at(page, to_screen(place))[:3]
        number = int(np.searchsorted(bands.levels[1:-1], thickness, side="right"))
        if thickness > apron.result.slab.least_thickness:
            assert np.abs(np.array(colour) - wanted[number]).max() <= 1, (place, thickness)
            seen.add(number)

    assert len(seen) >= 4


def test_what_is_coloured_can_be_switched(apron, show):
    page = show(apron)
    to_screen, _ = ground_of(page, apron)
    at = to_screen((1.0, 23.3))
    colours = {}

    for mode in ("thickness", "moves", "plain"):
        button = page.locator(f'button[data-mode="{mode}"]')
        button.click()
        assert button.get_attribute("aria-pressed") == "true"
        assert page.locator('button[data-mode][aria-pressed="true"]').count() == 1
        colours[mode] = tuple(dot_at(page, at))

    assert len(set(colours.values())) == 3
    page.locator('button[data-mode="shots"]').click()
    text = page.locator("#map svg").text_content()
    assert "C 1 1/4 ?" in text  # shot 41, suspect
    assert "F 2 1/4" in text  # shot 49


@SIZES
def test_no_mark_of_a_shot_is_cut_off_by_the_plans_sides(apron, show, size):
    page = show(apron, **size)
    page.click("[data-mode=shots]")
    marks = page.evaluate("""() => {
      const sides = document.querySelector("#map").getBoundingClientRect();
      return [...document.querySelectorAll("#map svg text")]
        .filter((mark) => /^([CF] |G)/.test(mark.textContent))
        .map((mark) => [mark.textContent, mark.getBoundingClientRect()])
        .map(([text, at]) => [text, at.left - sides.left, sides.right - at.right]);
    }""")
    assert len(marks) > 20
    assert [mark for mark in marks if min(mark[1:]) < 0] == []


def test_the_plan_can_be_enlarged_about_the_place(apron, show):
    page = show(apron)
    before = ground_of(page, apron)[1]
    page.locator('button[data-zoom="in"]').click()

    assert ground_of(page, apron)[1] == pytest.approx(2 * before, rel=0.01)
    page.locator("#map").press("ArrowRight")
    place = np.add(apron.result.thickness.min_at, (4 * METRES["in"], 0))
    assert_reads(page, apron, place)


@SIZES
def test_tables_are_copied_for_a_spreadsheet(apron, show, size):
    page = show(apron, **size, permissions=["clipboard-read", "clipboard-write"])
    page.locator("#work .copy").click()
    page.wait_for_function("document.querySelector('#work .copy').innerText.startsWith('Copied')")
    copied = page.evaluate("navigator.clipboard.readText()")
    rows = [row.split("\t") for row in copied.replace("\r", "").split("\n")]

    assert rows[0][0] == "rank"
    assert [row[0] for row in rows[1:]] == [str(fix.rank) for fix in apron.result.work.fixes]


def background(page):
    colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
    return sum(map(int, re.findall(r"\d+", colour)[:3]))


@SIZES
def test_buttons_that_copy_keep_off_the_headings(tmp_path, show, size):
    report = write_report(SAMPLES / "apron" / "job_costs.toml", tmp_path)
    page = show(report, **size)
    count, over = page.evaluate("""() => {
      const boxes = (what) => [...document.querySelectorAll(what)].map((one) => {
        const range = document.createRange();
        range.selectNodeContents(one);
        return [one.textContent, range.getBoundingClientRect()];
      });
      const heads = boxes("thead th").filter(([, at]) => at.height > 1);
      const all = [...document.querySelectorAll(".copy")];
      const buttons = all.map((one) => one.getBoundingClientRect());
      const isOver = (at) => buttons.some((one) =>
        Math.min(one.right, at.right) - Math.max(one.left, at.left) > -3 &&
        Math.min(one.bottom, at.bottom) - Math.max(one.top, at.top) > -3);
      return [heads.length, heads.filter(([, at]) => isOver(at)).map(([text]) => text)];
    }""")
    assert count > 5
    assert over == []


def test_dark_and_light_follow_the_reader_and_can_be_turned(apron, show):
    light, dark = show(apron, color_scheme="light"), show(apron, color_scheme="dark")
    assert background(light) > 600
    assert background(dark) < 150
    for page, is_dark in ((light, True), (dark, False)):
        page.locator("#theme").click()
        assert (background(page) < 150) == is_dark


def test_paper_gets_no_buttons_and_no_darkness(apron, show):
    page = show(apron, color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")

    assert background(page) == 3 * 255
    for button in ("#theme", ".switch", ".copy", ".zoom"):
        assert not page.locator(button).first.is_visible()
    assert page.locator("#map canvas").is_visible()
    assert len(page.pdf(format="A4")) > 10_000


def test_without_scripts_all_figures_are_there(apron, show):
    page = show(apron, java_script_enabled=False)

    assert words(page, ".big") == "72.7 yd³ of concrete"
    assert "needs scripts" in words(page, "noscript")
    assert page.locator("#work tbody tr").count() == len(apron.result.work.fixes)
    assert not page.locator(".copy").first.is_visible()


@pytest.mark.parametrize(
    "colours",
    [{"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"}],
    ids=["light", "dark", "forced"],
)
@SIZES
def test_nothing_serious_is_found_for_those_who_see_or_move_otherwise(apron, show, size, colours):
    page = show(apron, **size, **colours)
    for mode in ("thickness", "moves", "shots"):
        page.locator(f'button[data-mode="{mode}"]').click()
        found = Axe().run(page).response
        assert len(found["passes"]) > 20
        serious = [
            (one["id"], node["html"], node["failureSummary"])
            for one in found["violations"]
            if one["impact"] in {"serious", "critical"}
            for node in one["nodes"]
        ]
        assert serious == []


def test_every_control_can_be_reached_by_keys_and_shows_it(apron, show):
    page = show(apron)
    reached = []
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                """() => {
                  const at = document.activeElement;
                  const style = getComputedStyle(at);
                  return [at.id || at.dataset.mode || at.dataset.spot || at.className,
                          style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2];
                }"""
            )
        )
    names = [name for name, _ in reached]

    assert {"map", "theme", "thickness", "moves", "shots", "1", "2", "copy"} <= set(names)
    assert all(is_seen for name, is_seen in reached if name)


def test_a_title_of_markup_is_shown_and_not_run(tmp_path, show):
    title = "</script><script>alert(1)</script><img src=x onerror=alert(2)>"
    job = (SAMPLES / "apron" / "job.toml").read_text()
    job = re.sub(r"^title = .*$", f"title = '{title}'", job, count=1, flags=re.M)
    (tmp_path / "shots.csv").write_bytes((SAMPLES / "apron" / "shots.csv").read_bytes())
    (tmp_path / "job.toml").write_text(job)
    report = write_report(tmp_path / "job.toml", tmp_path)
    page = show(report)

    assert words(page, "h1") == title
    assert words(page, "#thick")  # the plan runs


@SIZES
def test_a_large_job_is_read_from_its_grid(tmp_path, show, monkeypatch, size):
    monkeypatch.setattr(plan_data, "pack_field", lambda field: pack_field(field, most=50))
    report = write_report(SAMPLES / "apron" / "job.toml", tmp_path)
    page = show(report, **size)
    units = report.result.units
    fix = report.result.work.fixes[2]
    page.locator('button[data-spot="3"]').click()

    assert "nearest square" in words(page, "#keys")
    around = [expected_at(report, np.add(fix.at[:2], off * 0.02))[0] for off in _AROUND]
    told = {
        units.say_thickness(x, down=True)
        for x in np.linspace(min(around) - 1e-4, max(around) + 1e-4, 50)
    }
    assert words(page, "#thick") in told
    assert words(page, "#where") == expected_at(report, fix.at[:2])[3]
