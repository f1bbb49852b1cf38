"""Which places have a mark on a map, and what is said of those that have none."""

import numpy as np
import pytest

from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.marking import Marked, choose_marking, say_marked
from gradevol.geometry.nearest import nearest_level
from gradevol.site.slab import Thickening

PAD = [[0, 0], [12, 0], [12, 8], [0, 8]]
#: Inches of paper to a metre: a pad of 12 m is six inches.
SCALE = 0.5


def lattice(spacing, level=0.0):
    east, north = np.meshgrid(np.arange(0.2, 12, spacing), np.arange(0.2, 8, spacing))
    return np.column_stack([east.ravel(), north.ravel(), np.full(east.size, level)])


def mark(result, scale=SCALE):
    return choose_marking(draw_up(result).markings, scale)


def test_each_shot_on_the_slab_is_marked_by_what_it_departs_from_the_design_base(make_result):
    shots = lattice(2)
    shots[:, 2] += 0.001 * np.arange(len(shots))
    result = make_result(shots, np.array(PAD), 0.15)
    marks = mark(result)
    assert len(marks.names) == len(shots)
    assert np.allclose(marks.departure, shots[:, 2], atol=1e-9)
    assert say_marked(marks, Marked()) == "Every shot on the slab is marked."
    off_the_slab = say_marked(marks, Marked(has_others=True))
    assert off_the_slab == ("Every shot on the slab is marked. + is a shot that lies off the slab.")
    assert say_marked(marks, Marked(left_out=3)) == (
        f"{len(shots) - 3} of {len(shots)} shots on the slab are marked: no room for the others. "
        "All: see report.html."
    )
    assert say_marked(marks, Marked(unnamed=2)) == (
        "Every shot on the slab is marked. 2 numbers found no room. All: see report.html."
    )


@pytest.mark.parametrize("surveyed", ["departure", "yes"])
def test_a_trench_shot_is_marked_against_the_drawn_bottom(make_result, surveyed):
    shots = lattice(2)
    is_trench = shots[:, 1] < 1
    shots[is_trench, 2] = -0.1 - 0.02
    beam = Thickening("beam", depth=0.1, width=1.0, sides=(1,), surveyed=surveyed)
    result = make_result(shots, np.array(PAD), 0.15, thickenings=(beam,))
    marks = mark(result)
    assert is_trench.sum() > 3
    assert np.allclose(marks.departure[is_trench], -0.02, atol=1e-9)
    assert np.allclose(marks.departure[~is_trench], 0, atol=1e-9)


def test_of_many_shots_the_worst_of_each_square_is_marked_and_it_is_said(make_result):
    shots = lattice(0.25)
    rng = np.random.default_rng(3)
    shots[:, 2] = rng.normal(0, 0.004, len(shots))
    shots[700, 2] -= 0.09
    result = make_result(shots, np.array(PAD), 0.15)
    marks = mark(result)
    assert 40 < len(marks.places) < 150 < len(shots)
    side = 1.0  # the least round one that 0.46 in of paper hold
    assert f"the worst in each square of {side:g} m" in marks.said
    assert f"{len(shots):,} shots" in marks.said
    low = np.array(PAD).min(axis=0) - result.survey.origin[:2]
    square = np.floor((shots[:, :2] - np.array(PAD).min(axis=0)) / side)
    kept = np.floor((marks.places - low) / side)
    for one in np.unique(square, axis=0):
        worst = np.abs(shots[(square == one).all(axis=1), 2]).max()
        shown = np.abs(marks.departure[(kept == one).all(axis=1)])
        assert shown.max() == pytest.approx(worst, abs=1e-9)


def test_a_scan_is_marked_on_a_lattice_of_its_surface_square_to_the_longest_side(make_result):
    shots = lattice(0.5)
    shots[:, 2] = 0.01 * np.sin(shots[:, 0]) * np.cos(shots[:, 1])
    result = make_result(shots, np.array(PAD), 0.15, ids=False)
    marks = mark(result)
    assert marks.is_lattice
    assert "No single shots" in marks.said
    assert "along and square to side 1" in marks.said
    field = result.field
    corners = np.dstack([field.corners, result.slab.thickness - field.thickness])
    assert np.allclose(marks.departure, nearest_level(corners, marks.places), atol=1e-9)
    off_side = marks.places[:, 1] + result.survey.origin[1]
    assert np.unique(np.round(off_side, 6)).tolist() == [0.5 + row for row in range(8)]
