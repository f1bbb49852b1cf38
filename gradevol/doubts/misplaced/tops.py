"""Tops that do not reach over the slab, or are drawn by points far off it."""

from collections.abc import Iterator

import numpy as np
import shapely

from gradevol.doubts.misplaced.causes import Places, name_cause, say_extent, share_covered
from gradevol.doubts.misplaced.surveys import explain_mismatch, unit_of_edge
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.job import Job, TopDesign, TopFile, TopPanels, TopShots
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Design, Faces, Fall, Measured, Panels, Plane, name_parts

#: A top whose points cover less of its part of the slab than this does not meet it: it touches.
_TOUCHES = 1e-6
#: A plane whose points lie off the slab by this many times its length is far off.
_FAR = 3.0
#: One of several points that draw a plane or rulings is far off by so many times its length.
_FAR_POINT = 1.0
#: Nearer than this many times its length they are on the slab, or tie it to what is beside it.
_AT = 0.1


def refuse_top_elsewhere(job: Job, survey: Survey, slab: Slab, design: Design) -> None:
    """
    Refuse measured points or faces of the top that do not reach over the slab.

    Parameters
    ----------
    job : Job
    survey : Survey
    slab : Slab
        About the survey's origin.
    design : Design
        The top, about the same origin.

    Raises
    ------
    InputError
        With the extents of both, and a likely cause where one fits. Where the survey misses the
        slab as well, it is the slab that lies elsewhere, and the error is that of the survey.
    """
    for part, drawn, area, name in _parts_of_top(job.top, design, slab):
        points = _points_of(part)
        if isinstance(part, Plane | Fall):
            _refuse_drawn_elsewhere(job, survey, part, area, name)
        if points is None or share_covered(points[:, :2], area) > _TOUCHES:
            continue
        top = _place_top_points(job, drawn, points[:, :2] + survey.origin[:2], name)
        if shapely.MultiPoint(points[:, :2]).convex_hull.area == 0:
            raise InputError(
                f"all points of {top.key} lie on one line in plan, which makes no surface",
                remedy="Measure the top on both sides of it, or say how it falls: top.through",
                path=job.path,
            )
        if share_covered(survey.points[:, :2], slab.outline) <= _TOUCHES:
            raise explain_mismatch(job, survey, slab, 0.0)
        edge = shapely.get_coordinates(area.exterior) + survey.origin[:2]
        what = "the slab" if name == "top" else "its panel"
        remedy = (
            "Measure the top over the slab itself, and check that both are in one coordinate "
            "system and unit"
        )
        raise InputError(
            f"{top.key} does not reach over {what}: its points lie within "
            f"{say_extent(top.plan, job)}, {what} within {say_extent(edge, job)} "
            f"({job.units.length})",
            remedy=name_cause(top, edge, edge_unit=unit_of_edge(job), coverage=0.0) or remedy,
            path=job.path,
        )


def _parts_of_top(
    drawn: TopDesign, design: Design, slab: Slab
) -> list[tuple[Design, object, shapely.Polygon, str]]:
    """Each design of the top as placed, as the job has it, the area it is for, and its name."""
    if not isinstance(design, Panels) or not isinstance(drawn, TopPanels):
        return [(design, drawn, shapely.Polygon(slab.edge), "top")]
    named = zip(name_parts(design), design.panels, drawn.panels, strict=True)
    return [
        (part, told.design, shapely.Polygon(panel.edge), name)
        for (name, part), panel, told in named
    ]


def _points_of(design: Design) -> FloatArray | None:
    match design:
        case Measured(points) | Faces(points):
            return points
        case Between(first, second):
            return np.vstack([first, second])
    return None


def _place_top_points(job: Job, drawn: object, plan: FloatArray, name: str) -> Places:
    match drawn:
        case TopShots(shots):
            return Places(plan, f"{name}.shots", shots.unit, name)
        case TopFile(file):
            return Places(plan, f"{name}.surface_file", file.unit, name)
    return Places(plan, f"{name}.between", job.unit)


def _refuse_drawn_elsewhere(
    job: Job, survey: Survey, part: Plane | Fall, area: shapely.Polygon, name: str
) -> None:
    """Refuse a plane whose points lie far off, and on the slab if they are swapped."""
    plan = _drawn_at(part) + survey.origin[:2]
    ring = shapely.Polygon(shapely.get_coordinates(area.exterior) + survey.origin[:2])
    if _away(plan, ring) > _FAR and _away(plan[:, ::-1], ring) < _AT:
        key = f"{name}.plane" if isinstance(part, Plane) else f"{name}.through"
        raise InputError(
            f"{key} lies far off the slab, at {say_extent(plan, job)}, while the slab lies within "
            f"{say_extent(shapely.get_coordinates(ring), job)} ({job.units.length})",
            remedy=f"Northing and easting look swapped: check {key} and slab.edge",
            path=job.path,
        )


def _drawn_at(part: Plane | Fall) -> FloatArray:
    return part.points[:, :2] if isinstance(part, Plane) else part.through[None, :2]


def _away(plan: FloatArray, ring: shapely.Polygon) -> float:
    """How far points lie off a ring, in lengths of it."""
    return float(shapely.distance(shapely.MultiPoint(plan), ring)) / _reach(ring)


def _reach(area: shapely.Geometry) -> float:
    west, south, east, north = area.bounds
    return float(np.hypot(east - west, north - south))


def remark_on_top_elsewhere(slab: Slab, design: Design) -> tuple[Note, ...]:
    """
    Remark on a plane or rulings that are drawn by points far off the slab.

    Parameters
    ----------
    slab : Slab
    design : Design
        The top, about the same origin.

    Returns
    -------
    tuple of Note
        Code ``top-drawn-elsewhere``.
    """
    reach = _reach(slab.outline)
    away = max(
        (
            _away(_drawn_at(part), slab.outline)
            for _, part in name_parts(design)
            if isinstance(part, Plane | Fall)
        ),
        default=0.0,
    )
    if away <= _FAR:
        return _remark_on_far_point(slab, design, reach)
    text = (
        "The points that draw the top lie {} off the slab, which is {} long: a slip in the fall or "
        "in an elevation there is many times as large at the slab. Check their coordinates."
    )
    measures = (Measure(away * reach, Kind.TAPE), Measure(reach, Kind.TAPE))
    return (Note("top-drawn-elsewhere", text, measures),)


def _remark_on_far_point(slab: Slab, design: Design, reach: float) -> tuple[Note, ...]:
    """Remark on the point that lies farthest off the slab of those that draw it with others."""
    away, name = max(
        (
            (
                float(shapely.distance(slab.outline, shapely.Point(point[:2]))),
                f"Point {at} of {key}",
            )
            for key, points in _name_lines(design)
            for at, point in enumerate(points, start=1)
        ),
        default=(0.0, ""),
    )
    if away <= _FAR_POINT * reach:
        return ()
    text = (
        f"{name} lies {{}} off the slab, which is {{}} long, and the top over "
        "the slab hangs on it: look for a wrong digit in its easting and northing."
    )
    measures = (Measure(away, Kind.TAPE), Measure(reach, Kind.TAPE))
    return (Note("top-drawn-elsewhere", text, measures),)


def _name_lines(design: Design) -> Iterator[tuple[str, FloatArray]]:
    """Points that draw planes and rulings, by the key that lists them."""
    for name, part in name_parts(design):
        match part:
            case Between(first, second):
                yield f"line 1 of {name}.between", first
                yield f"line 2 of {name}.between", second
            case Plane(points):
                yield f"{name}.plane", points
