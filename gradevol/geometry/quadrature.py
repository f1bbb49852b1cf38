"""Integrals over a polygon: points with weights, and radial functions in closed form."""

from collections.abc import Callable

import numpy as np
import shapely

from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: Gauss's rule along a stretch of an edge, and along a short one: of that span in u, at most.
_GAUSS, _FEW = np.polynomial.legendre.leggauss(10), np.polynomial.legendre.leggauss(3)
_SHORT = 0.25
#: So many places times edges are taken at once: what is worked on stays near the processor.
_AT_ONCE = 16_000
#: The weights of a polygon's points add up to its area within this share of it.
_CLOSURE = 1e-9


def spread_nodes(outline: shapely.Geometry, *, count: int) -> tuple[FloatArray, FloatArray]:
    """
    Points and weights that integrate smooth functions over a polygon.

    Parameters
    ----------
    outline : shapely polygon or multipolygon
        m.
    count : int
        About how many points, for a plain shape; never fewer.

    Returns
    -------
    places : (k, 2) array of float
        Easting, northing, m.
    weights : (k,) array of float
        m²; they add up to the polygon's area.

    Raises
    ------
    GeometryError
        If they do not.

    Notes
    -----
    The polygon's triangles are halved at their longest side until each has at most its share of the
    area and no side much longer than that asks for; in each stands the three-point rule of degree 2
    with inner points, (2/3, 1/6, 1/6): Strang and Fix (1973), from memory; that it is exact for
    squares is held by ``tests/unit/test_quadrature.py``.
    """
    longest = 1.6 * float(np.sqrt(6 * outline.area / count))
    triangles = triangulate_polygon(outline)
    while True:
        sides = np.hypot(*np.moveaxis(np.roll(triangles, -1, axis=1) - triangles, 2, 0))
        is_long = sides.max(axis=1) > longest
        if not is_long.any():
            break
        turn = (np.argmax(sides[is_long], axis=1)[:, None] + np.arange(3)) % 3
        first, second, third = np.moveaxis(
            np.take_along_axis(triangles[is_long], turn[..., None], axis=1), 1, 0
        )
        middle = (first + second) / 2
        halves = [np.stack([first, middle, third], 1), np.stack([middle, second, third], 1)]
        triangles = np.concatenate([triangles[~is_long], *halves])
    share = np.full((3, 3), 1 / 6) + np.eye(3) / 2
    places = np.einsum("ij,tjk->tik", share, triangles).reshape(-1, 2)
    weights = np.repeat(plan_area(triangles) / 3, 3)
    if abs(weights.sum() - outline.area) > _CLOSURE * outline.area:
        raise GeometryError(
            "The points of the interval stand for {} of {}: please report this outline."
        ).measuring(
            Measure(float(weights.sum()), Kind.EXACT_AREA), Measure(outline.area, Kind.EXACT_AREA)
        )
    return places, weights


def spread_cells(
    outline: shapely.Geometry, *, count: int, bearing: float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """
    Middles and areas of a lattice's cells within a polygon.

    Parameters
    ----------
    outline : shapely polygon or multipolygon
        m.
    count : int
        About how many cells.
    bearing : float
        Direction of the lattice's rows, radians from east.

    Returns
    -------
    places : (k, 2) array of float
        Centre of what each cell holds of the polygon, row by row, m.
    areas : (k,) array of float
        m²; they add up to the polygon's area.

    Notes
    -----
    For functions that are not smooth, or not the same from run to run: no choice hangs on the last
    digit of a coordinate, as the diagonals of `spread_nodes`' triangles do.
    """
    middle = shapely.get_coordinates(outline.centroid)
    cos, sin = np.cos(bearing), np.sin(bearing)
    turn = np.array([[cos, -sin], [sin, cos]])
    turned = shapely.transform(outline, lambda corners: (corners - middle) @ turn)
    west, south, east, north = turned.bounds
    side = float(np.sqrt(outline.area / count))
    columns, rows = (
        max(1, int(np.ceil(span / side - 1e-6))) for span in (east - west, north - south)
    )
    lines, posts = np.linspace(west, east, columns + 1), np.linspace(south, north, rows + 1)
    row, column = np.divmod(np.arange(rows * columns), columns)
    cells = shapely.box(lines[column], posts[row], lines[column + 1], posts[row + 1])
    held = shapely.intersection(cells, turned)
    areas = shapely.area(held)
    is_held = areas > _CLOSURE * outline.area
    areas = areas[is_held]
    centres = shapely.get_coordinates(shapely.centroid(held[is_held]))
    return middle + centres @ turn.T, areas * (outline.area / areas.sum())


def integrate_radial(
    outline: shapely.Geometry,
    places: FloatArray,
    within: Callable[[FloatArray], FloatArray],
    *,
    reach: float,
) -> FloatArray:
    r"""
    Integral over a polygon of a function of the distance from each of some places.

    Parameters
    ----------
    outline : shapely polygon or multipolygon
        m; may have holes.
    places : (n, 2) array of float
        m; inside or outside.
    within : callable
        :math:`G(r) = \int_0^r f(\rho)\,\rho\,d\rho` of the function :math:`f`, elementwise.
    reach : float
        Distance over which :math:`f` changes, m: the rule is refined there.

    Returns
    -------
    (n,) array of float
        :math:`\int_P f(|x - p|)\,dx` for each place p.

    Notes
    -----
    In polar coordinates about p the integral is :math:`\oint G(r)\,d\theta` along the edges. On an
    edge at distance d, :math:`t = d \sinh u` along it gives :math:`r = d \cosh u` and
    :math:`d\theta = du / \cosh u`, which Gauss's rule takes well however near the edge is; of an
    edge that is far for its length, as chords of arcs are, it takes :math:`d\theta = d\,dt / r^2`
    itself. Derived here; held against scipy's quadrature in ``tests/unit/test_quadrature.py``.
    """
    edges = _edges(outline)
    step = max(_AT_ONCE // len(edges[0]), 1)
    parts = [
        _integrate_radial(edges, places[at : at + step], within, reach)
        for at in range(0, len(places), step)
    ]
    return np.concatenate([*parts, np.empty(0)])


def _integrate_radial(
    edges: tuple[FloatArray, FloatArray],
    places: FloatArray,
    within: Callable[[FloatArray], FloatArray],
    reach: float,
) -> FloatArray:
    """Integrate from so few places that they and the edges are held in memory at once."""
    start, end = edges
    along = end - start
    length = np.hypot(*along.T)
    along = along / length[:, None]
    east, north = (start[:, axis] - places[:, axis, None] for axis in (0, 1))  # (n, m)
    distance = along[:, 0] * north - along[:, 1] * east  # left of the edge: negative
    first = east * along[:, 0] + north * along[:, 1]
    nearest = np.clip(0, first, first + length)
    is_far = length <= _SHORT * np.hypot(distance, nearest)
    total = np.zeros(first.shape)
    for at, weight in zip(*_FEW, strict=True) if is_far.any() else ():
        squared = np.square(distance) + np.square(first + length * (at + 1) / 2)
        squared[~is_far] = 1.0  # done below
        total += weight / squared * within(np.sqrt(squared))
    total *= np.where(is_far, -distance * length / 2, 0.0)
    place, edge = np.nonzero(~is_far)
    total[place, edge] = _integrate_near(
        distance[place, edge], first[place, edge], length[edge], within=within, reach=reach
    )
    return np.asarray(total.sum(axis=1))


def _integrate_near(
    distance: FloatArray,
    first: FloatArray,
    length: FloatArray,
    *,
    within: Callable[[FloatArray], FloatArray],
    reach: float,
) -> FloatArray:
    """Integrate along edges at signed distances, which begin at `first` from the place's foot."""
    # A place on an edge's line sees it under no angle; the tiny distance only avoids 0/0.
    gap = np.maximum(np.abs(distance), 1e-9 * reach)
    from_, to = np.arcsinh(first / gap), np.arcsinh((first + length) / gap)
    bend = np.arccosh(np.maximum(reach / gap, 1.0))
    cuts = np.stack([from_, -bend, np.zeros_like(bend), bend, to], axis=-1)
    cuts = np.clip(cuts, from_[..., None], to[..., None])
    lower, span = cuts[..., :-1], np.diff(cuts, axis=-1)
    total = np.zeros(len(gap))
    for (at, weight), is_meant in (
        (_FEW, (span > 0) & (span <= _SHORT)),
        (_GAUSS, span > _SHORT),
    ):
        pair, part = np.nonzero(is_meant)
        length_in_u = span[pair, part]
        stretch = np.cosh(lower[pair, part][:, None] + length_in_u[:, None] * (at + 1) / 2)
        seen = within(gap[pair][:, None] * stretch) / stretch
        value = (seen @ weight) * length_in_u / 2
        total += np.bincount(pair, weights=value, minlength=len(gap))
    return np.where(np.abs(distance) > 1e-12 * reach, -np.sign(distance), 0.0) * total


def _edges(outline: shapely.Geometry) -> tuple[FloatArray, FloatArray]:
    """Start and end of each edge, the polygon to the left."""
    starts, ends = [], []
    for part in shapely.get_parts(outline):
        for ring in shapely.get_rings(shapely.orient_polygons(part)):
            corners = shapely.get_coordinates(ring)
            is_long = np.hypot(*np.diff(corners, axis=0).T) > 0
            starts.append(corners[:-1][is_long])
            ends.append(corners[1:][is_long])
    return np.concatenate(starts), np.concatenate(ends)
