"""Trench shots: raised by the drawn depth, joined along the thickening."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import build_surface
from gradevol.site.top import Between, Level, Panel, Panels, Plane, build_top
from gradevol.site.trench import lift_trench_shots

EDGE = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
BEAM = Thickening("beam", 0.2, width=0.5, side_slope=2.0, surveyed="departure", sides=(1,))
LEVEL_TOP = Level(0.15)


def slab_with(*parts):
    return Slab(EDGE, (), 0.15, 0.13, thickenings=parts)


def lift(shots, slab, design=LEVEL_TOP):
    """Points, their edges, and by how much each of the shots was raised."""
    shots = np.array(shots, float)
    points, edges = lift_trench_shots(shots, slab, build_top(design, slab).surface)
    return points, edges, points[: len(shots), 2] - shots[:, 2]


def measure(shots, slab, design=LEVEL_TOP):
    top = build_top(design, slab)
    points, edges = lift_trench_shots(np.array(shots, float), slab, top.surface)
    base = extend_level(build_surface(points, edges=edges), slab.outline)
    field = build_field(base, top.surface, slab)
    return measure_concrete(field, slab), field


def base_shots(level=0.0):
    return [[e, n, level] for e in (0, 4, 8, 12) for n in (1.5, 4, 8)]


@pytest.mark.parametrize("surveyed", ["no", "yes"])
def test_shots_are_left_as_they_are_unless_they_are_departures(surveyed):
    part = Thickening("beam", 0.2, width=0.5, surveyed=surveyed, sides=(1,))
    shots = [*base_shots(), [2, 0.2, -0.2], [10, 0.2, -0.2]]
    points, edges, raised = lift(shots, slab_with(part))
    assert_allclose(points, shots)
    assert len(edges) == 0
    assert not raised.any()


def test_a_shot_in_the_trench_is_raised_by_the_drawn_depth_where_it_stands():
    places = [[2, 0.2], [4, 0.5], [6, 0.7], [8, 0.9], [10, 1.0]]
    shots = [[*place, -0.3] for place in places]
    points, _, raised = lift(shots, slab_with(BEAM))
    assert_allclose(raised, [0.2, 0.2, 0.1, 0.0, 0.0], atol=1e-12)
    assert_allclose(points[:5, 2], raised - 0.3)
    assert_allclose(points[:5, :2], places)


def test_trench_shots_on_the_drawn_bottom_give_the_drawn_volume():
    slab = slab_with(BEAM)
    concrete, field = measure([*base_shots(), [1, 0.25, -0.2], [11, 0.25, -0.2]], slab)
    assert_allclose(concrete.slab, slab.area * 0.15)
    assert_allclose(concrete.thickenings, 12 * (0.5 * 0.2 + 0.4 * 0.2 / 2))
    assert_allclose(measure_thickness(field).sd, 0, atol=1e-9)


def test_a_trench_dug_deeper_takes_what_it_was_dug_deeper():
    slab = slab_with(BEAM)
    drawn, _ = measure([*base_shots(), [0, 0, -0.2], [12, 0, -0.2]], slab)
    deeper, _ = measure([*base_shots(), [0, 0, -0.23], [12, 0, -0.23]], slab)
    # 30 mm at the edge, nothing at the first row of base shots
    assert_allclose(deeper.volume - drawn.volume, 12 * 1.5 * 0.03 / 2)


def test_a_departure_is_interpolated_along_the_trench_whatever_shots_lie_near():
    slab = slab_with(BEAM)
    # shots of the base closer to the trench than its two shots are to one another
    near = [[e, 1.0, 0.0] for e in np.linspace(0, 12, 25)]
    points, edges, _ = lift([*base_shots(), *near, [0, 0.2, -0.2], [12, 0.2, -0.2]], slab)
    joined = {tuple(sorted(pair)) for pair in edges.tolist()}
    assert joined == {(len(points) - 2, len(points) - 1)}
    assert_allclose(points[-2:, 2], 0, atol=1e-12)


def test_shots_are_joined_in_the_order_along_the_line_not_of_the_file():
    shots = [[9, 0.2, -0.2], [1, 0.2, -0.2], [5, 0.2, -0.2]]
    _, edges, _ = lift(shots, slab_with(BEAM))
    assert {tuple(sorted(pair)) for pair in edges.tolist()} == {(1, 2), (0, 2)}


def test_of_several_shots_across_the_trench_one_is_joined():
    shots = [[1, 0.1, -0.2], [5, 0.1, -0.2], [5.01, 0.4, -0.2], [9, 0.1, -0.2]]
    _, edges, raised = lift(shots, slab_with(BEAM))
    assert_allclose(raised, 0.2)
    assert len(edges) == 2
    assert len(np.unique(edges)) == 3


def test_between_shots_the_base_follows_the_bends_of_the_top():
    # the top rises 0.06 m to the middle and falls again: two trench shots at the ends know nothing
    # of it, and yet their departure, nought, holds all along
    bent = Between(
        np.array([[0, 0, 0.15], [6, 0, 0.21], [12, 0, 0.15]]),
        np.array([[0, 8, 0.15], [6, 8, 0.21], [12, 8, 0.15]]),
    )
    slab = slab_with(BEAM)
    base = [
        [e, n, z] for e, z in ((0, 0.0), (6, 0.06), (12, 0.0)) for n in (0.6001, 4, 8)
    ]  # fmt: skip
    base = [[e, n if n != 0.6001 else 1.0, z] for e, n, z in base]
    trench = [[0, 0, -0.2], [12, 0, -0.2]]
    points, edges, _ = lift([*base, *trench], slab, bent)
    assert len(points) == len(base) + 3  # one was put at the bend
    assert_allclose(points[-1], [6, 0, 0.06], atol=1e-9)
    assert len(edges) == 2
    _, field = measure([*base, *trench], slab, bent)
    assert_allclose(field.thickness, 0.15, atol=1e-9)


def halves(rise, step):
    """A top that climbs to the middle and goes on level, a step higher."""
    west = Plane(np.array([[0, 0, 0.15 - rise], [6, 0, 0.15], [0, 8, 0.15 - rise]]))
    edges = [np.array([[x, 0], [6, 0], [6, 8], [x, 8.0]]) for x in (0, 12)]
    return Panels((Panel(edges[0], west), Panel(edges[1], Level(0.15 + step))))


def test_a_place_is_made_between_shots_only_where_the_top_bends():
    cross = Thickening("cross", 0.2, width=0.5, surveyed="departure", along=EDGE[[0, 2]])
    shots = [[1, 2 / 3, -0.25], [11, 22 / 3, -0.2]]
    points, edges, _ = lift(shots, slab_with(cross), halves(0.05, 0.0))
    assert_allclose(points[2:, :2], [[6, 4]])  # and not where triangles of one panel meet
    assert edges.tolist() == [[0, 2], [2, 1]]


@pytest.mark.parametrize("way", [1, -1])
def test_at_a_step_of_the_top_a_beam_goes_by_neither_side_alone(way):
    cross = Thickening("cross", 0.2, 0.5, surveyed="departure", along=EDGE[[0, 2]][::way])
    shots = [[1, 2 / 3, -0.2], [11, 22 / 3, 0.1]]
    points, _, _ = lift(shots, slab_with(cross), halves(0.0, 0.3))
    assert_allclose(points[2:], [[6, 4, 0.15]])


@pytest.mark.parametrize("way", [1, -1])
def test_which_shot_of_a_cross_section_is_joined_does_not_hang_on_where_the_line_begins(way):
    beam = Thickening(
        "beam", 0.2, width=0.5, surveyed="departure", along=np.array([[0, 4], [12.03, 4]])[::way]
    )
    shots = [[1, 4, -0.2], [5.01, 4.1, -0.2], [5.07, 4.05, -0.2], [9, 4, -0.2]]
    _, edges, _ = lift(shots, slab_with(beam))
    assert set(edges.ravel().tolist()) == {0, 2, 3}


def test_two_thickenings_that_share_shots_raise_them_once_by_the_deeper():
    pad = Thickening(
        "pad", 0.3, surveyed="departure", outline=np.array([[0, 0], [2, 0], [2, 2], [0, 2.0]])
    )
    _, _, raised = lift([[1, 0.2, -0.3], [6, 0.2, -0.2], [1, 1.5, -0.3]], slab_with(BEAM, pad))
    assert_allclose(raised, [0.3, 0.2, 0.3])
