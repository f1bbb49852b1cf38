"""The thickness field: top less base, on every piece of the slab where both are linear."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay_rows
from gradevol.geometry.nodes import OnNodes, number_used
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray, RowArray, at_a_time

#: Thicknesses that differ by no more than this are equal, m: rounding, and nothing else.
EQUAL = 1e-9
#: Pieces that are worked through at a time.
_AT_ONCE = 100_000


@dataclass(frozen=True, slots=True, repr=False)
class ThicknessField(OnNodes):
    """
    Plan triangles that tile the slab, base and top both linear on each.

    Most pieces share their corners, so these are held once, as nodes.

    Attributes
    ----------
    places : (n, 2) array of float
        Easting, northing of the nodes, m.
    thickness_at : (n,) array of float
        Top less base at the nodes, m; negative where the base stands above the top.
    base_at : (n,) array of float
        Elevation of the base at the nodes, m.
    rows : (k, 3) array of int
        The nodes at each piece's corners, counter-clockwise.
    area : (k,) array of float
        Plan area, m².
    is_surveyed : (k,) array of bool
        False where the base rests on extrapolation.
    is_trench : (k,) array of bool
        True within a thickening that the shots show as it is.
    parent : (k,) array of int
        The triangle of the base that holds the piece.
    """

    places: FloatArray
    thickness_at: FloatArray
    base_at: FloatArray
    rows: RowArray
    area: FloatArray
    is_surveyed: BoolArray
    is_trench: BoolArray
    parent: AnyArray

    def __post_init__(self) -> None:
        for name in self.__slots__:
            getattr(self, name).setflags(write=False)

    @classmethod
    def of_pieces(
        cls,
        corners: FloatArray,
        thickness: FloatArray,
        base: FloatArray,
        *,
        is_surveyed: BoolArray,
        is_trench: BoolArray,
        parent: AnyArray,
    ) -> "ThicknessField":
        """
        Field of pieces that share no corners.

        Parameters
        ----------
        corners : (k, 3, 2) array of float
            Easting, northing, counter-clockwise, m.
        thickness, base : (k, 3) array of float
            At the corners, m.
        is_surveyed, is_trench, parent : (k,) array
            As of the field.
        """
        return cls(
            places=corners.reshape(-1, 2),
            thickness_at=thickness.reshape(-1),
            base_at=base.reshape(-1),
            rows=np.arange(3 * len(corners), dtype=np.int32).reshape(-1, 3),
            area=plan_area(corners),
            is_surveyed=is_surveyed,
            is_trench=is_trench,
            parent=parent.astype(np.int32),
        )

    def take(self, pieces: AnyArray | slice) -> "ThicknessField":
        """Return some of the pieces, by their numbers, as a mask or as a slice."""
        return ThicknessField(
            self.places,
            self.thickness_at,
            self.base_at,
            self.rows[pieces],
            self.area[pieces],
            self.is_surveyed[pieces],
            self.is_trench[pieces],
            self.parent[pieces],
        )

    def with_thickness(self, thickness: FloatArray) -> "ThicknessField":
        """Return the same pieces under another top: (k, 3) thickness at their corners, m."""
        return ThicknessField.of_pieces(
            self.corners,
            thickness,
            self.base,
            is_surveyed=self.is_surveyed,
            is_trench=self.is_trench,
            parent=self.parent,
        )

    def __repr__(self) -> str:
        return f"<ThicknessField of {len(self.area):,} pieces, {self.area.sum():.1f} m²>"


def surveyed_part(field: ThicknessField) -> ThicknessField:
    """Return the pieces that lie within the survey."""
    return field if field.is_surveyed.all() else field.take(field.is_surveyed)


def slab_part(field: ThicknessField) -> ThicknessField:
    """Return the pieces beside thickenings that the shots show; all, where there are no others."""
    is_trench = field.is_trench
    return field.take(~is_trench) if is_trench.any() and not is_trench.all() else field


def split_field(field: ThicknessField) -> Iterator[ThicknessField]:
    """Pieces of a field so many at a time."""
    yield from map(field.take, at_a_time(len(field.area), _AT_ONCE))


def each_piece(
    field: ThicknessField, measure: Callable[[ThicknessField], FloatArray]
) -> FloatArray:
    """Measure each piece, so many at a time, by what gives a row for each."""
    return np.concatenate([np.empty(0), *map(measure, split_field(field))])


def find_near(field: ThicknessField, low: FloatArray, high: FloatArray) -> BoolArray:
    """Whether each piece reaches into a box from (2,) low to (2,) high, m."""
    # the sides of the box that each node is beyond, a bit each: a piece that is clear is wholly so
    beyond = np.zeros(len(field.places), np.uint8)
    for bit, (at, least, most) in enumerate(zip(field.places.T, low, high, strict=True)):
        beyond |= ((at < least) | (at > most) * np.uint8(2)) << np.uint8(2 * bit)
    one, other, third = (beyond[node] for node in field.rows.T)
    return np.asarray((one & other & third) == 0)


def cut_field(field: ThicknessField, zone: shapely.Geometry) -> ThicknessField:
    """
    Cut a field to what lies within an outline.

    Parameters
    ----------
    field : ThicknessField
    zone : shapely polygon or multipolygon
        About the same origin, m; may be empty.

    Returns
    -------
    ThicknessField
        The parts of its pieces that lie in the zone, with what the pieces hold.
    """
    faces = np.empty((0, 3, 2)) if zone.is_empty else triangulate_polygon(zone)
    if len(faces) == 0:
        return take_pieces(field, np.empty(0, np.intp), faces)
    west, south, east, north = zone.bounds
    near = field.take(find_near(field, np.array([west, south]), np.array([east, north])))
    whole, corners, owner, _ = overlay_rows(near.places, near.rows, faces)
    return _join(near.take(whole), take_pieces(near, owner[len(whole) :], corners))


def _join(first: ThicknessField, second: ThicknessField) -> ThicknessField:
    """Pieces of one field, with the nodes that they have, and then those of another."""
    used, number = number_used(first.rows, len(first.places))
    rows = [number[first.rows], second.rows + np.int32(len(used))]
    nodes = ("places", "thickness_at", "base_at")
    pieces = ("area", "is_surveyed", "is_trench", "parent")
    return ThicknessField(
        rows=np.concatenate(rows),
        **{at: np.concatenate([getattr(first, at)[used], getattr(second, at)]) for at in nodes},
        **{of: np.concatenate([getattr(first, of), getattr(second, of)]) for of in pieces},
    )


def take_pieces(field: ThicknessField, owner: IntArray, corners: FloatArray) -> ThicknessField:
    """Return pieces (n, 3, 2), each within the piece of a field that owns it (n,)."""
    used, row = np.unique(owner, return_inverse=True)  # a few pieces of a large field
    held = field.take(used)
    return ThicknessField.of_pieces(
        corners,
        level_in(np.dstack([held.corners, held.thickness]), row, corners),
        level_in(np.dstack([held.corners, held.base]), row, corners),
        is_surveyed=field.is_surveyed[owner],
        is_trench=field.is_trench[owner],
        parent=field.parent[owner],
    )
