"""Beyond the shots the base keeps its departure from the design."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.planes import plane_by_fall, plane_level
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import surveyed_part
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_low, find_thin
from gradevol.measures.thickness import measure_thickness
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Fall, Level, Panel, Panels, Plane, build_top
from tests.pads import grid

T = 0.15


def slab_of(wide=12.0, long=30.0, **more):
    edge = np.array([(0, 0), (wide, 0), (wide, long), (0, long)])
    return Slab(edge=edge, openings=(), thickness=T, least_thickness=T - 0.02, **more)


def field_of(shots, design, slab):
    top = build_top(design, slab)
    base = build_base(MeasuredBase(Survey(shots, np.zeros(3))), slab, top)
    return build_field(base.surface, top.surface, slab)


def lattice(wide, long, step=1.5):
    east, north = np.meshgrid(np.arange(0.7, wide, step), np.arange(0.7, long, step))
    return np.column_stack([east.ravel(), north.ravel()])


@pytest.mark.parametrize("bearing", [0.0, 37.0, 180.0])
def test_a_base_graded_to_a_falling_drawing_and_shot_in_part_is_as_drawn(bearing):
    slab, design = slab_of(), Fall(np.array([0, 0, 3.0]), 0.02, bearing)
    plan = lattice(12, 20)
    level = nearest_level(build_top(design, slab).surface.corners, plan) - T

    field = field_of(np.column_stack([plan, level]), design, slab)

    assert 0.5 < field.area[field.is_surveyed].sum() / slab.area < 0.6
    concrete = measure_concrete(field, slab)
    assert concrete.volume == pytest.approx(slab.area * T, rel=1e-9)
    moments = measure_thickness(field)
    assert (moments.min, moments.max) == pytest.approx((T, T), abs=1e-9)
    assert find_thin(field, slab).area == 0


@pytest.mark.parametrize("bearing", [0.0, 37.0, 90.0])
def test_shots_off_two_sides_of_a_slab_leave_a_graded_base_as_drawn_beside_the_others(bearing):
    slab, design = slab_of(12.0, 8.0), Fall(np.array([0, 0, 3.0]), 0.02, bearing)
    plan = grid([-3, 1.5, 6, 10.5, 15], [1, 3, 5, 7])
    level = plane_level(plane_by_fall(design.through, design.fall, bearing), plan) - T

    field = field_of(np.column_stack([plan, level]), design, slab)

    assert_allclose(field.thickness, T, atol=1e-9)


def test_a_rim_that_leaves_the_slab_and_comes_back_steps_where_the_top_does():
    edge = np.array([(0, 0), (12, 0), (12, 8), (9, 6.5), (3, 6.5), (0, 8)])
    slab = Slab(edge=edge, openings=(), thickness=T, least_thickness=T - 0.02)
    west, east = Fall(np.array([6, 0, 3.0]), 0.02, 90), Fall(np.array([6, 0, 3.2]), 0.01, 270)
    halves = [np.array([(x, 0), (6, 0), (6, 8), (x, 8)]) for x in (0, 12)]
    plan = np.array([(x, y) for x in (0.5, 5.9999, 6.0001, 11.5) for y in (1, 7)])
    level = np.where(plan[:, 0] < 6, 3 - 0.02 * (plan[:, 0] - 6), 3.2 + 0.01 * (plan[:, 0] - 6))
    shots = np.column_stack([plan, level - T])[[0, 1, 2, 4, 6, 7]]  # none at the middle, up north

    field = field_of(shots, Panels((Panel(halves[0], west), Panel(halves[1], east))), slab)

    north = ~field.is_surveyed & (field.corners[..., 1] > 6.99).all(axis=1)
    surveyed = surveyed_part(field)
    at_foot = np.dstack([surveyed.corners, surveyed.thickness])
    foot = field.corners[north].mean(axis=1) * [1, 0] + [0, 7]
    assert_allclose(field.thickness[north].mean(axis=1), nearest_level(at_foot, foot), atol=1e-6)


def test_over_a_bent_top_each_place_has_the_thickness_of_the_nearest_that_was_shot():
    slab = slab_of()
    design = Between(
        np.array([(0, 0, 3.0), (5, 0, 3.06), (12, 0, 3.0)]),
        np.array([(0, 30, 3.2), (7, 30, 3.31), (12, 30, 3.22)]),
    )
    random = np.random.default_rng(3)
    plan = lattice(11, 22)
    level = nearest_level(build_top(design, slab).surface.corners, plan) - T
    shots = np.column_stack([plan, level + random.uniform(-0.01, 0.01, len(plan))])

    field = field_of(shots, design, slab)

    hull = shapely.MultiPoint(plan).convex_hull
    beyond = field.corners[~field.is_surveyed].mean(axis=1)
    feet = shapely.shortest_line(hull.exterior, shapely.points(beyond))
    foot = shapely.get_coordinates(shapely.get_point(feet, 0))
    seen = surveyed_part(field)
    at_foot = np.dstack([seen.corners, seen.thickness])
    wanted = nearest_level(at_foot, foot)
    assert_allclose(field.thickness[~field.is_surveyed].mean(axis=1), wanted, atol=2e-6)
    assert field.area.sum() == pytest.approx(slab.area, rel=1e-9)


def turned(places, angle):
    """Places (n, 2) or (n, 3) in another system, m."""
    plan, rest = np.split(np.asarray(places, float), [2], axis=1)
    cos, sin = np.cos(angle), np.sin(angle)
    return np.hstack([plan @ np.array([(cos, sin), (-sin, cos)]) + 7.0, rest])


def stepped(turn, step, shots_at):
    """Volume over a base graded to a top that steps at 6 m, shot at eastings in four rows."""
    edge = turned([(0, 0), (12, 0), (12, 8), (0, 8)], turn)
    slab = Slab(edge=edge, openings=(), thickness=T, least_thickness=T - 0.02)
    west = Plane(turned([(0, 0, 2.88), (6, 0, 3), (0, 8, 2.88)], turn))
    design = Panels(
        (
            Panel(turned([(0, 0), (6, 0), (6, 8), (0, 8)], turn), west),
            Panel(turned([(6, 0), (12, 0), (12, 8), (6, 8)], turn), Level(3 + step)),
        )
    )
    plan = np.array([(east, north) for east in shots_at for north in (1, 3, 5, 7)])
    east = plan[:, 0]
    graded = np.where(east < 6.001, 3 + 0.02 * (east - 6), 3 + step) - T
    field = field_of(turned(np.column_stack([plan, graded]), turn), design, slab)
    return field.area @ field.thickness.mean(axis=1)


@pytest.mark.parametrize("step", [0.3, -0.1, 0.0])
@pytest.mark.parametrize("turn", [0.0, 0.3, 1.0, 2.0])
def test_beyond_the_end_of_a_step_the_thickness_steps_too(turn, step):
    # from the shots at 5 to those at 7 the base is straight, along the edge too
    between = (2.99 - (2.98 + (0.02 + step) / 4)) + (3 + step - (3 + step - (0.02 + step) / 4))
    wanted = 8 * (12 * T + between)
    assert stepped(turn, step, (1, 3, 5, 7, 9, 11)) == pytest.approx(wanted)


@pytest.mark.parametrize("step", [0.3, -0.1])
@pytest.mark.parametrize("turn", [0.0, 0.3, 1.0, 2.0])
def test_at_a_shot_on_a_step_it_steps_too(turn, step):
    # the shot stands on the western half: from there the base runs straight to the next at 9
    assert stepped(turn, step, (1, 3, 6, 9, 11)) == pytest.approx(8 * (12 * T + step * 3 / 2))


@pytest.mark.parametrize("off", [-2e-5, -3e-6, -1.3e-6, -9e-7, 2e-7, 9e-7, 1.3e-6, 3e-6, 2e-5])
@pytest.mark.parametrize("turn", [0.0, 1.0])
def test_at_a_shot_a_rounding_off_a_step_it_steps_too(turn, off):
    volume = stepped(turn, 0.3, (1, 3, 6 + off, 9, 11))
    assert volume == pytest.approx(8 * (12 * T + 0.3 * 3 / 2), abs=1e-3)


@pytest.mark.parametrize("turn", [0.3, 1.0, 2.0])
def test_a_rim_that_just_misses_where_three_panels_meet_covers_the_slab_once(turn):
    edge = turned([(0, 0), (12, 0), (12, 8), (0, 8)], turn)
    slab = Slab(edge=edge, openings=(), thickness=T, least_thickness=T - 0.02)
    meet, at = (6, 1 + 1e-11), np.array([6, 0, 3])
    design = Panels(
        (
            Panel(turned([(0, 0), (6, 0), meet, (6, 8), (0, 8)], turn), Fall(at, 0.02, 10)),
            Panel(turned([meet, (12, 8), (6, 8)], turn), Fall(at, 0.01, 120)),
            Panel(turned([(6, 0), (12, 0), (12, 8), meet], turn), Fall(at, 0.01, 250)),
        )
    )
    plan = lattice(12, 8) + 0.3
    shots = turned(np.column_stack([plan, np.full(len(plan), 2.6)]), turn)

    field = field_of(shots, design, slab)

    assert field.area.sum() == pytest.approx(slab.area, rel=1e-9)


def test_what_is_off_beyond_the_shots_is_said_to_be_unshot():
    slab, design = slab_of(base_low=0.005), Fall(np.array([0, 0, 3.0]), 0.0, 0.0)
    plan = lattice(12, 20)
    level = np.full(len(plan), 3.0 - T - 0.01)

    field = field_of(np.column_stack([plan, level]), design, slab)

    low, seen = find_low(field, slab), find_low(surveyed_part(field), slab)
    assert low is not None
    assert seen is not None
    (spot,) = low.listed
    assert spot.area == pytest.approx(slab.area)
    assert spot.unshot == pytest.approx(field.area[~field.is_surveyed].sum())
    (within,) = seen.listed
    assert within.unshot == 0
    assert within.area == pytest.approx(spot.area - spot.unshot)
