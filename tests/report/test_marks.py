"""Marks of the shots on the plan: each has its words, and nothing lies over them."""

import re

import pytest
from playwright.sync_api import expect

from gradevol.answer.setting_out import find_stakes
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import JOB as SMALL
from tests.small_job import SHOTS, write_job

from .conftest import DESKTOP, PHONE, SIZES, write_report
from .reading import ground_of, say_mark, unfold, words

pytestmark = pytest.mark.browser

MARKS = """() => [...document.querySelectorAll("#map [data-shot]")].map((mark) => {
  const at = mark.getBBox();
  return [mark.dataset.shot, mark.textContent, at.x, at.y, at.x + at.width, at.y + at.height];
})"""

#: Boxes of the tapes' words, of the numbers of the list, and of the ring about the place.
TAPES = """() => ["rect[rx]", "g[data-spot] circle", "circle[r='12']"].map((what) =>
  [...document.querySelectorAll(`#map ${what}`)].map((one) => {
    const at = one.getBBox();
    return ["", "", at.x, at.y, at.x + at.width, at.y + at.height];
  }))"""


def marks_of(page):
    page.locator('button[data-mode="shots"]').click()
    return page.evaluate(MARKS)


def overlap(one, other):
    """Width and height that two boxes share, dots."""
    wide = min(one[4], other[4]) - max(one[2], other[2])
    high = min(one[5], other[5]) - max(one[3], other[3])
    return wide, high


@SIZES
@pytest.mark.parametrize("name", ["apron", "courtyard"])
def test_every_shot_has_a_mark_of_what_its_base_lacks_and_none_lies_on_another(
    name, show, size, request
):
    report = request.getfixturevalue(name)
    marks = marks_of(show(report, **size))
    stakes = find_stakes(report.result)

    assert sorted(mark[0] for mark in marks) == sorted(stakes.names)
    moves = dict(zip(stakes.names, stakes.base - stakes.design, strict=True))
    for shot, text, *_ in marks:
        assert text.removesuffix("?") == say_mark(moves[shot], report.result)
    over = [
        (one[:2], other[:2])
        for at, one in enumerate(marks)
        for other in marks[at + 1 :]
        if min(overlap(one, other)) > 2  # line boxes are higher than the letters in them
    ]
    assert over == []


@SIZES
def test_nothing_is_drawn_over_the_marks_nor_a_name_of_a_next_shot_on_them(apron, show, size):
    page = show(apron, **size)
    assert_names_of_next_shots_lie_over_nothing(page)
    marks = marks_of(page)
    assert_names_of_next_shots_lie_over_nothing(page)
    after = page.evaluate("""() => {
      const all = [...document.querySelectorAll("#map svg > *")];
      const last = Math.max(...all.map((one, at) => (one.dataset.shot ? at : -1)));
      const first = all.findIndex((one) => one.dataset.shot);
      const isDotted = (one) => one.getAttribute("stroke-dasharray") === "1 4";
      const among = all.slice(first, last).filter((one) => one.tagName !== "text");
      const tapes = all.filter((one) => one.tagName === "rect" || isDotted(one));
      const told = all.slice(last + 1).map((one) => one.tagName + one.textContent);
      return [among.length, tapes.length, told];
    }""")
    assert len(marks) == 60
    assert after[:2] == [0, 0]  # no line or tape among them; tapes are in the panel
    texts = [text for text in after[2] if text.startswith("text")]
    # names of next shots have their own room
    assert [text for text in texts if "NEXT" not in text] == ["text20 ft", "textN"]
    assert words(page, "#where").startswith("10 ft 0 in from side 2")


def test_marks_that_find_no_room_are_counted_and_found_by_enlarging(apron, show):
    narrow = {**PHONE, "viewport": {"width": 320, "height": 400}}
    page = show(apron, **narrow)
    left = 60 - len(marks_of(page))

    assert left > 0
    assert f"{left} marks have no room: enlarge" in words(page, "#key")
    for _ in range(3):
        page.locator('button[data-zoom="in"]').click()
    assert "no room" not in words(page, "#key")
    assert page.evaluate(MARKS)


def test_a_rod_is_read_off_the_height_of_the_instrument(apron, show):
    page = show(apron, **DESKTOP)
    told = words(page, "#more")
    design, base = re.findall(r"(?:Design base|Base here) ([\d.]+) ft", told)
    page.fill("#height", "104,50")

    rods = re.search(r"Rod on design base ([\d.]+) ft Rod here ([\d.]+) ft", words(page, "#more"))
    assert rods
    assert float(rods[1]) == pytest.approx(104.5 - float(design), abs=0.0101)
    assert float(rods[2]) == pytest.approx(104.5 - float(base), abs=0.0101)
    page.locator("#map").press("ArrowRight")
    assert "Rod here" in words(page, "#more")


def test_a_height_that_can_not_be_is_refused_in_words(apron, show):
    page = show(apron, **DESKTOP)
    for typed, told in (("4 1/2", "Write it in ft"), ("12", "The base stands above")):
        page.fill("#height", "")
        assert words(page, "#wrong") == ""
        page.fill("#height", typed)
        assert told in words(page, "#wrong")
        assert page.locator("#height").get_attribute("aria-invalid") == "true"
        assert "Rod" not in words(page, "#more")


def test_what_is_told_of_a_place_can_be_sent(apron, show):
    page = show(apron, **DESKTOP, permissions=["clipboard-read", "clipboard-write"])
    page.locator("#reading .copy").click()
    expect(page.locator("#reading .copy")).to_contain_text("Copied")

    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == (
        "4 3/4 in thick. Cut 0.10 ft. 10 ft 0 in from side 2 (bulkhead), 25 ft 0 in from side 3 "
        "(existing north slab). Thinner than 5 1/4 in."
    )


@pytest.mark.parametrize(
    ("name", "size"),
    [("apron", PHONE), ("courtyard", PHONE), ("drive", PHONE), ("drive", DESKTOP)],
)
def test_words_of_tapes_lie_over_no_number_of_the_list_nor_the_ring(name, show, size, request):
    report = request.getfixturevalue(name)
    page = show(report, **size)
    for fix in report.result.work.fixes:
        page.locator(f'button[data-spot="{fix.rank}"]').click()
        tapes, numbers, (ring, _) = page.evaluate(TAPES)  # white beneath, and its ink
        assert tapes
        assert numbers
        assert [one for one in tapes for other in numbers if min(overlap(one, other)) > 2] == []
        assert [one for one in tapes if min(overlap(one, ring)) > 0] == []


NEXT = """() => [...document.querySelectorAll("#map [data-next]")].map((group) => {
  const at = group.querySelector("path").getBBox();
  const frame = document.querySelector("#map").getBoundingClientRect();
  return [group.dataset.next, at.x + at.width / 2, at.y + 6, frame.x, frame.y];
})"""
NAMES = """() => [...document.querySelectorAll("[data-name], [data-shot]")].map((one) => {
  const at = one.getBBox();
  return [one.textContent, "", at.x, at.y, at.x + at.width, at.y + at.height];
})"""


@pytest.mark.parametrize(("name", "size"), [("apron", PHONE), ("courtyard", DESKTOP)])
def test_next_shots_stand_on_the_plan_where_the_lists_have_them(name, show, size, request):
    report = request.getfixturevalue(name)
    planned = report.view["next_shots"]
    wanted = {shot["name"]: shot for shot in (*planned["thin"], *planned["volume"])}
    places = {shot.name: shot.at for shot in report.answer.drawing.shots.next}
    page = show(report, **size)
    unfold(page)
    assert "next shot: where one more tells most" in words(page, "#key")
    assert [one[0] for one in page.evaluate(NEXT)] == list(wanted)
    for at, (shot, told) in enumerate(wanted.items()):
        page.evaluate("scrollTo(0, 0)")
        page.locator("#map").scroll_into_view_if_needed()
        _, x, y, left, top = page.evaluate(NEXT)[at]
        to_screen, _ = ground_of(page, report)
        assert (left + x, top + y) == pytest.approx(to_screen(places[shot]), abs=1.5)
        page.mouse.click(left + x, top + y)
        assert words(page, "#about") == f"{shot}: shoot here"
        assert words(page, "#where") == told["where"]
        page.locator("#map").press("ArrowUp")
        assert words(page, "#about") == "Here"
        page.locator(f'#next-shots button[data-next="{shot}"]').click()
        assert words(page, "#about") == f"{shot}: shoot here"


def assert_names_of_next_shots_lie_over_nothing(page):
    names = page.evaluate(NAMES)
    assert any(one[0].startswith("NEXT") for one in names)
    for one in (one for one in names if one[0].startswith("NEXT")):
        assert [other for other in names if other != one and min(overlap(one, other)) > 2] == []


def test_a_plan_without_next_shots_says_nothing_of_them(check_sample, tmp_path, show):
    page = show(write_report(check_sample("cloud_pad/job.toml"), tmp_path), **PHONE)

    assert page.evaluate(NEXT) == []
    assert "next shot" not in words(page, "#key")


def test_the_key_says_of_what_is_cast_in_what_the_sheet_says(tmp_path, show):
    pipes = "".join(
        f'[[void]]\nname = "{name}"\ndiameter = "2 in"\nline = [[0, {at}], [16, {at}]]\n'
        f'least_cover = "3 in"\n'
        for at, name in enumerate(("drain", "conduit", "water line"), start=3)
    )
    job = write_job(tmp_path / "pad", job=SMALL + pipes)
    page = show(write_report(check_job(read_job(job)), tmp_path), **PHONE)

    assert "cast in: drain, conduit and others" in words(page, "#key")
    assert "undefined" not in words(page, "#key")


def test_the_least_thickness_is_in_the_key_and_whole_in_the_legend(tmp_path, show):
    pad = SMALL.replace('thickness = "6 in"', 'thickness = "6 in"\nleast_thickness = "5 1/4 in"')
    # the scale then begins with the least thickness
    job = write_job(tmp_path / "pad", job=pad, shots=f"{SHOTS}99,6,5,99.44\n")
    page = show(write_report(check_job(read_job(job)), tmp_path), **PHONE)

    assert "thinner than 5 1/4 in: none seen" in words(page, "#key")
    cut = page.evaluate("""() => {
      const board = document.querySelector("#legend svg").viewBox.baseVal;
      return [...document.querySelectorAll("#legend text")]
        .map((text) => [text.textContent, text.getBBox()])
        .filter(([, at]) => at.x < -1 || at.x + at.width > board.width + 1)
        .map(([text]) => text);
    }""")
    assert cut == []
