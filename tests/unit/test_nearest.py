"""Beyond the shots, against a search over the surface by another road."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.geometry.covering import cover
from gradevol.geometry.nearest import extend_rim, fill_gaps, nearest_level
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area
from gradevol.ground.errors import GeometryError
from gradevol.site.beyond import extend_level
from gradevol.site.surface import Surface, build_surface, level_beside, surface_of_faces


def level_at(surface, places):
    """Elevation of a surface at places, whichever triangle they fall in."""
    faces = shapely.polygons(surface.corners[..., :2])
    place, face = shapely.STRtree(faces).query_nearest(shapely.points(places), all_matches=False)
    assert len(place) == len(places)
    assert shapely.distance(faces[face], shapely.points(places)).max() < 1e-9
    return level_in(surface.corners, face, places[:, None])[:, 0]


def nearest_on_rim(surface, places):
    """Elevation of the nearest place on the rim, by feet of perpendiculars on each side."""
    ring = surface.points[surface.rim]
    start, line = ring, np.roll(ring, -1, axis=0) - ring
    along = line[:, :2]
    share = ((places[:, None] - start[None, :, :2]) * along).sum(axis=2) / (along**2).sum(axis=1)
    foot = start + share.clip(0, 1)[..., None] * line
    gap = np.hypot(*(places[:, None] - foot[..., :2]).transpose(2, 0, 1))
    return foot[np.arange(len(places)), gap.argmin(axis=1), 2]


@given(st.integers(0, 10_000), st.booleans())
def test_a_tin_is_held_at_the_nearest_place_of_its_hull(seed, is_lattice):
    random = np.random.default_rng(seed)
    if is_lattice:  # many shots on a straight rim, turned
        plan = np.array([(i, j) for i in range(4) for j in range(3)], float)
        turn = random.uniform(0, 6)
        plan = plan @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    else:
        plan = random.uniform(-2, 2, (random.integers(3, 20), 2))
    shots = np.column_stack([plan, random.normal(size=len(plan))])
    bare = build_surface(shots)
    outline = shapely.box(-9, -8, 12, 10)
    surface = extend_level(bare, outline)
    places = random.uniform(-8, 10, (200, 2))
    hull = shapely.Polygon(bare.points[bare.rim, :2])
    is_out = ~shapely.contains_xy(hull.buffer(1e-6), places[:, 0], places[:, 1])
    assert is_out.sum() > 50
    assert_allclose(
        level_at(surface, places[is_out]), nearest_on_rim(bare, places[is_out]), atol=1e-6
    )
    within = np.vstack([places[~is_out], plan.mean(axis=0)])
    assert_allclose(level_at(surface, within), level_at(bare, within), atol=1e-6)


def test_extension_covers_the_outline_without_overlap():
    shots = np.column_stack([np.random.default_rng(1).uniform(0, 5, (30, 2)), np.zeros(30)])
    outline = shapely.box(-40, -3, 6, 50)
    surface = extend_level(build_surface(shots), outline)
    faces = shapely.polygons(surface.corners[..., :2])
    assert (plan_area(surface.corners) > 0).all()
    assert_allclose(
        shapely.area(shapely.intersection(faces, outline)).sum(), outline.area, rtol=1e-12
    )


def test_before_a_short_side_of_a_row_that_rounding_bends_inwards_triangles_do_not_cross():
    bent, short = 1e-7, 4e-6
    beside = 3 - bent * (1 - short / 0.02)
    row = [(4, 3), (2.02, 3 - bent), (2.02 - short, beside), (2, 3), (0, 3)]
    rim = np.column_stack([np.array([(0, 0), (4, 0), *row]), np.zeros(7)])
    points, triangles, _ = extend_rim(rim, np.arange(7), 50.0)
    assert (plan_area(points[triangles][..., :2]) > 0).all()


def test_a_surface_that_covers_the_outline_stays_as_it_is():
    shots = np.array([[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 1.0], [4, 5, 2]])
    surface = build_surface(shots)
    assert extend_level(surface, shapely.box(1, 1, 8, 8)) is surface


def test_nearest_level_takes_the_foot_on_the_nearest_face():
    faces = np.array([[[0, 0, 1], [2, 0, 2], [0, 2, 3.0]], [[10, 0, 7], [12, 0, 7], [10, 2, 7.0]]])
    places = np.array([[0.5, 0.5], [-1, 1], [1, -5], [-3, -3], [9, 1]])
    assert_allclose(nearest_level(faces, places), [1.75, 2, 1.5, 1, 7])


L_MESH = np.array(
    [[0, 0], [10, 0], [10, 4], [4, 4], [4, 10], [0, 10], [0, 4], [4, 0]], float
)  # fmt: skip
L_FACES = np.array([[0, 7, 3], [0, 3, 6], [7, 1, 2], [7, 2, 3], [6, 3, 4], [6, 4, 5]])


def l_mesh(level):
    return surface_of_faces(np.column_stack([L_MESH, level(L_MESH)]), L_FACES)


def test_the_bay_of_an_l_of_faces_is_held_at_the_nearest_place():
    surface = extend_level(l_mesh(lambda plan: 0.1 * plan[:, 0]), shapely.box(0, 0, 10, 10))
    beyond = surface.corners[~surface.is_surveyed]
    assert_allclose(plan_area(beyond).sum(), 36)
    # below the diagonal the lower leg is nearest (its elevation runs on), above it the upright
    # leg's side at 4 m (level at 0.4)
    x, y = np.random.default_rng(0).uniform(4.3, 9.7, (2, 500))
    is_low = y < x - 0.6
    is_high = y > x + 0.6
    places = np.column_stack([x, y])
    assert_allclose(level_at(surface, places[is_high]), 0.4, atol=1e-9)
    assert_allclose(level_at(surface, places[is_low]), 0.1 * x[is_low], atol=1e-9)


def test_a_hole_in_the_faces_is_filled_from_its_border():
    plan = np.array([[0, 0], [9, 0], [9, 9], [0, 9], [3, 3], [6, 3], [6, 6], [3, 6]], float)
    ring = [(0, 1, 5), (0, 5, 4), (1, 2, 6), (1, 6, 5), (2, 3, 7), (2, 7, 6), (3, 0, 4), (3, 4, 7)]
    surface = surface_of_faces(np.column_stack([plan, 5 + 0.01 * plan[:, 0]]), np.array(ring))
    filled = extend_level(surface, shapely.box(1, 1, 8, 8))
    beyond = filled.corners[~filled.is_surveyed]
    assert_allclose(plan_area(beyond).sum(), 9)
    assert_allclose(beyond[..., 2], 5 + 0.01 * beyond[..., 0], atol=1e-12)


def test_islands_of_faces_are_each_held_to_their_own_nearest_corner():
    faces = np.array([[[0, 0, 1], [2, 0, 1], [0, 2, 1.0]], [[9, 9, 3], [7, 9, 3], [9, 7, 3.0]]])
    outline = shapely.box(0, 0, 9, 9)
    gap = fill_gaps(faces, cover(faces), outline, step=0.25)
    assert_allclose(plan_area(gap).sum() + 4, 81)
    places = gap.reshape(-1, 3)
    assert_allclose(places[:, 2], nearest_level(faces, places[:, :2]), atol=1e-12)


def test_no_gap_gives_no_triangles():
    faces = np.array([[[0, 0, 1], [9, 0, 1], [0, 9, 1.0]]])
    assert fill_gaps(faces, cover(faces), shapely.box(1, 1, 2, 2), step=1).shape == (0, 3, 3)


@pytest.mark.parametrize(
    "faces",
    [
        [[0, 1, 2], [0, 2, 3], [0, 1, 4]],  # one more on top of two
        [[0, 1, 3], [0, 1, 3]],  # one twice
        [[0, 1, 2], [4, 5, 6]],  # two that cross
    ],
)
def test_faces_that_overlap_are_refused_in_words(faces):
    points = np.array(
        [[0, 0], [10, 0], [10, 10], [0, 10], [5, 5], [12, 3], [3, 12]], float
    )  # fmt: skip
    surface = surface_of_faces(np.column_stack([points, np.zeros(7)]), np.array(faces))
    with pytest.raises(GeometryError, match="overlap in plan"):
        extend_level(surface, shapely.box(0, 0, 10, 10))


def test_faces_that_meet_a_side_half_way_are_no_overlap():
    points = np.array([[0, 0], [10, 0], [5, 5], [10, 10], [0, 10]], float)
    for turn in np.linspace(0, 3, 7):
        turned = points @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        faces = np.array([[0, 1, 4], [1, 3, 2], [2, 3, 4]])  # corner 2 lies on side 1-4
        surface = surface_of_faces(np.column_stack([turned, np.zeros(5)]), faces)
        outline = shapely.Polygon(turned[[0, 1, 3, 4]]).buffer(1, join_style="mitre")
        covering = extend_level(surface, outline)
        parts = shapely.intersection(shapely.polygons(covering.corners[..., :2]), outline)
        assert_allclose(shapely.area(parts).sum(), outline.area, rtol=1e-9)


def test_faces_far_from_the_slab_are_refused_in_words():
    with pytest.raises(GeometryError, match="do not meet"):
        extend_level(l_mesh(lambda plan: plan[:, 0]), shapely.box(100, 100, 110, 110))


# Steps


@pytest.fixture
def step():
    """Two levels that meet at north 2: 10 m south of it, 11 m north."""
    south = [[[0, 0, 10], [4, 0, 10], [4, 2, 10]], [[0, 0, 10], [4, 2, 10], [0, 2, 10]]]
    north = [[[0, 2, 11], [4, 2, 11], [4, 4, 11]], [[0, 2, 11], [4, 4, 11], [0, 4, 11]]]
    return surface_of_corners(np.array(south + north, float))


def surface_of_corners(corners):
    return Surface(corners.reshape(-1, 3), np.arange(12).reshape(-1, 3), np.ones(4, bool))


@pytest.mark.parametrize("off", [-0.079, -0.01, 0.0, 0.01, 0.079])
@pytest.mark.parametrize(("like", "level"), [(10.2, 10.0), (10.9, 11.0), (7.0, 10.0)])
def test_beside_a_step_the_side_is_taken_that_is_asked_for(step, off, like, level):
    places = np.array([[1.0, 2 + off], [4.0, 2 + off]])
    assert_allclose(level_beside(step, places, np.full(2, like)), level)


def test_away_from_a_step_its_own_side_is_taken(step):
    places = np.array([[1.0, 1.9], [1.0, 2.1]])
    assert_allclose(level_beside(step, places, np.array([11.0, 10.0])), [10.0, 11.0])


def test_where_nothing_steps_the_level_is_as_it_is(step):
    ramp = step.corners
    ramp[..., 2] = 10 + 0.05 * ramp[..., 1]
    places = np.random.default_rng(5).uniform(0, 4, (50, 2))
    beside = level_beside(surface_of_corners(ramp), places, np.zeros(50))
    assert_allclose(beside, nearest_level(ramp, places), rtol=0, atol=0)


def test_places_on_a_surface_of_few_triangles_are_held_without_a_tree(monkeypatch):
    surface = build_surface(np.random.default_rng(2).random((14, 3)))
    places = np.random.default_rng(3).random((400, 2)) * 1.6 - 0.3
    with monkeypatch.context() as patch:
        patch.setattr("gradevol.geometry.nearest._FEW", 0)
        by_tree = nearest_level(surface.corners, places)
    assert len(surface.corners) <= 32
    assert_allclose(nearest_level(surface.corners, places), by_tree, atol=1e-12)
    asked = []

    def count(faces):
        asked.append(len(faces))
        raise AssertionError

    monkeypatch.setattr("shapely.STRtree", count)
    middles = surface.corners[..., :2].mean(axis=1)
    nearest_level(surface.corners, middles)
    assert asked == []
