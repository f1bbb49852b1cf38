"""The sheet, read back from its PDF: what it says, and where its words stand."""

import operator
import re
import time
from dataclasses import replace
from functools import partial
from itertools import combinations

import numpy as np
import pypdf
import pytest

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.marking import choose_marking
from gradevol.answer.said.margin import say_ends, say_level_of, say_like_stated
from gradevol.answer.statement import Statement, Topic, Weight, words
from gradevol.ground.units import eighths
from gradevol.out.paper import layout
from gradevol.out.paper.sheet import draw_sheet, write_sheet
from gradevol.out.paper.type import Block
from gradevol.out.paper.words import SheetWords
from gradevol.site.metadata import Credits
from tests.pads import grid
from tests.unit.sheet.conftest import words_of, write


@pytest.fixture(scope="module")
def printed(sheet):
    """Words of the apron's sheet."""
    return words_of(sheet)


@pytest.fixture(scope="module")
def at_length(large):
    """Words of the large sheet."""
    return words_of(large)


def test_the_sheet_says_the_figures_as_the_summary_says_them(apron, at_length):
    printed = at_length
    units, moments = apron.units, apron.thickness
    if apron.interval is None:
        assert f"{units.say_volume(apron.concrete.volume)} " in printed
    else:
        assert say_like_stated(apron.interval.stated, apron.interval, units) in printed
        ends = " to ".join(say_ends(apron.interval, units))
        assert f"{say_level_of(apron.interval)}: {ends}" in printed
    assert f"Least thickness {units.say_thickness(moments.min, down=True)} (" in printed
    assert f"Mean thickness {units.say_thickness(moments.mean)} (design 6 in)" in printed
    assert f"Thin: {units.say_area(apron.thin.area)} under 5 1/4 in" in printed
    assert f"high spots {units.say_volume(apron.grading.cut).split()[0]}" in printed
    cover = apron.cover[0]
    assert f"conduit: least cover {units.say_thickness(cover.least, down=True)}" in printed


def test_each_shot_on_the_slab_has_its_mark_on_the_sheet(apron, printed):
    said = choose_marking(draw_up(apron).markings, 0.3).marks
    assert "Every shot on the slab is marked." in printed
    assert {mark[0] for mark in said} == {"C", "F", "G"}
    assert any(mark.endswith("?") for mark in said)
    for mark in set(said) - {"G"}:
        found = len(re.findall(rf"(?<!\S){re.escape(mark)}(?!\S)", printed))
        assert found >= said.count(mark), mark


def test_the_sheet_explains_its_marks_and_never_mixes_inches_into_them(printed, at_length):
    assert "C = base high, take down. F = base low, fill or pour. G = on grade." in printed
    assert "C.10 = 0.10 ft (tenths and hundredths)" in printed
    for hundredths in range(1, 11):
        assert f".{hundredths:02} = {eighths(hundredths * 0.12)}" in at_length


def test_the_sheet_lists_the_work_with_tapes(apron, printed, at_length):
    assert "Must: do rows 1 and 2 before the pour; more concrete can't fix it." in at_length
    fixes = [fix for fix in apron.work.fixes if fix.call != "leave"]
    assert len(fixes) >= 2
    for fix in fixes[:3]:
        away = [apron.units.say_tape(off) for _, off in fix.where.sides]
        move = f"{apron.units.to_length(fix.worst):.2f}".removeprefix("0")
        must = "Must: " if fix.is_must else ""
        assert f"{must}{'F' if fix.is_fill else 'C'}{move} " in printed
        for number, off in zip((side for side, _ in fix.where.sides), away, strict=True):
            assert f"{off} from side {number}" in printed or f"at side {number}" in printed


def test_a_sheet_of_few_words_says_that_the_fix_list_is_empty(make_result):
    edge = np.array([[0, 0], [6, 0], [6, 4], [0, 4.0]])
    answer = compose_answer(make_result(np.column_stack([edge, np.zeros(4)]), edge, 0.15))
    (said,) = SheetWords(answer.topics).list_fixes(most=10, is_brief=True)
    assert said.text.startswith("Empty, but the job gives no tolerance")


def test_the_sheet_says_what_was_not_measured_and_who_answers(apron, at_length):
    printed = at_length
    units = apron.units
    assert f"A hump narrower than {units.say_span(apron.widest_gap)} could be missed" in printed
    beyond = units.say_volume(apron.concrete.beyond_survey)
    assert f"Nobody shot the edge strip; {beyond} there is assumed" in printed
    assert "Not shot, taken as drawn: south beam" in printed
    for suspect in apron.suspects[:3]:
        assert f"Shot {apron.survey.name(suspect.index)}: " in printed
    for caution in CAUTIONS:
        assert caution in printed
    for note in apron.notes:
        if note.code == "thickenings-overlap":
            assert note.say(units) in printed
    for name in apron.slab.side_names:
        assert name in printed


def test_a_sheet_with_little_room_tells_the_heaviest_of_what_was_not_measured():
    told = (Weight.TELLS, Weight.MATTERS, Weight.ACTS)
    said = tuple(Statement(each.name, each, short=words("{}", each.name)) for each in told)
    sheet = SheetWords((Topic("unseen", "Not measured", "Not shot", said),))
    items = sheet.list_unmeasured(is_brief=True)
    assert [item.text for item in items] == ["MATTERS.", "ACTS."]


def test_blank_credits_leave_lines_to_fill_and_given_ones_and_a_long_title_are_printed(
    apron, printed, tmp_path
):
    rows = ("Measured by", "Instrument", "Bench mark and closure", "Checked by", "Signature")
    assert all(row in printed for row in rows)
    known = Credits("A. Rodman", "2026-05-04", "level no. 3", "BM-1 101.25, closed -0.01")
    title = "Reconstruction of the loading apron, bay 3 and part of bay 4, phase 2 of 3 (invented)"
    write(replace(apron, credits=known, title=title), tmp_path / "sheet.pdf")
    words = words_of(tmp_path / "sheet.pdf")
    assert title in words
    assert "Measured by A. Rodman" in words
    assert "Shot on 2026-05-04" in words
    assert "Instrument level no. 3" in words
    assert "Bench mark and closure BM-1 101.25, closed -0.01" in words
    assert "Rodman" not in printed


def test_no_operator_of_the_page_names_a_colour(sheet):
    page = pypdf.PdfReader(sheet).pages[0]
    contents = page.get_contents()
    assert contents is not None
    operators = {name for _, name in contents.operations}
    assert operators & {b"g", b"G"}
    # those that set red, green and blue, or inks; a colour space named before a grey is none
    assert not operators & {b"rg", b"RG", b"k", b"K", b"sc", b"SC", b"scn", b"SCN"}
    assert not list(page.images)


@pytest.fixture(scope="module")
def again(apron, sheet, tmp_path_factory):  # noqa: ARG001  # matplotlib is loaded once a run
    """The sheet written once more, and what of a processor that took, s."""
    path, answer = tmp_path_factory.mktemp("again") / "sheet.pdf", compose_answer(apron)
    start = time.process_time()
    write_sheet(path, answer)
    return path, time.process_time() - start


def test_equal_sheets_are_equal_files(sheet, again):
    assert again[0].read_bytes() == sheet.read_bytes()


def test_a_sheet_of_sixty_shots_takes_a_moment(again):
    assert again[1] < 2.5  # what a check of sixty shots may spend on it, s


@pytest.mark.parametrize(("size", "is_upright"), [((12, 30), True), ((40, 3), False)])
def test_the_paper_lies_the_way_the_slab_does(make_result, size, is_upright):
    plan = grid(np.linspace(0, size[0], 9), np.linspace(0, size[1], 6))
    shots = np.column_stack([plan, np.zeros(len(plan))])
    edge = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], float)
    drawn = draw_sheet(compose_answer(make_result(shots, edge, 0.15)))
    assert (drawn.height > drawn.width) == is_upright


def test_the_name_of_an_opening_stands_off_a_shot_in_it(make_result):
    edge = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
    pit = np.array([[5, 3], [7, 3], [7, 5], [5, 5.0]])

    def find_name(shot):
        shots = np.column_stack([[*edge, shot], np.zeros(5)])
        given = {"openings": (pit,), "opening_names": ("pit",)}
        drawn = draw_sheet(compose_answer(make_result(shots, edge, 0.15, **given)))
        (name,) = [text for text in drawn.axes.texts if text.get_text() == "pit"]
        return name.get_position()

    assert find_name((6, 4)) != pytest.approx(find_name((6, 3.2)))


@pytest.mark.parametrize("name", ["", "existing slab, heaved and cracked along its whole length"])
def test_no_words_stand_on_others(apron, drawn, name):
    if name:
        slab = replace(apron.slab, side_names=(name,) * 4)
        apron = replace(apron, slab=slab, title=f"{apron.title}, {name}")
        drawn = draw_sheet(compose_answer(apron))
    renderer = drawn.figure.canvas.get_renderer()
    texts = [text for text in drawn.axes.texts if text.get_rotation() == 0]
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in texts]
    assert len(boxes) > 150
    for (one, a), (other, b) in combinations(boxes, 2):
        wide = min(a.x1, b.x1) - max(a.x0, b.x0)
        tall = min(a.y1, b.y1) - max(a.y0, b.y0)
        # lines of letters may reach below their base into the next line's head
        assert wide < 3 or tall < 0.35 * min(a.height, b.height), f"{one!r} stands on {other!r}"
    for said, box in boxes:
        assert box.x0 >= 0, said
        assert box.y0 >= 0, said
        assert box.y1 <= renderer.height, said
        assert box.x1 <= renderer.width, said


@pytest.mark.parametrize("ground", [(6.0, 4.0), (3.0, 40.0), (40.0, 3.0), (14.0, 25.0)])
@pytest.mark.parametrize("lines", [20, 60, 90])
def test_blocks_lie_beside_the_map_and_one_another(ground, lines):
    shares = (0.2, 0.3, 0.2, 0.1, 0.1, 0.1)
    areas = [0.14 * 2.6 * lines * share for share in shares]
    blocks = [Block(partial(operator.truediv, area), lambda *_: None) for area in areas]
    found = layout.lay_out((8.5, 11.0), ground, blocks, head=0.5)
    assert found is not None
    assert {found.width, found.height} == {8.5, 11.0}
    shown = found.map
    frames = [(shown.left, shown.bottom, shown.left + shown.wide, shown.top)]
    for place in found.places:
        high = blocks[place.block].measure(place.wide)
        frames.append((place.left, place.top - high, place.left + place.wide, place.top))
    assert len(frames) == len(blocks) + 1
    for left, bottom, right, top in frames:
        assert left >= 0.39
        assert right <= found.width - 0.39
        assert bottom >= 0.39
        assert top <= found.height - 0.89
    for a, b in combinations(frames, 2):
        is_apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] + 1e-9 or b[3] <= a[1] + 1e-9
        assert is_apart
    assert found.scale * ground[0] <= shown.wide
    assert found.scale * ground[1] <= shown.high


@pytest.mark.parametrize("beside", [0.0, 2.2])
@pytest.mark.parametrize("below", [1, 2, 3])
def test_no_strip_lower_than_is_said_holds_the_blocks(beside, below):
    rng, body, said = np.random.default_rng(9), layout._body_of(8.5, 11.0, 0.5), 0

    def fill(areas, strip):
        columns = layout._columns(body, beside, below, strip)
        return layout._fill(columns, len(areas), lambda at, wide: areas[at] / wide, strip)

    for _ in range(20):
        areas, strip = rng.uniform(0.5, 10 if beside else 4, 7), 0.02
        while not isinstance(least := fill(areas, strip), tuple):
            tried = np.arange(strip, least, 0.02)
            assert not any(isinstance(fill(areas, lower), tuple) for lower in tried)
            said += least > strip
            strip = max(least, strip + 0.02)
    assert said > 20
