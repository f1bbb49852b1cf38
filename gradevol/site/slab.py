"""The slab: its edge, openings, thickness, and what is cast with it."""

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np
import shapely

from gradevol.geometry.curves import divide_ring, measure_along
from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note

#: How the shots see a thickening: not at all, wholly, or as departures from the drawing.
Surveyed: TypeAlias = Literal["no", "yes", "departure"]


@dataclass(frozen=True, slots=True, eq=False)
class Thickening:
    """
    An edge beam, grade beam or pier pad.

    Attributes
    ----------
    name : str
        What to call it.
    width : float
        Width at its bottom, m (not used with `outline`).
    depth : float
        Depth of its bottom below the slab's design underside, m.
    side_slope : float
        Run per rise of its side towards the slab.
    surveyed : {"no", "yes", "departure"}
        How the shots see it.
    along : (n, 2) array of float or None
        The line it follows, m: into the slab from the line where that is its edge or an opening's,
        otherwise to both sides of it.
    sides : tuple of int
        Sides of the slab it follows, counted from 1; used instead of `along`.
    outline : (n, 2) array of float or None
        Its bottom in plan, m; used instead of `along`.
    """

    name: str
    depth: float
    width: float = 0.0
    side_slope: float = 0.0
    surveyed: Surveyed = "no"
    along: FloatArray | None = None
    sides: tuple[int, ...] = ()
    outline: FloatArray | None = None


@dataclass(frozen=True, slots=True)
class Void:
    """
    What displaces concrete.

    Attributes
    ----------
    name : str
        What to call it.
    volume : float
        Displaced, m³; negative where it adds.
    diameter : float or None
        Outside diameter, m.
    line : (n, 2 or 3) array of float or None
        Its axis, m: easting, northing, elevation; without elevation it lies on the base.
    least_cover : float or None
        Concrete that must stand over it, m.
    is_by_line : bool
        Whether it displaces by the length of its line, which the job does not state.
    """

    name: str
    volume: float
    diameter: float | None = None
    line: FloatArray | None = None
    least_cover: float | None = None
    is_by_line: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """
    The slab in plan and its thickness; all about one origin, m.

    Attributes
    ----------
    edge : (m, 2) array of float
        Places along it in the order given: its corners, and chords of its arcs. Side 1 runs from
        corner 1 to corner 2.
    openings : tuple of (k, 2) arrays of float
        Rings without concrete.
    thickness, least_thickness : float
        The design, and below what concrete is a thin spot.
    base_high, base_low : float or None
        Grading tolerance above and below the design base; None where none is stated.
    side_names, opening_names : tuple of str
        What stands at each side, and what each opening is, for the crew; empty where not given.
    side_starts : tuple of int
        Rows of `edge` at which its sides begin, from 0 on; empty: at each, all are straight.
    notes : tuple of Note
        What the readers of its outlines noticed.
    paths : tuple of (k, 2) arrays of float
        Each side with both its ends, m: two places where it is straight.
    outline : shapely geometry
        The slab in plan, its openings left out, m.
    """

    edge: FloatArray
    openings: tuple[FloatArray, ...]
    thickness: float
    least_thickness: float
    base_high: float | None = None
    base_low: float | None = None
    thickenings: tuple[Thickening, ...] = ()
    voids: tuple[Void, ...] = ()
    side_names: tuple[str, ...] = ()
    opening_names: tuple[str, ...] = ()
    side_starts: tuple[int, ...] = ()
    notes: tuple[Note, ...] = ()
    paths: tuple[FloatArray, ...] = field(init=False, repr=False)
    outline: shapely.Geometry = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if not 0 < self.least_thickness <= self.thickness:
            raise GeometryError(
                "The least thickness ({}) must be above 0 and no more than the design "
                "thickness ({})."
            ).measuring(
                Measure(self.least_thickness, Kind.EXACT_LENGTH),
                Measure(self.thickness, Kind.EXACT_LENGTH),
            )
        object.__setattr__(self, "paths", divide_ring(self.edge, self.side_starts))
        object.__setattr__(self, "outline", _make_outline(self.edge, self.openings))

    @property
    def area(self) -> float:
        """Plan area without openings, m²."""
        return float(self.outline.area)

    @property
    def corners(self) -> FloatArray:
        """Where each side begins, (s, 2), m."""
        return self.edge[list(self.side_starts)] if self.side_starts else self.edge

    @property
    def sides(self) -> FloatArray:
        """Start and end of each side, (s, 2, 2), m; for what lies between see `paths`."""
        return np.stack([self.corners, np.roll(self.corners, -1, axis=0)], axis=1)

    @property
    def lengths(self) -> FloatArray:
        """Length of each side along it, (s,), m."""
        return np.array([measure_along(path)[-1] for path in self.paths])

    def name_opening(self, number: int) -> str:
        """What an opening, counted from 1, is called."""
        given = self.opening_names[number - 1 : number]
        return given[0] if given else f"opening {number}"

    def is_straight(self, number: int) -> bool:
        """Whether a side, counted from 1, is a straight line."""
        return len(self.paths[number - 1]) == 2


def _make_outline(edge: FloatArray, openings: tuple[FloatArray, ...]) -> shapely.Geometry:
    """Slab less openings, which may cross the edge or one another."""
    outline = whole = polygon(edge, what="The slab's edge")
    for number, ring in enumerate(openings, start=1):
        opening = polygon(ring, what=f"Opening {number}")
        if not whole.intersects(opening):  # it may lie within another
            east, north = opening.representative_point().coords[0]
            raise GeometryError(
                f"Opening {number} does not lie within the slab's edge: check its coordinates.",
                place=(east, north),
            )
        outline = outline.difference(opening)
    if outline.area <= 0:
        raise GeometryError("The openings leave nothing of the slab.")
    return outline
