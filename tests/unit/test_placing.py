"""Words on a map of a narrow slab: numbers of shots stay off the ticks, lines cross no words."""

from dataclasses import replace

import numpy as np
import pytest

from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.captions import key_of_ticks
from gradevol.answer.drawing.room import Room
from gradevol.ground.units import METRES, Units
from gradevol.out.paper.tapes import PLATES
from gradevol.out.pictures import placing, sides
from gradevol.out.pictures.colours import INK, SOFT_INK
from gradevol.out.pictures.key import LONGEST_TICK
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import PLACES
from gradevol.uncertainty.next_shots import NextShot, NextShots
from tests.lettering import words_on

WALK = np.array([[0, 0], [54, 0], [54, 1.2], [0, 1.2]])


@pytest.fixture
def walk(make_result, monkeypatch, tmp_path):
    """Return the plan of an invented walk as a sheet, and the lines that lead to its names."""
    kept, leaders = [], []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    draw = placing.lead

    def lead(sheet, leader):
        leaders.append(leader)
        draw(sheet, leader)

    monkeypatch.setattr(placing, "lead", lead)
    east, north = np.meshgrid(np.linspace(0, 54, 37), [0, 1.2])
    level = 0.004 * np.cos(east)
    shots = np.column_stack([east.ravel(), north.ravel(), level.ravel()])
    planned = tuple(NextShot((24.0 + n, 0.6), 0.1) for n in range(9))
    result = make_result(shots, WALK, 0.1)
    names = tuple(f"{number}" for number in range(1, 75))
    result = replace(
        result,
        survey=replace(result.survey, ids=names),
        next_shots=NextShots(1.0, None, volume=planned, thin=()),
    )
    draw_plan(draw_up(result), tmp_path / "plan.png")
    return kept[0], leaders


def test_a_line_that_leads_to_a_name_crosses_no_words(walk):
    sheet, leaders = walk
    sides = [word for word in words_on(sheet) if word.text.startswith("side")]

    assert len(sides) >= 2
    assert leaders
    assert all(sheet.room.is_clear(path, of_names=False) for path in leaders)


def test_numbers_of_shots_are_not_written_among_those_of_ticks(walk):
    sheet, _ = walk
    numbers = [text for text in sheet.axes.texts if text.get_text().isdecimal()]
    ticks = {round(text.get_position()[1], 3) for text in numbers if text.get_color() == SOFT_INK}
    shots = [one for one in numbers if one.get_color() == INK and one.get_fontsize() == 7.0]

    assert len(ticks) == 2  # above the walk and below it
    assert len(shots) > 20
    assert all(min(ticks) + 0.1 < text.get_position()[1] < max(ticks) - 0.1 for text in shots)


def test_a_line_is_clear_of_words_that_lean():
    room = Room.over(4, 4)
    assert room.find([(2.0, 2.0, 45.0)], 2.0, 0.2)
    assert room.find([(3.0, 1.0, 0.0)], 0.4, 0.2, is_name=True)

    assert not room.is_clear(np.array([(1.0, 2.2), (2.2, 1.0)]) + 0.4)
    assert room.is_clear(np.array([(1.5, 2.5), (1.5, 3.5)]))
    across = np.array([(3.0, 0.5), (3.0, 1.5)])
    assert not room.is_clear(across)
    assert room.is_clear(across, of_names=False)


def test_shots_without_a_mark_lie_under_the_white_of_words():
    assert PLACES["unmarked"].layer < PLATES


@pytest.mark.parametrize(("unit", "steps"), [("m", sides._METRES), ("ft", sides._FEET)])
def test_the_key_keeps_room_for_the_words_of_any_ticks(unit, steps):
    sheet, units = Sheet.blank(1, 1), Units.of_job(unit)

    def wide(metres):
        entry = key_of_ticks(metres, units)
        return [sheet.measure(text, 8.0)[0] for text in (entry.words, entry.short)]

    longest = wide(LONGEST_TICK)
    assert all(np.less_equal(wide(step * METRES[unit]), longest).all() for step in steps)
