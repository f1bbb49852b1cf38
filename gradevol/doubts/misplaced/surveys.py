"""Surveys that miss the slab: the error, and a remark where a slip looks likely."""

import numpy as np
import shapely

from gradevol.doubts.misplaced.causes import Places, name_cause, say_extent, share_fitting
from gradevol.files.sources import CodedOutline, OutlineFile
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES, NAMES
from gradevol.job import Job
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

#: A survey that covers so much of the slab fits it; and one that by so much covers more of it, with
#: so many more of its shots on it, fits it better.
_WELL, _MORE = 0.95, 0.05
#: What one of the two feet is mixed up with.
_OTHER_FOOT = {"ft": "us-ft", "us-ft": "ft"}


def explain_mismatch(
    job: Job, survey: Survey, slab: Slab, coverage: float, *, retired: int = 0
) -> InputError:
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
    retired : int
        Shots that rechecks have retired.

    Returns
    -------
    InputError
        With the extents of both, and a likely cause where one fits: northing and easting
        swapped, another unit, or another coordinate system.
    """
    met = f"covers {100 * coverage:.0f} % of the slab" if coverage else "does not meet the slab"
    points = survey.points + survey.origin
    mixed = (
        (points[:, [2, 1]], "Easting and elevation"),
        (points[:, [0, 2]], "Northing and elevation"),
        (points[:, [1, 2]], "Northing, easting and elevation"),
        (points[:, [2, 0]], "Northing, easting and elevation"),
    )
    base = Places(points[:, :2], "base", job.base.source.unit, "base", mixed)
    edge = slab.edge + survey.origin[:2]
    cause = name_cause(base, edge, edge_unit=unit_of_edge(job), coverage=coverage)
    remedy = (
        "Shoot the rest of the base, check that both are in one coordinate system and unit, or "
        "set base.allow_gaps = true to take the base beyond the shots to be as far off the drawing "
        "as at the nearest of them"
    )
    if retired:
        met += f" after base.rechecks retired {retired} of its shots"
        remedy = f"Make the radius or the outline of base.rechecks smaller. {remedy}"
    if survey.grain is not None and survey.grain.has_others:
        met += " by the classes that were kept of its cloud"
        remedy = f"Name those of the base in base.classes, or set base.ground = true. {remedy}"
    where = (
        f"its points lie within {say_extent(base.plan, job)}, the slab within "
        f"{say_extent(edge, job)} ({job.units.length})"
    )
    hull = shapely.MultiPoint(survey.points[:, :2]).convex_hull
    if survey.grain is not None and hull.intersection(slab.outline).area > slab.area / 2:
        where = "the rest is holes in the scan, as where it shows the forms alone"
        cause = ""  # they meet as they are
    return InputError(
        f"the survey {met}: {where}",
        remedy=cause or remedy,
        path=job.path,
    )


def refuse_rechecks_elsewhere(job: Job, survey: Survey, later: Survey) -> None:
    """
    Refuse later shots that lie off the first, farther than those reach.

    Parameters
    ----------
    job : Job
    survey, later : Survey
        The first epoch and the second.

    Raises
    ------
    InputError
        With the extents of both, and whether northing and easting look swapped.
    """
    first = survey.points[:, :2] + survey.origin[:2]
    second = later.points[:, :2] + later.origin[:2]
    hull = shapely.MultiPoint(first).convex_hull
    reach = float(np.hypot(*np.ptp(first, axis=0)))
    if shapely.distance(shapely.MultiPoint(second), hull) <= reach:
        return
    swapped = shapely.distance(shapely.MultiPoint(second[:, ::-1]), hull) == 0
    raise InputError(
        f"the shots of base.rechecks lie far off the first: within {say_extent(second, job)}, the "
        f"first within {say_extent(first, job)} ({job.units.length})",
        remedy="Northing and easting look swapped: check base.rechecks.columns"
        if swapped
        else "Check that both are in one coordinate system and unit",
        path=job.path,
    )


def remark_on_fit(job: Job, survey: Survey, slab: Slab, coverage: float) -> tuple[Note, ...]:
    """
    Remark on shots that would cover far more of the slab with a slip put right.

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
    tuple of Note
        Code ``survey-fits-otherwise``: northing and easting swapped, or the two feet mixed.
    """
    if coverage > _WELL or not survey.ids:
        return ()
    plan = survey.points[:, :2] + survey.origin[:2]
    ring = shapely.Polygon(slab.edge + survey.origin[:2])
    slips = [(plan[:, ::-1], "northing and easting were swapped", "base.columns and slab.edge")]
    for unit, whose, key, power in (
        (job.base.source.unit, "they were", "base.units", 1),
        (unit_of_edge(job), "slab.edge was", "slab.edge", -1),
    ):
        if other := _OTHER_FOOT.get(unit):
            words = f"{whose} in {NAMES[other]} instead of {NAMES[unit]}"
            factor = (METRES[other] / METRES[unit]) ** power
            slips.append((plan * factor, words, f"units and {key}"))
    for moved, words, where in slips:
        share = share_fitting(moved, ring)
        # shots that end short of the forms cover no more; but then more of them are on the slab
        more = float(_is_on(moved, ring).mean() - _is_on(plan, ring).mean())
        if share > coverage + _MORE and (share > _WELL or more > _MORE):
            text = (
                f"The shots cover {100 * coverage:.0f} % of the slab, and would cover "
                f"{100 * share:.0f} % if {words}: check {where}."
            )
            return (Note("survey-fits-otherwise", text),)
    return ()


def _is_on(plan: FloatArray, ring: shapely.Polygon) -> BoolArray:
    return shapely.intersects_xy(ring, plan[:, 0], plan[:, 1])


def unit_of_edge(job: Job) -> str:
    """Unit in which the numbers of the slab's edge were read."""
    edge = job.slab.edge
    if isinstance(edge, CodedOutline):
        return edge.shots.unit
    return edge.unit if isinstance(edge, OutlineFile) else job.unit
