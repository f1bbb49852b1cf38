"""A survey that misses the slab: the error, and the slip that would explain it."""

import numpy as np
import shapely

from gradevol._types import FloatArray
from gradevol.errors import InputError
from gradevol.job import Job
from gradevol.slab import Slab
from gradevol.survey import Survey
from gradevol.units import METRES


def explain_mismatch(job: Job, survey: Survey, slab: Slab, coverage: float) -> InputError:
    """
    Make the error for a survey that covers too little of the slab.

    Parameters
    ----------
    job : Job
    survey : Survey
    slab : Slab
        About the survey's origin.
    coverage : float
        Share of the slab within the survey.

    Returns
    -------
    InputError
        With the extents of both, and a likely cause where one fits: northing and easting
        swapped, or another unit.
    """
    metres = METRES[job.units.length]

    def extent(places: FloatArray) -> str:
        shown = (places + survey.origin[:2]) / metres
        (west, south), (east, north) = shown.min(axis=0), shown.max(axis=0)
        return f"E {west:.2f} to {east:.2f}, N {south:.2f} to {north:.2f}"

    met = "does not meet the slab" if coverage == 0 else f"covers {coverage:.0%} of the slab"
    remedy = (
        "Shoot the rest of the base, check that both are in one coordinate system and unit, or "
        "set base.allow_gaps = true to hold the base level beyond the shots"
    )
    return InputError(
        f"the survey {met}: its points lie within {extent(survey.points[:, :2])}, the slab within "
        f"{extent(slab.edge)} ({job.units.length})",
        remedy=_name_cause(job, survey, slab, coverage) or remedy,
        path=job.path,
    )


def _name_cause(job: Job, survey: Survey, slab: Slab, coverage: float) -> str:
    """The slip under which the survey would cover the slab; empty where none does."""
    plan = survey.points[:, :2] + survey.origin[:2]
    edge = slab.edge + survey.origin[:2]
    if _share_covered(plan[:, ::-1], edge) > max(0.5, coverage):
        return "Northing and easting look swapped: check base.columns"
    told = job.base.source.unit
    for unit, metres in METRES.items():
        scaled = plan * (metres / METRES[told])
        if unit != told and _share_covered(scaled, edge, as_large=True) > max(0.5, coverage):
            return (
                f"The numbers would fit the slab in {unit}, but were read in {told}: check units "
                "and base.units"
            )
    return ""


def _share_covered(plan: FloatArray, edge: FloatArray, *, as_large: bool = False) -> float:
    """
    Share of a ring that lies within the hull of points; rough, for telling slips apart.

    `as_large` takes the share of both together: a survey of a third of the slab would cover it in
    a larger unit too, and reach far beyond it.
    """
    hull, ring = shapely.MultiPoint(np.asarray(plan)).convex_hull, shapely.Polygon(edge)
    # a hull many times the slab is no fit, however well it covers it
    if ring.area == 0 or hull.area > 20 * ring.area:
        return 0.0
    whole = shapely.union(hull, ring) if as_large else ring
    return float(shapely.intersection(hull, ring).area / whole.area)
