"""A top from shots on two forms: what a TIN makes of them is not what a screed makes."""

import numpy as np
import pytest

from gradevol.doubts.form_lines import remark_on_form_lines
from gradevol.ground.units import Units
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_thin
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.top import Between, Level, Measured, build_top

EDGE = np.array([[0, 0], [6, 0], [6, 24], [0, 24.0]])
SLAB = Slab(EDGE, (), 0.15, 0.131)
FALL = 0.08


def form(east, count, *, level=0.0, sag=0.06):
    """Shots along a form that hangs through in the middle, m."""
    at = np.linspace(0, 24, count)
    low = -sag * (1 - ((at - 12) / 12) ** 2)
    return np.column_stack([np.full(count, east), at, level + low])


def remark(*lines, slab=SLAB):
    design = Measured(
        np.concatenate(lines), names=tuple(f"F{k}" for k in range(1, sum(map(len, lines)) + 1))
    )
    return remark_on_form_lines(design, build_top(design, slab), slab)


def test_shots_on_two_warped_forms_are_said_and_between_is_offered():
    (note,) = remark(form(0, 4), form(6, 6, sag=-0.06))
    said = note.say(Units.of_job("m"))
    assert note.code == "top-two-lines"
    assert "(side 2 and side 4)" in said
    assert said.startswith("Give the top as top.between if")
    assert "The lines: F5, F6, F7, F8, F9, F10; and F1, F2, F3, F4." in said


def test_it_tells_of_thin_places_that_are_not_there():
    """A base graded under the screed is thin under the TIN, by as much as the note says."""
    lines = form(0, 4), form(6, 6, sag=-0.06)
    ruled = build_top(Between(*lines), SLAB).surface
    base = build_surface(np.unique(ruled.corners.reshape(-1, 3).round(9), axis=0) - [0, 0, 0.15])
    design = Measured(np.concatenate(lines))
    tin = build_top(design, SLAB)
    (note,) = remark_on_form_lines(design, tin, SLAB)
    off = np.abs(build_field(base, tin.surface, SLAB).thickness - 0.15).max()
    assert off == pytest.approx(note.measures[0].value, abs=0.003)
    tight = Slab(EDGE, (), 0.15, 0.147)
    assert find_thin(build_field(base, tin.surface, tight), tight).area > 1
    assert find_thin(build_field(base, ruled, tight), tight).area == pytest.approx(0, abs=0.01)


def test_forms_that_are_straight_need_no_word():
    assert remark(form(0, 4, sag=0.0), form(6, 7, level=-FALL, sag=0.0)) == ()


@pytest.mark.parametrize("count", [0, 1])
def test_a_top_with_shots_beside_the_forms_or_on_one_alone_is_a_tin(count):
    middle = np.array([[3.0, 12.0, -0.06]])
    lines = (
        [form(0, 4), form(6, 6, sag=-0.06), middle]
        if count
        else [form(0, 9), np.array([[6.0, 12, 0]])]
    )
    assert remark(*lines) == ()


def arc(radius, count, *, level=0.0):
    """Places on a quarter of a circle about the origin, to the left, and a level that waves, m."""
    turn = np.linspace(0, np.pi / 2, count)
    wave = level + 0.05 * np.sin(4 * turn)
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn), wave])


OUTER, INNER = arc(10, 40)[:, :2], arc(6, 40)[::-1, :2]
RING = Slab(np.concatenate([OUTER, INNER]), (), 0.15, 0.131, side_starts=(0, 39, 40, 79))


def test_forms_along_a_curve_are_two_lines_too():
    (note,) = remark(arc(10, 5), arc(6, 4)[::-1], slab=RING)
    assert "(side 1 and side 3)" in note.text
    assert "The lines: F1, F2, F3, F4, F5; and F9, F8, F7, F6." in note.text  # from one end
    assert remark(arc(10, 5), arc(6, 4), np.array([[7.0, 4.0, 0.0]]), slab=RING) == ()


def test_a_form_may_run_straight_and_then_curve():
    straight = np.array([[10, -8], [6, -8.0]])
    edge = np.concatenate([straight[:1], OUTER, INNER, straight[1:]])
    slab = Slab(edge, (), 0.15, 0.131, side_starts=(0, 1, 40, 41, 80, 81))
    lines = [
        np.concatenate([[[radius, -8, 0], [radius, -4, 0.03]], arc(radius, 4)])
        for radius in (10, 6)
    ]
    (note,) = remark(*lines, slab=slab)
    assert "(sides 1 to 2 and sides 4 to 5)" in note.text


def test_sides_that_round_corners_join_are_no_form():
    """Shots on all four sides of a slab whose corners are all rounded stand on four forms."""
    corner = arc(1, 8)[:, :2]
    edge = np.concatenate(
        [
            corner + np.array([5, 23]),
            [-1, 1] * corner[::-1] + [1, 23],
            -corner + 1,
            [1, -1] * corner[::-1] + [5, 1],
        ]
    )
    starts = tuple(int(at) for row in range(4) for at in (8 * row, 8 * row + 7))
    slab = Slab(edge, (), 0.15, 0.131, side_starts=starts)
    ends = np.array([[3, 0, 0.05], [3, 24, -0.05]])
    assert remark(form(0, 5)[1:-1], form(6, 5)[1:-1], ends, slab=slab) == ()


def test_a_drawn_top_needs_no_word():
    assert remark_on_form_lines(Level(0.0), build_top(Level(0.0), SLAB), SLAB) == ()
