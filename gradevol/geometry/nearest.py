"""Beyond the shots: the elevation of the nearest place on the surveyed surface."""

import numpy as np
import shapely

from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import span_of_corners
from gradevol.geometry.rings import polygons_of, triangulate_polygon
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray, at_a_time

#: A surface whose levels differ by more than this at one place has a step there, m.
STEP = 0.010
#: A place nearer than this to a step may stand on either side of it, m: a rod's foot and a tape.
BESIDE = 0.080
#: Normals of two sides of the rim that differ by less are one direction, radians.
_STRAIGHT = 1e-6
#: Of so few triangles each is held against all places; of more a tree is asked.
_FEW = 32
#: A wedge at a corner of the rim is cut into parts no wider than this, radians.
_WEDGE = np.pi / 3


def extend_rim(
    points: FloatArray, ring: IntArray, reach: float
) -> tuple[FloatArray, IntArray, IntArray]:
    """
    Triangles around a convex surface, each place at the elevation of the nearest place on it.

    Parameters
    ----------
    points : (p, 3) array of float
        Points of the surface, m.
    ring : (m,) array of int
        Its convex rim, counter-clockwise. Two or three of its points may be at one place.
    reach : float
        How far out the triangles must go, m.

    Returns
    -------
    points : (p + q, 3) array of float
        The points and the new ones behind them.
    triangles : (t, 3) array of int
        The new triangles, counter-clockwise.
    held : (q,) array of int
        The point of the rim whose elevation each new point has.

    Notes
    -----
    Exact: before a side of a convex rim the nearest place is the foot of the perpendicular, so the
    elevation is linear along the side and constant across; in the wedge before a corner it is the
    corner's.
    """
    corner = points[ring]
    along = np.roll(corner, -1, axis=0)[:, :2] - corner[:, :2]
    ahead = np.arctan2(-along[:, 0], along[:, 1])  # direction of each side's outward normal
    is_one = np.hypot(along[:, 0], along[:, 1]) == 0
    for _ in range(2):
        ahead[is_one] = np.roll(ahead, 1)[is_one]
    # where rounding bends a row inwards, what lies before the ends of a short side would cross
    turn = (np.diff(ahead, prepend=ahead[-1]) + np.pi) % (2 * np.pi) - np.pi
    order = np.roll(np.arange(len(ring)), -int(np.argmax(turn)))
    ahead[order] = ahead[order[-1]] + np.maximum.accumulate(np.cumsum(turn[order]))
    behind = np.roll(ahead, 1)
    turn = (ahead - behind + np.pi) % (2 * np.pi) - np.pi
    reach = reach / np.cos(_WEDGE / 2)

    outer, held, first, last = [], [], [], []
    count = len(points)
    triangles = []
    for at, (index, start, angle) in enumerate(zip(ring, behind, turn, strict=True)):
        if angle > _STRAIGHT:
            bearings = start + angle * np.linspace(0, 1, int(np.ceil(angle / _WEDGE)) + 1)
        else:
            bearings = np.array([start + angle / 2])
        first.append(count)
        for step, bearing in enumerate(bearings):
            offset = reach * np.array([np.cos(bearing), np.sin(bearing), 0])
            outer.append(corner[at] + offset)
            held.append(index)
            if step:
                triangles.append((index, count - 1, count))
            count += 1
        last.append(count - 1)
    for at, index in enumerate(ring):
        if is_one[at]:
            continue
        after = (at + 1) % len(ring)
        triangles.append((index, last[at], first[after]))
        triangles.append((index, first[after], ring[after]))
    return np.vstack([points, outer]), np.array(triangles), np.array(held)


def nearest_level(corners: FloatArray, places: FloatArray) -> FloatArray:
    """
    Elevation of the nearest place on a surface.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Its triangles, m.
    places : (n, 2) array of float
        Where it is asked for, m.

    Returns
    -------
    (n,) array of float
        Elevation, m; within a triangle, that triangle's own.
    """
    # all at once where a tree must be made of the triangles
    parts = at_a_time(len(places)) if len(corners) <= _FEW else (slice(None),)
    level = np.empty(len(places))
    for some in parts:
        parent, foot = find_nearest(corners, places[some])
        level[some] = level_in(corners, parent, foot[:, None, :])[:, 0]
    return level


def has_step(corners: FloatArray) -> bool:
    """Whether triangles stand at two levels at one place: if any do, some do at a corner."""
    return bool(stands_on_step(corners, corners[..., :2].reshape(-1, 2)).any())


def stands_on_step(corners: FloatArray, places: FloatArray) -> BoolArray:
    """Whether triangles (t, 3, 3) stand at two levels at each of (n, 2) places, m: (n,)."""
    faces, points = shapely.polygons(corners[..., :2]), shapely.points(places)
    place, face = shapely.STRtree(faces).query(points, predicate="dwithin", distance=ONE_PLACE)
    # beside a splinter its plane may be anywhere: its corners are where it is
    least, most = span_of_corners(corners[face, :, 2])
    level = level_in(corners, face, places[place, None])[:, 0].clip(least, most)
    low, high = np.full(len(places), np.inf), np.full(len(places), -np.inf)
    np.minimum.at(low, place, level)
    np.maximum.at(high, place, level)
    stands: BoolArray = high - low > STEP
    return stands


def take_side(
    corners: FloatArray, places: FloatArray, level: FloatArray, like: FloatArray
) -> FloatArray:
    """
    Levels at places beside a step, on the side that is most like others.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles of a surface, m.
    places : (n, 2) array of float
        m.
    level : (n,) array of float
        From `nearest_level`, m.
    like : (n,) array of float
        Where the surface steps beside a place, within `BESIDE`, the one of its levels is taken that
        is nearest to this, m: a shot at the edge of a step may stand on either side of it.

    Returns
    -------
    (n,) array of float
        m.
    """
    faces, points = shapely.polygons(corners[..., :2]), shapely.points(places)
    place, face = shapely.STRtree(faces).query(points, predicate="dwithin", distance=BESIDE)
    foot = shapely.get_coordinates(
        shapely.get_point(shapely.shortest_line(faces[face], points[place]), 0)
    )
    other = level_in(corners, face, foot[:, None, :])[:, 0]
    off = np.abs(level - like)
    is_better = (np.abs(other - level[place]) > STEP) & (np.abs(other - like[place]) < off[place])
    place, other = place[is_better], other[is_better]
    order = np.argsort(
        -np.abs(other - like[place]), kind="stable"
    )  # the best comes last, and stays
    taken = level.copy()
    taken[place[order]] = other[order]
    return taken


def find_nearest(corners: FloatArray, places: FloatArray) -> tuple[IntArray, FloatArray]:
    """
    Nearest place on a surface in plan.

    Parameters
    ----------
    corners : (t, 3, 2 or more) array of float
        Its triangles, m.
    places : (n, 2) array of float
        Where it is asked for, m.

    Returns
    -------
    parent : (n,) array of int
        The triangle that holds the nearest place.
    foot : (n, 2) array of float
        That place, m.
    """
    parent, foot = _find_holder(corners, places), places.copy()
    beyond = np.flatnonzero(parent < 0)
    if len(beyond):
        faces, points = shapely.polygons(corners[..., :2]), shapely.points(places[beyond])
        _, nearest = shapely.STRtree(faces).query_nearest(points, all_matches=False)
        line = shapely.shortest_line(faces[nearest], points)
        parent[beyond] = nearest
        foot[beyond] = shapely.get_coordinates(shapely.get_point(line, 0))
    return parent, foot


def _find_holder(corners: FloatArray, places: FloatArray) -> IntArray:
    """Triangle that holds each place, where there are few triangles: (n,); -1 of others."""
    holder = np.full(len(places), -1)
    if len(corners) > _FEW:
        return holder
    for number, triangle in enumerate(corners[..., :2]):
        open_ = np.flatnonzero(holder < 0)
        along = np.roll(triangle, -1, axis=0) - triangle
        east, north = places[open_].T
        sides = [
            dx * (north - y) - dy * (east - x)
            for (x, y), (dx, dy) in zip(triangle, along, strict=True)
        ]
        turn = along[0, 0] * along[1, 1] - along[0, 1] * along[1, 0]
        if turn != 0:
            is_held = np.minimum(np.minimum(*sides[:2]), sides[2]) >= 0
            holder[open_[is_held]] = number
    return holder


def fill_gaps(
    corners: FloatArray, covered: shapely.Geometry, outline: shapely.Geometry, *, step: float
) -> FloatArray:
    """
    Triangles for what a surface leaves of an outline.

    Beyond its rim each place is held at the elevation of the nearest place on the surface. A hole
    is spanned from its border, so that a plane with a hole stays a plane.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles of the surface, m; they don't overlap.
    covered : shapely polygon or multipolygon
        What they cover (`cover`).
    outline : shapely polygon or multipolygon
        What must be covered.
    step : float
        What lies beyond is cut along a grid of squares of this side, m.

    Returns
    -------
    (k, 3, 3) array of float
        Triangles, counter-clockwise; those of a hole may reach out of the outline. Corners beyond
        the rim are exact; between them, `step` apart at most, the elevation is linear.
    """
    filled = shapely.union_all(shapely.polygons(shapely.get_exterior_ring(polygons_of(covered))))
    holes = polygons_of(shapely.difference(filled, covered))
    beyond = polygons_of(shapely.difference(outline, filled))
    least = 1e-12 * outline.area
    plan = [
        triangulate_polygon(
            holes[shapely.intersects(holes, outline) & (shapely.area(holes) > least)]
        ),
        triangulate_polygon(_squares(beyond[shapely.area(beyond) > least], step)),
    ]
    made = np.concatenate(plan)
    if len(made) == 0:
        return np.empty((0, 3, 3))
    level = nearest_level(corners, made.reshape(-1, 2)).reshape(-1, 3, 1)
    return np.concatenate([made, level], axis=2)


def _squares(parts: AnyArray, step: float) -> AnyArray:
    """Polygons cut along a grid that starts at their south-west corner."""
    if len(parts) == 0:
        return parts
    area = shapely.multipolygons(parts)
    west, south, east, north = area.bounds
    columns = np.arange(int((east - west) / step) + 1)[:, None] * step + west
    rows = np.arange(int((north - south) / step) + 1) * step + south
    squares = shapely.box(columns, rows, columns + step, rows + step).ravel()
    shapely.prepare(area)
    return shapely.intersection(area, squares[shapely.intersects(area, squares)])
