"""Moving the top: closed forms, and the same by building the moved top."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.adjustments import INCHES, MILLIMETRES, Steps, measure_moves
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.cover import measure_cover
from gradevol.measures.drainage import Runoff, measure_drainage
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_thin
from gradevol.measures.thickness import measure_thickness
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Void
from gradevol.site.surface import build_surface
from gradevol.site.tie_ins import find_tie_ins
from gradevol.site.top import Between, Fall, Level, Plane, build_top

FOOT, YARD = 0.3048, 0.9144
EDGE = FOOT * np.array([[0, 0], [45, 0], [45, 80], [0, 80.0]])
SOUTH = np.array([[0, 0, 30.0], [45 * FOOT, 0, 30.1]])
FLUSH = Between(SOUTH, SOUTH + np.array([0, 80 * FOOT, 0.05]))


def base_of(level=29.85, rough=0.02):
    east, north = np.meshgrid(np.linspace(-1, 15, 9), np.linspace(-1, 26, 12), indexing="ij")
    wave = rough * np.sin(1.3 * east + 0.7 * north)
    return np.column_stack([east.ravel(), north.ravel(), (level + wave).ravel()])


def measure(design, shots, *, steps, voids=()):
    slab = Slab(EDGE, (), 0.15, 0.13, voids=voids)
    top = build_top(design, slab)
    base = extend_level(build_surface(shots), slab.outline)
    field = build_field(base, top.surface, slab)
    tie_ins = find_tie_ins(design, slab)
    moves = measure_moves(field, top.surface, slab, tie_ins, steps=steps)
    return moves, (slab, top, base, field, tie_ins)


def test_a_crown_takes_two_thirds_of_its_height():
    # 0.01 ft at mid-length of a 45 x 80 ft slab: 2/3 x 0.01 x 3600 ft3 = 0.89 yd3
    steps = Steps((), (), (0.01 * FOOT,))
    (crown,), _ = measure(FLUSH, base_of(), steps=steps)

    assert_allclose(crown.volume / YARD**3, 2 / 3 * 0.01 * 3600 / 27, rtol=1e-12)
    assert crown.off_flush == ()
    assert crown.held == 1


def test_raising_takes_the_area_times_the_step_and_leaves_both_edges():
    (up,), (slab, *_) = measure(FLUSH, base_of(), steps=Steps((0.005,), (), ()))

    assert_allclose(up.volume, slab.area * 0.005, rtol=1e-12)
    assert up.off_flush == (1, 3)
    assert up.held is None


def test_a_tilt_takes_half_and_leaves_the_far_edge_only():
    (tilt,), (slab, *_) = measure(FLUSH, base_of(), steps=Steps((), (-0.004,), ()))

    assert_allclose(tilt.volume, -slab.area * 0.004 / 2, rtol=1e-12)
    assert tilt.off_flush == (3,)


@pytest.mark.parametrize("level", [29.85, 29.99])  # the higher base rises through the top
@pytest.mark.parametrize("kind", ["raise", "tilt"])
def test_figures_are_those_of_the_top_built_anew(level, kind):
    by = -0.012
    steps = Steps((by,), (), ()) if kind == "raise" else Steps((), (by,), ())
    line = np.array([[0, 8, 29.9], [13, 9, 29.9]])
    voids = (Void("conduit", 0.01, diameter=0.05, line=line, least_cover=0.05),)
    top = Plane(np.array([[0, 0, 30.2], [13, 0, 30.1], [0, 24, 30.0]]))
    (move,), (slab, _, base, field, tie_ins) = measure(
        top, base_of(level, 0.08), steps=steps, voids=voids
    )

    assert move.held == (None if kind == "raise" else 1)  # the south side is the highest
    share = 1.0 if kind == "raise" else top.points[:, 1] / (80 * FOOT)
    moved = build_top(Plane(top.points + np.outer(by * np.broadcast_to(share, 3), [0, 0, 1])), slab)
    anew = build_field(base, moved.surface, slab)
    change = measure_concrete(anew, slab).slab - measure_concrete(field, slab).slab
    assert_allclose(move.volume, change, atol=1e-9)
    assert_allclose(move.thin_area, find_thin(anew, slab).area, atol=1e-7)
    assert_allclose(move.least, measure_thickness(anew).min, atol=1e-9)
    assert_allclose(move.cover, [cover.least for cover in measure_cover(anew, slab)], atol=1e-9)
    falls = measure_drainage(moved.surface, slab, tie_ins, Runoff()).falls
    assert_allclose(move.least_fall, falls.least, rtol=1e-6)


def test_a_crown_over_a_base_above_the_top_is_near_the_fine_sum():
    (crown,), (_, _, _, field, _) = measure(
        Level(30.0), base_of(29.95, 0.08), steps=Steps((), (), (0.02,))
    )
    share = field.corners[..., 1] / (80 * FOOT)
    fine = [(weights, 1 / 400) for weights in np.random.default_rng(2).dirichlet(np.ones(3), 400)]
    total = 0.0
    for weights, part in fine:
        at = share @ weights
        before = field.thickness @ weights
        after = before + 0.02 * 4 * at * (1 - at)
        total += part * float((field.area * (np.maximum(after, 0) - np.maximum(before, 0))).sum())
    assert crown.volume == pytest.approx(total, rel=0.01)


def test_the_flattest_place_of_a_crown_lies_where_it_levels_the_fall():
    # 1 % to the north, crowned by 0.1 m over 24.384 m: level where 4 x 0.1 / L (1 - 2 s) = 0.01
    north = Fall(np.array([0, 0, 30.0]), 0.01, 0)
    moves, _ = measure(north, base_of(), steps=Steps((), (), (0.1, 0.05)))

    assert moves[0].least_fall == pytest.approx(0, abs=1e-9)
    assert moves[1].least_fall == pytest.approx(0.01 - 4 * 0.05 / (80 * FOOT), rel=1e-9)


def test_a_top_without_tie_ins_is_held_at_its_highest_side_and_leaves_none():
    moves, _ = measure(Fall(np.array([0, 0, 30.0]), 0.02, 90), base_of(), steps=MILLIMETRES)

    assert {move.held for move in moves} == {None, 4}  # it falls to the east from the west side
    assert all(move.off_flush == move.off_measured == () for move in moves)
    tilts = [move for move in moves if move.kind == "tilt"]
    wide = 45 * FOOT
    assert_allclose([m.least_fall for m in tilts], [0.02 + 0.01 / wide, 0.02 - 0.01 / wide])


def test_there_are_ten_options_at_most():
    assert sum(map(len, (INCHES.raises, INCHES.tilts, INCHES.crowns))) == 10
    assert sum(map(len, (MILLIMETRES.raises, MILLIMETRES.tilts, MILLIMETRES.crowns))) <= 10
    moves, _ = measure(FLUSH, base_of(), steps=INCHES)
    assert len(moves) == 10


def test_a_round_slab_has_no_side_to_hold():
    around = np.radians(np.arange(0, 360, 10))
    edge = 2 * np.column_stack([np.cos(around), np.sin(around)])
    slab = Slab(edge, (), 0.15, 0.13)
    top = build_top(Level(30.0), slab)
    base = extend_level(build_surface(base_of() - [7, 12, 0]), slab.outline)
    field = build_field(base, top.surface, slab)
    tie_ins = find_tie_ins(Level(30.0), slab)
    moves = measure_moves(field, top.surface, slab, tie_ins, steps=MILLIMETRES)

    assert {move.kind for move in moves} == {"raise"}
    assert replace(moves[0], by=0) != moves[1]
