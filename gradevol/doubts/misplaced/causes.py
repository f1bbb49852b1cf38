"""Causes: the slip under which points in plan would meet the slab."""

from dataclasses import dataclass

import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES, NAMES
from gradevol.job import Job

#: Extents whose lengths around differ by no more than this factor are about as large.
_AS_LARGE = 2.0
#: Units whose ratio differs from 1 by no more than this are the two feet: no slip in plan.
_ALIKE = 0.01


@dataclass(frozen=True, slots=True)
class Places:
    """
    Points in plan, and what a job says of them.

    Attributes
    ----------
    plan : (n, 2) array of float
        In the job's coordinates, m.
    key : str
        The key that gives them.
    unit : str
        In which they were read.
    table : str
        The table of the job whose columns and units speak of them; empty where their numbers
        stand in the job itself.
    mixed : tuple of ((n, 2) array of float, str)
        The plan that they would have if two of their columns were mixed up, and which.
    """

    plan: FloatArray
    key: str
    unit: str
    table: str = ""
    mixed: tuple[tuple[FloatArray, str], ...] = ()


def name_cause(places: Places, edge: FloatArray, *, edge_unit: str, coverage: float) -> str:
    """The slip under which the points would cover the slab; empty where none does."""
    ring, enough, table = shapely.Polygon(edge), max(0.5, coverage), places.table
    if share_fitting(places.plan[:, ::-1], ring) > enough:
        where = f"{table}.columns" if table else places.key
        return f"Northing and easting look swapped: check {where} and slab.edge"
    for plan, words in places.mixed:
        if share_fitting(plan, ring) > enough:
            return f"{words} look mixed up: check {table}.columns"
    for unit, factor in factors(places.unit):
        if share_fitting(places.plan * factor, ring, as_large=True) > enough:
            where = f"units and {table}.units" if table else "units"
            numbers = "numbers" if places.key == "base" else f"numbers of {places.key}"
            return (
                f"The {numbers} would fit the slab in {NAMES[unit]}, but were read in "
                f"{NAMES[places.unit]}: check {where}"
            )
    for unit, factor in factors(edge_unit):
        scaled = shapely.Polygon(edge * factor)
        if share_fitting(places.plan, scaled, as_large=True) > enough:
            return (
                f"The slab's edge would fit in {NAMES[unit]}, but was read in {NAMES[edge_unit]}: "
                "check units and slab.edge"
            )
    one, other = shapely.MultiPoint(places.plan).envelope, shapely.MultiPoint(edge).envelope
    sizes = sorted((one.length, other.length))
    if shapely.distance(one, other) > sizes[1] / 4 and sizes[1] <= _AS_LARGE * sizes[0]:
        return (
            "Both are about as large: is one of them in another coordinate system (datum, zone, "
            "local grid), or are its leading digits left off? Bring both into one system"
        )
    return ""


def factors(told: str) -> list[tuple[str, float]]:
    """Other units, and what numbers read in `told` grow by if they are in them."""
    factors = [(unit, metres / METRES[told]) for unit, metres in METRES.items() if unit != told]
    return [(unit, factor) for unit, factor in factors if abs(factor - 1) > _ALIKE]


def say_extent(plan: FloatArray, job: Job) -> str:
    """Ends in plan, in the job's unit."""
    shown = plan / METRES[job.units.length]
    (west, south), (east, north) = shown.min(axis=0), shown.max(axis=0)
    return f"E {west:.2f} to {east:.2f}, N {south:.2f} to {north:.2f}"


def share_covered(plan: FloatArray, ring: shapely.Geometry) -> float:
    """Share of a ring that lies within the hull of points."""
    hull = shapely.MultiPoint(plan).convex_hull
    return float(shapely.intersection(hull, ring).area / ring.area) if ring.area else 0.0


def share_fitting(plan: FloatArray, ring: shapely.Geometry, *, as_large: bool = False) -> float:
    """
    Share of a ring that lies within the hull of points; rough, for telling slips apart.

    `as_large` takes the share of both together: a survey of a third of the slab would cover it in
    a larger unit too, and reach far beyond it.
    """
    hull = shapely.MultiPoint(plan).convex_hull
    # a hull many times the slab is no fit, however well it covers it
    if ring.area == 0 or hull.area > 20 * ring.area:
        return 0.0
    shared = float(shapely.intersection(hull, ring).area)
    return shared / float(shapely.union(hull, ring).area if as_large else ring.area)
