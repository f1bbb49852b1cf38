"""The design top: every kind of it, and panels that don't fit."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.prisms import plan_area
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Note
from gradevol.site.panels import PANEL_TOLERANCE
from gradevol.site.slab import Slab
from gradevol.site.top import (
    Between,
    Design,
    Faces,
    Fall,
    Level,
    Measured,
    Panel,
    Panels,
    Plane,
    build_top,
)
from tests.pads import box, volume_under

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
L_SHAPE = np.array([[0, 0], [10, 0], [10, 4], [4, 4], [4, 10], [0, 10.0]])
HOLE = np.array([[1, 1], [3, 1], [3, 3], [1, 3.0]])
SLAB = Slab(SQUARE, (), 0.15, 0.13)
L_SLAB = Slab(L_SHAPE, (HOLE,), 0.15, 0.13)


def volume(top):
    return volume_under(top.surface)


def plane_over(slab, constant, east, north):
    """Integral of a plane over a slab: its area times the level at its centroid."""
    middle = slab.outline.centroid
    return slab.area * (constant + east * middle.x + north * middle.y)


SLOPED = np.column_stack([SQUARE, 5 + SQUARE @ [0.02, -0.01]])
ON_ONE_PLANE: dict[str, Design] = {
    "plane": Plane(SLOPED[:3]),
    "plane by least squares": Plane(SLOPED),
    "fall": Fall(np.array([0, 0, 5.0]), np.hypot(0.02, 0.01), np.degrees(np.arctan2(-0.02, 0.01))),
    "between": Between(SLOPED[[0, 1]], SLOPED[[2, 3]]),
    "measured": Measured(SLOPED),
    "faces": Faces(SLOPED, np.array([[0, 1, 2], [0, 3, 2]])),
    "panels": Panels(
        (Panel(box(0, 0, 10, 4), Plane(SLOPED)), Panel(box(0, 4, 10, 10), Measured(SLOPED)))
    ),
}


@pytest.mark.parametrize("slab", [SLAB, L_SLAB], ids=["square", "l with a hole"])
@pytest.mark.parametrize("kind", ON_ONE_PLANE)
def test_each_kind_of_top_lies_on_the_plane_it_describes_and_tiles_the_slab(kind, slab):
    top = build_top(ON_ONE_PLANE[kind], slab)
    corners = top.surface.corners
    assert (plan_area(corners) >= 0).all()
    assert_allclose(plan_area(corners).sum(), slab.area, rtol=1e-12)
    assert_allclose(corners[..., 2], 5 + corners[..., :2] @ [0.02, -0.01], atol=1e-9)
    assert_allclose(volume(top), plane_over(slab, 5, 0.02, -0.01), rtol=1e-12)
    assert top.notes == ()


def test_a_level_top_is_level():
    top = build_top(Level(3.25), L_SLAB)
    assert (top.surface.points[:, 2] == 3.25).all()
    assert_allclose(volume(top), 3.25 * L_SLAB.area)


def test_a_plane_that_does_not_fit_its_points_says_by_how_much():
    bent = SLOPED + np.array([[0, 0, 0.01], [0, 0, -0.01], [0, 0, 0.01], [0, 0, -0.01]])
    top = build_top(Plane(bent), SLAB)
    assert_allclose(top.residuals, [0.01, -0.01, 0.01, -0.01], atol=1e-12)
    assert [note.code for note in top.notes] == ["top-plane-residuals"]
    assert len(build_top(Plane(bent[:3]), SLAB).residuals) == 0


def test_a_warped_top_holds_the_volume_of_its_rulings():
    # one corner lifted by w: z = w u v, mean w / 4
    lifted = np.column_stack([SQUARE, [0, 0, 0.4, 0]])
    top = build_top(Between(lifted[[0, 1]], lifted[[3, 2]]), SLAB)
    assert_allclose(volume(top), 0.4 / 4 * 100, rtol=1e-12)
    assert len(top.surface.triangles) > 100


def test_rulings_that_do_not_reach_the_slab_are_held_level_and_told_of():
    short = np.array([[0, 0, 1], [10, 0, 1.0]]), np.array([[0, 8, 1.4], [10, 8, 1.4]])
    top = build_top(Between(*short), SLAB)
    assert_allclose(volume(top), 80 * 1.2 + 20 * 1.4, rtol=1e-9)
    assert [note.code for note in top.notes] == ["top-beyond-points"]
    assert_allclose(top.notes[0].measures[0].value, 20)


@pytest.mark.parametrize(("short", "told"), [(0.007, []), (0.02, ["top-beyond-points"])])
def test_a_slip_of_the_pen_beyond_the_points_of_a_top_is_not_told_of(short, told):
    line = np.array([[0, short, 1], [10, 0, 1.0]]), np.array([[0, 10, 1.4], [10, 10 - short, 1.4]])
    assert [note.code for note in build_top(Between(*line), SLAB).notes] == told


def test_measured_points_that_do_not_reach_the_slab_are_held_level_and_told_of():
    inner = np.column_stack([box(2, 2, 8, 8), np.full(4, 1.5)])
    top = build_top(Measured(inner), SLAB)
    assert_allclose(volume(top), 150, rtol=1e-12)
    assert_allclose(top.notes[0].measures[0].value, 64)
    assert_allclose(plan_area(top.surface.corners[~top.surface.is_surveyed]).sum(), 64)


def test_panels_that_share_an_edge_each_have_their_own_top():
    west, east = Panel(box(0, 0, 5, 10), Level(1.0)), Panel(box(5, 0, 10, 10), Level(1.2))
    assert_allclose(volume(build_top(Panels((west, east)), SLAB)), 110)
    assert_allclose(volume(build_top(Panels((east, west)), SLAB)), 110)


def test_a_panel_ruled_between_lines_keeps_what_their_reader_noticed():
    noticed = Note("points-merged", "Invented.")
    ruled = Between(SLOPED[[0, 1]], SLOPED[[2, 3]], notes=(noticed,))
    panels = Panels((Panel(box(0, 0, 10, 4), Level(5.0)), Panel(box(0, 4, 10, 10), ruled)))
    assert build_top(panels, SLAB).notes == build_top(ruled, SLAB).notes == (noticed,)


def test_panels_may_reach_out_of_the_slab():
    panels = Panels((Panel(box(-5, -5, 5, 15), Level(1.0)), Panel(box(5, -5, 15, 15), Level(1.2))))
    assert_allclose(volume(build_top(panels, SLAB)), 110)


def test_a_hairline_along_two_panels_is_parted_between_them():
    # their common corner stands 7 mm inside the slab's side: the plane of one over all of the strip
    # stood 0.1 m above the end of the crown, and that was the greatest thickness
    middle = [[5, 0.007], [5, 10]]
    crown = np.array([5, 0, 5.1])
    halves = (
        Panel(np.array([[side, 0], *middle, [side, 10]]), Fall(crown, 0.02, bearing))
        for side, bearing in ((0, 270), (10, 90))
    )
    corners = build_top(Panels(tuple(halves)), SLAB).surface.corners
    assert plan_area(corners).sum() == pytest.approx(100, rel=1e-12)
    level = corners[..., 2]
    # a panel takes the strip as far beside its end as a slip of the pen, at a fall of 2 %
    assert_allclose((level.min(), level.max()), (5.0, 5.1), atol=0.02 * PANEL_TOLERANCE)


def test_a_corner_that_is_typed_to_a_centimetre_on_a_slanting_side_is_near_enough():
    """It stands up to 7 mm off the side: no common corner would mend that."""
    slanting = Slab(np.array([[0, 0], [9.99, 10.01], [0, 20.02], [-9.99, 10.01]]), (), 0.15, 0.131)
    near, far = [3.34, 3.35 + 0.007], [-6.66, 13.35 - 0.007]
    halves = [slanting.edge[0], near, far, slanting.edge[3]], [near, *slanting.edge[1:3], far]
    panels = Panels(tuple(Panel(np.array(half), Level(1.0)) for half in halves))
    assert_allclose(volume(build_top(panels, slanting)), slanting.area, rtol=1e-12)


def test_a_hairline_between_panels_goes_to_the_nearest():
    panels = Panels((Panel(box(0, 0, 5, 10), Level(1.0)), Panel(box(5.007, 0, 10, 10), Level(1.0))))
    assert_allclose(volume(build_top(panels, SLAB)), 100, rtol=1e-12)


@pytest.mark.parametrize(
    ("edges", "words", "east"),
    [
        ((box(0, 0, 5, 10), box(5.02, 0, 10, 10)), "leave a gap", 5.01),
        ((box(0, 0, 5, 10), box(4, 0, 10, 10)), "Panels 1 and 2 of the top overlap", 4.5),
    ],
)
def test_panels_that_gap_or_overlap_are_refused_with_the_place(edges, words, east):
    panels = Panels(tuple(Panel(edge, Level(1.0)) for edge in edges))
    with pytest.raises(GeometryError, match=words) as refusal:
        build_top(panels, SLAB)
    assert refusal.value.place is not None
    assert_allclose(refusal.value.place[0], east, atol=0.06)
    assert 0 <= refusal.value.place[1] <= 10


def test_panels_that_overlap_only_outside_the_slab_are_no_matter():
    panels = Panels(
        (Panel(np.array([[0, 0], [5, 0], [5, 10], [8, 14], [0, 14]], float), Level(1.0)),
         Panel(np.array([[5, 0], [10, 0], [10, 14], [2, 14], [5, 10]], float), Level(1.2)))
    )  # fmt: skip
    assert_allclose(volume(build_top(panels, SLAB)), 110)


def test_a_panel_that_lies_nowhere_in_the_slab_is_refused():
    panels = Panels((Panel(SQUARE, Level(1.0)), Panel(box(20, 0, 30, 10), Level(1.2))))
    with pytest.raises(GeometryError, match="Panel 2 of the top does not lie within"):
        build_top(panels, SLAB)


def test_a_panel_whose_edge_crosses_itself_is_refused_by_number():
    panels = Panels((Panel(SQUARE[[0, 2, 1, 3]], Level(1.0)),))
    with pytest.raises(GeometryError, match="edge of panel 1 is not a plain outline"):
        build_top(panels, SLAB)


def test_panels_cut_diagonally_at_untidy_corners_tile_the_slab():
    middle = np.array([3.337, 6.113])
    ring = SQUARE
    panels = Panels(
        tuple(
            Panel(np.array([ring[i], ring[(i + 1) % 4], middle]), Level(1.0 + i)) for i in range(4)
        )
    )
    expected = sum(
        (1.0 + i) * shapely.Polygon([ring[i], ring[(i + 1) % 4], middle]).area for i in range(4)
    )
    assert_allclose(volume(build_top(panels, SLAB)), expected, rtol=1e-12)
