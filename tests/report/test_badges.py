"""Numbers of the fix list on the plan: outside what they mark, on every screen, or counted."""

from dataclasses import replace

import pytest
import shapely

from .conftest import write_report
from .reading import ground_of, words

pytestmark = pytest.mark.browser

NUMBERS = """() => [...document.querySelectorAll("#map [data-spot]")].map((group) => {
  const at = group.querySelector("circle").getBoundingClientRect();
  const middle = [(at.left + at.right) / 2, (at.top + at.bottom) / 2];
  return [Number(group.dataset.spot), ...middle, at.width / 2];
})"""
#: Waits until the plan has been drawn for another size.
DRAWN = "new Promise((done) => requestAnimationFrame(() => setTimeout(done)))"


def sized(wide):
    return {"viewport": {"width": wide, "height": 568 if wide == 320 else 844}}


@pytest.mark.parametrize("name", ["apron", "courtyard", "drive"])
def test_numbers_stand_outside_what_they_mark_at_every_size(name, show, request):
    report = request.getfixturevalue(name)
    page = show(report, **sized(320))
    for wide in (320, 1280):
        page.set_viewport_size(sized(wide)["viewport"])
        page.evaluate(DRAWN)
        assert_numbers_stand_outside(page, report, wide)
        for way in ("in", "in"):
            page.locator(f'button[data-zoom="{way}"]').click()
        assert_numbers_stand_outside(page, report, f"{wide}, enlarged")
        for way in ("out", "out"):
            page.locator(f'button[data-zoom="{way}"]').click()


def assert_numbers_stand_outside(page, report, case):
    fixes = report.result.work.fixes
    to_screen, _ = ground_of(page, report)
    numbers = page.evaluate(NUMBERS)
    assert [rank for rank, *_ in numbers] == [fix.rank for fix in fixes]
    circles = [shapely.Point(x, y).buffer(r - 1) for _, x, y, r in numbers]
    for fix, circle in zip(fixes, circles, strict=True):
        rings = [shapely.Polygon([to_screen(at) for at in ring]) for ring in fix.rings]
        assert not any(ring.intersects(circle) for ring in rings), (case, fix.rank)
    assert not any(
        one.intersection(other).area > 0.1 * one.area
        for number, one in enumerate(circles)
        for other in circles[:number]
    ), case


#: So many places about one that not all their numbers find room on a small plan.
COUNT = 40


def test_numbers_without_room_are_counted_beside_the_plan(apron, tmp_path, show):
    work = apron.result.work
    many = tuple(replace(work.fixes[0], rank=rank) for rank in range(1, COUNT + 1))
    page = show(
        write_report(replace(apron.result, work=replace(work, fixes=many)), tmp_path), **sized(320)
    )
    left = COUNT - len(page.evaluate(NUMBERS))
    assert left > 0
    assert f"{left} numbers have no room: enlarge, or see the list" in words(page, "#key")
    page.locator('button[data-zoom="in"]').click()
    page.locator('button[data-zoom="in"]').click()
    assert COUNT - len(page.evaluate(NUMBERS)) < left


def test_a_place_that_is_best_left_is_none_of_those_to_be_done(courtyard, show, tmp_path):
    result = courtyard.result
    *others, last = result.work.fixes
    work = replace(result.work, fixes=(*others, replace(last, call="leave")))
    page = show(write_report(replace(result, work=work), tmp_path), **sized(390))
    assert words(page, "#tally").startswith("0 of 2 places done.")
