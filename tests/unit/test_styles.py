"""One mark, one meaning: no two look alike, and each says one thing, on every picture."""

from itertools import combinations

import numpy as np

from gradevol.answer.drawing import draw_up
from gradevol.out.pictures import key
from gradevol.out.pictures.styles import MARKS, Area, Dot, Stroke
from tests.pads import grid

#: Two lines, or two signs, of one kind are told apart where one is so many times as heavy.
CLEARLY = 1.5


def look(style):
    """What is seen of a style in black: its kind, and how heavy it is."""
    if isinstance(style, Stroke):
        shares = [round(part / style.dashes[0], 1) for part in style.dashes]
        return ("line", tuple(shares), style.core > 0), (style.dashes or (style.width,))[0]
    if isinstance(style, Dot):
        face = "bare" if style.colour == "none" else "white" if style.colour == "#ffffff" else "ink"
        return ("sign", style.mark, face), style.size
    assert isinstance(style, Area)
    if isinstance(style.texture, Dot):
        return ("area", "dots"), style.spacing
    return ("area", "hatch", round(style.angle) % 180), style.spacing


def test_no_two_marks_look_alike_in_black():
    looks = {mark: look(style) for mark, style in MARKS.items()}
    alike = [
        (one, other)
        for one, other in combinations(looks, 2)
        if looks[one][0] == looks[other][0]
        and max(looks[one][1], looks[other][1]) < CLEARLY * min(looks[one][1], looks[other][1])
    ]
    assert len(looks) > 15
    assert alike == []


def test_every_mark_of_a_key_is_in_the_table_and_means_one_thing(apron, make_result):
    edge = np.array([[0, 0], [8, 0], [8, 5], [0, 5]], float)
    plan = grid(np.arange(0, 8.1, 0.5), np.arange(0, 5.1, 0.5))
    scan = np.column_stack([plan, np.zeros(len(plan))])
    meanings: dict[str, set[str]] = {}
    for result in (apron, make_result(scan, edge, 0.15, ids=False)):
        entries = draw_up(result).captions.key
        assert len({entry.mark for entry in entries}) == len(entries)
        assert len({entry.words for entry in entries}) == len(entries)
        for entry in entries:
            assert entry.mark in key.SWATCHES
            meanings.setdefault(entry.mark, set()).add(entry.words.partition(":")[0])
    # a scan has points where others have shots: the same mark, named for what was measured
    several = {mark for mark, words in meanings.items() if len(words) > 1}
    assert several <= {"shot", "outermost", "thin"}


def test_plan_sheet_and_view_draw_by_the_table_alone():
    from gradevol.out.paper import labels, plan, tapes  # noqa: PLC0415
    from gradevol.out.pictures import chart, marks, shots, view_page, water  # noqa: PLC0415

    for module in (labels, plan, tapes, chart, marks, shots, view_page, water):
        assert not {"Stroke", "Area"} & set(vars(module)), module
