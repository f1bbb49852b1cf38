"""The same volumes by other roads: closed meshes, boolean solids, quadrature, strips."""

import warnings

import numpy as np
import pytest
import shapely
import trimesh
from numpy.testing import assert_allclose
from scipy.integrate import IntegrationWarning, dblquad
from scipy.interpolate import LinearNDInterpolator

from gradevol.geometry.prisms import integral
from gradevol.measures.body import build_body
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.top import Between, Level, Measured, build_top
from tests.conftest import lattice
from tests.pads import field_of

EDGES = {
    "rectangle": np.array([[0, 0], [9, 0], [9, 7.5], [0, 7.5]]),
    "l": np.array([[0.3, 0.2], [8.5, 0.4], [8.1, 3.3], [4.2, 3.1], [4.4, 7.2], [0.1, 7.0]]),
    "beyond the shots": np.array([[-3, -2], [12, -1], [10, 11], [-2, 9.5]]),
}
HOLE = np.array([[1, 1], [2.5, 1.2], [2.2, 2.6]])


def shots_of(kind, seed):
    random = np.random.default_rng(seed)
    plan = lattice(7, 6, 1.5) if kind == "lattice" else random.uniform(-0.5, 9.5, (60, 2))
    return np.column_stack([plan, 0.04 * random.normal(size=len(plan))])


@pytest.mark.parametrize("kind", ["lattice", "scatter"])
@pytest.mark.parametrize("edge", EDGES)
def test_volume_is_the_signed_volume_of_the_closed_solid(kind, edge):
    slab = Slab(EDGES[edge], (HOLE,), 0.2, 0.18)
    lifted = np.column_stack([EDGES[edge][:4], [0.5, 0.55, 0.6, 0.52]])
    field = field_of(shots_of(kind, 1), slab, Measured(lifted))
    body = build_body(field)
    solid = trimesh.Trimesh(body.vertices, body.faces, process=False)
    concrete = measure_concrete(field, slab)
    assert concrete.overlap < 1e-12  # the top stands clear
    assert solid.is_watertight
    assert_allclose(solid.volume, concrete.slab, rtol=1e-7)
    assert concrete.slab > 1


def prism(corners, low):
    """Vertices and faces of the solid from a level up to a triangle."""
    floor = corners.copy()
    floor[:, 2] = low
    faces = [[2, 1, 0], [3, 4, 5], *([i, (i + 1) % 3, j] for i, j in ((0, 4), (1, 5), (2, 3)))]
    faces += [[0, 4, 3], [1, 5, 4], [2, 3, 5]]
    return np.vstack([floor, corners]), np.array(faces)


def manifold_of(vertices, faces):
    import manifold3d  # noqa: PLC0415

    mesh = manifold3d.Mesh64(
        vert_properties=np.array(vertices, order="C"),
        tri_verts=np.array(faces, np.uint64, order="C"),
    )
    return manifold3d.Manifold(mesh)


def solid_below(corners, low):
    """Solid from a level up to a surface given by its triangles, as one manifold."""
    import manifold3d  # noqa: PLC0415

    parts = [manifold_of(*prism(triangle, low)) for triangle in corners]
    return manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Add)


@pytest.mark.parametrize("kind", ["lattice", "scatter"])
def test_volume_and_overlap_are_those_of_boolean_solids(kind):
    shots = shots_of(kind, 2)
    slab = Slab(EDGES["l"], (HOLE,), 0.2, 0.18)
    base = extend_level(build_surface(shots), slab.outline)
    top = build_top(Level(0.02), slab).surface  # the base stands above it in places
    field = build_field(base, top, slab)
    concrete = measure_concrete(field, slab)
    near = shapely.intersects(shapely.polygons(base.corners[..., :2]), slab.outline)
    under = solid_below(base.corners[near], -1.0)
    over = solid_below(top.corners, -1.0)
    assert_allclose((over - under).volume(), concrete.slab, rtol=1e-6)
    body = build_body(field)
    solid = manifold_of(body.vertices, body.faces)  # with none of its own repairs
    assert solid.status().name == "NoError"
    assert_allclose(solid.volume(), concrete.slab, rtol=1e-8)
    assert abs((solid ^ over).volume() - concrete.slab) < 1e-6 * concrete.slab
    stands_out = (over ^ under).volume()
    mean_base = 1.0 * slab.area + measured_integral(base, slab)
    assert_allclose(mean_base - stands_out, concrete.overlap, rtol=1e-5)
    assert concrete.overlap > 0.05


def measured_integral(base, slab):
    field = build_field(base, build_top(Level(0.0), slab).surface, slab)
    return -float(integral(field.area, field.thickness).sum())


def test_volume_is_that_of_another_librarys_interpolation_by_quadrature():
    shots = shots_of("scatter", 3)
    middle, reach = np.array([4.5, 4.5]), 2.0
    edge = middle + reach * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    slab = Slab(edge, (), 0.2, 0.18)
    field = field_of(shots, slab, Level(0.3))
    level = LinearNDInterpolator(shots[:, :2], shots[:, 2])
    # a fine lattice of middles: each kink is crossed by few of the 160 000 cells
    step = 2 * reach / 400
    at = middle[0] - reach + step * (np.arange(400) + 0.5)
    east, north = np.meshgrid(at, at)
    total = (0.3 - level(east, north)).sum() * step**2
    assert_allclose(measure_concrete(field, slab).slab, total, rtol=2e-6)


@pytest.mark.parametrize("thick", [0.1, 0.0, -0.03])
def test_volume_above_a_cell_agrees_with_quadrature(thick):
    # one cell, a corner lifted, split in four about its middle; the top a plane
    shots = np.array([[0, 0, 0], [3, 0, 0], [3, 2, 0.12], [0, 2, 0.0]])
    slab = Slab(shots[:, :2], (), 0.2, 0.18)
    plane = np.column_stack([shots[:, :2], thick + shots[:, :2] @ [0.02, -0.01]])
    field = field_of(shots, slab, Between(plane[[0, 1]], plane[[2, 3]]))

    def depth(v, u):
        return max(0.0, thick + 0.06 * u - 0.02 * v - split_in_four(u, v))

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", IntegrationWarning)  # kinks: the tolerance allows for them
        total = 6 * dblquad(depth, 0, 1, 0, 1, epsabs=1e-7)[0]
    assert total > 0.003
    assert_allclose(measure_concrete(field, slab).slab, total, atol=2e-6)


def split_in_four(u, v):
    """Elevation of a unit cell with one corner at 0.12, its middle at a quarter of that."""
    middle, lifted = 0.03, 0.12
    if v <= min(u, 1 - u):  # south: corners 0, 0, middle
        return middle * 2 * v
    if u <= min(v, 1 - v):  # west: 0, 0, middle
        return middle * 2 * u
    if u >= max(v, 1 - v):  # east: 0 at v = 0, lifted at v = 1, middle at u = 1/2
        return 2 * (1 - u) * middle + (u + v - 1) * lifted
    return 2 * (1 - v) * middle + (u + v - 1) * lifted


@pytest.mark.parametrize("edge", EDGES)
def test_mean_and_spread_agree_with_plain_strips(edge):
    slab = Slab(EDGES[edge], (), 0.2, 0.18)
    base = extend_level(build_surface(shots_of("scatter", 4)), slab.outline)
    moments = measure_thickness(build_field(base, build_top(Level(0.3), slab).surface, slab))
    west, south, east, north = slab.outline.bounds
    x, y = np.meshgrid(np.linspace(west, east, 401)[1:-1], np.linspace(south, north, 401)[1:-1])
    inside = shapely.contains_xy(slab.outline, x, y)
    places = np.column_stack([x[inside], y[inside]])
    tree = shapely.STRtree(shapely.polygons(base.corners[..., :2]))
    place, face = tree.query(shapely.points(places), predicate="intersects")
    held = base.corners[face]
    matrix = np.concatenate([np.ones((len(held), 3, 1)), held[..., :2]], axis=2)
    plane = np.linalg.solve(matrix, held[..., 2:])[..., 0]
    level = plane[:, 0] + (plane[:, 1:] * places[place]).sum(axis=1)
    thickness = np.empty(len(places))
    thickness[place] = 0.3 - level
    assert_allclose(moments.mean, thickness.mean(), rtol=1e-3)
    assert_allclose(moments.sd, thickness.std(), rtol=5e-3)
    assert moments.min <= thickness.min() + 1e-9
    assert moments.max >= thickness.max() - 1e-9
    assert_allclose([moments.min, moments.max], [thickness.min(), thickness.max()], atol=0.005)
