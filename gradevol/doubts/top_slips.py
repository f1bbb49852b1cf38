"""Slips in the points that a top is drawn by."""

import numpy as np
import shapely

from gradevol.doubts.raised import ENOUGH_SHOTS, RAISED, raise_each
from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.planes import fit_plane, plane_level
from gradevol.geometry.spread import robust_spread, spread_about_median
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError, InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.job import Job
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Design, Measured, Plane, Top, build_top, name_parts
from gradevol.site.trench import over_design

#: A point that is off the line through those beside it by more than this, m, and by so many times
#: what any other is, is a slip. Common practice, no source.
LEAST_SLIP, SLIP_TIMES = 0.25, 10.0
#: Fewer points show no slip.
_FEWEST = 4
#: Rise to run of a slab: no more, along a line that draws it or down a plane.
STEEPEST = 1.0
#: One point explains how a base is off the top where it is off by more than this, m, and by so many
#: times the spread that is left. Common practice, no source.
LEAST_POINT, SPREADS = 0.05, 5.0
#: And all but this share of the shots are nearer than the point is off by so many times: a base
#: that leaves the top elsewhere too is not explained by one point. Common practice, no source.
_MOSTLY, _WORST_TIMES = 0.9, 3.0
#: One shot of a measured top is a slip where the slab is off there by more than this, m, and by so
#: many times what it is at any other. Common practice, no source.
LEAST_SHOT, TIMES_NEXT = 0.012, 2.0
#: Fewer shots on the slab tell nothing of it; more than these tell no more.
_SHOTS, _ENOUGH = 8, 500
#: A shot follows a point that moves it by more than this share. Of fewer than four that do it must
#: be off by so many times more, and fewer than three may be off by themselves. Tried on invented
#: slabs: of slips 46 % are named, where it was 22 %, and of bases with one hole or hump 2 %.
_TELLING, _FOLLOWING, _OF_FEW = 0.25, 3, 2.0


def refuse_top_slips(job: Job, design: Design) -> None:
    """
    Refuse a top of which one point stands far off the line that the others make, or a steep one.

    Raises
    ------
    InputError
        It names the point. Ruled through, it would make rulings without end.
    """
    for name, part in name_parts(design):
        if isinstance(part, Between):
            for number, line in enumerate((part.first, part.second), start=1):
                _refuse_line(job, line, f"line {number} of {name}.between")
        elif isinstance(part, Plane) and np.hypot(*fit_plane(part.points)[0][1:]) > STEEPEST:
            raise InputError(
                f"the plane through the points of {name}.plane is steeper than 1 in 1, and no slab "
                "is as steep",
                remedy="Look for a wrong digit in their elevations, and for points too near "
                "together",
                path=job.path,
            )


def _refuse_line(job: Job, line: FloatArray, name: str) -> None:
    if len(line) < _FEWEST:
        run, rise = np.hypot(*np.diff(line[:, :2], axis=0).T), np.abs(np.diff(line[:, 2]))
        steep = np.flatnonzero(rise > STEEPEST * run)
        if len(steep):
            at = int(steep[0])
            raise InputError(
                f"from point {at + 1} to point {at + 2} of {name} the top rises or falls {{}} in "
                "{}, and no slab is as steep",
                remedy="Look for a wrong digit in one of them",
                path=job.path,
            ).measuring(Measure(float(rise[at]), Kind.LEVEL), Measure(float(run[at]), Kind.TAPE))
        return
    slip = _find_slip(line)
    if slip is None:
        return
    at, off = slip
    raise InputError(
        f"point {at + 1} of {name} stands {{}} {'above' if off > 0 else 'below'} the line through "
        "the points beside it, and no other point of it is nearly as far off",
        remedy="Look for a wrong digit; where the edge really steps, give a point on either side "
        "of the step",
        path=job.path,
    ).measuring(Measure(abs(off), Kind.LEVEL))


def remark_on_top_points(survey: Survey, slab: Slab, design: Design, top: Top) -> tuple[Note, ...]:
    """
    Remark on one point or panel that draws the top, where the base follows it but for its level.

    Parameters
    ----------
    survey : Survey
    slab : Slab
    design : Design
    top : Top
        As built of it.

    Returns
    -------
    tuple of Note
        Code ``top-point-slip``: few points, or a panel, show no slip by themselves, but a base that
        was graded to the drawing does.
    """
    if alone := _remark_on_planes(design):
        return alone
    points = survey.points[shapely.intersects_xy(slab.outline, *survey.points[:, :2].T)]
    if len(points) < _SHOTS:
        return ()
    points = points[:: -(-len(points) // _ENOUGH)]
    over = over_design(points, top.surface, slab)
    if np.abs(over - np.median(over)).max() < LEAST_POINT / 2:  # no one point is far off
        return ()
    found: list[tuple[float, float, float, str]] = []
    for each in raise_each(design):
        influence = nearest_level(build_top(each.raised, slab).surface.corners, points[:, :2])
        influence /= RAISED
        following = np.count_nonzero(influence > _TELLING)
        if following < _FOLLOWING:
            continue  # so few shots may be off by themselves
        columns = np.column_stack([influence, np.ones(len(points))])
        share, whole = np.linalg.lstsq(columns, over, rcond=None)[0]
        rest = over - share * influence
        left = spread_about_median(rest)
        # the one is blind to a slip that reaches few shots, the other to any where a shot is astray
        does_explain = any(of(rest) < of(over) / 2 for of in (spread_about_median, np.std))
        worst = float(np.quantile(np.abs(rest - np.median(rest)), _MOSTLY))
        times = 1.0 if following >= _FEWEST else _OF_FEW
        is_far = abs(share) > times * max(LEAST_POINT, SPREADS * left, _WORST_TIMES * worst)
        if is_far and does_explain and each.allows(float(share)):
            # among those that explain as much, the one that leaves the base where it is drawn
            found.append((round(left, 3), abs(float(whole)), -float(share), each.name))
    if not found:
        return ()
    _, _, off, name = min(found)
    text = (
        f"The base follows the top as if {name} stood {{}} {'lower' if off > 0 else 'higher'}: "
        "look for a wrong digit there, before concrete is ordered for it."
    )
    return (Note("top-point-slip", text, (Measure(abs(off), Kind.LEVEL),)),)


def _remark_on_planes(design: Design) -> tuple[Note, ...]:
    """Remark on one point of a plane by least squares, without which the others lie in a plane."""
    for name, part in name_parts(design):
        if not isinstance(part, Plane) or len(part.points) <= _FEWEST:
            continue
        for at in range(len(part.points)):
            rest = np.delete(part.points, at, axis=0)
            try:
                coefficients, left = fit_plane(rest)
            except GeometryError:
                continue
            off = float(part.points[at, 2] - plane_level(coefficients, part.points[at, :2]))
            if abs(off) > max(LEAST_POINT, SLIP_TIMES * float(np.abs(left).max())):
                text = (
                    f"Point {at + 1} of {name}.plane stands {{}} "
                    f"{'above' if off > 0 else 'below'} the plane through the others: look for a "
                    "wrong digit there, before concrete is ordered for it."
                )
                return (Note("top-point-slip", text, (Measure(abs(off), Kind.LEVEL),)),)
    return ()


def remark_on_top_shots(design: Design, field: ThicknessField) -> tuple[Note, ...]:
    """
    Remark on one shot of a measured top at which alone the slab is thinner or thicker.

    Returns
    -------
    tuple of Note
        Code ``top-shot-off``.
    """
    if not isinstance(design, Measured) or len(design.points) < ENOUGH_SHOTS:
        return ()
    thickness = np.concatenate([field.corners, field.thickness[..., None]], axis=2)
    found = nearest_level(thickness, design.points[:, :2])
    usual = float(np.median(found))
    off = found - usual
    worst, next_worst = np.argsort(-np.abs(off), kind="stable")[:2]
    limit = max(LEAST_SHOT, SPREADS * robust_spread(off), TIMES_NEXT * abs(off[next_worst]))
    if abs(off[worst]) <= limit:
        return ()
    name = escape(design.names[worst]) if design.names else ""
    text = (
        f"At {f'shot {name}' if name else 'one shot'} of the top the slab is {{}} "
        f"{'thicker' if off[worst] > 0 else 'thinner'} than at the others ({{}}): a wrong digit "
        "there, or a spot of the base?"
    )
    measures = [Measure(float(each), Kind.THICKNESS) for each in (abs(off[worst]), usual)]
    place = (float(design.points[worst, 0]), float(design.points[worst, 1]))
    return (Note("top-shot-off", text, tuple(measures), places=(place,)),)


def _find_slip(line: FloatArray) -> tuple[int, float] | None:
    """Which point of a line is a slip, and how far it is off, m."""
    if len(line) < _FEWEST:
        return None
    off = [_stand_off(line, at) for at in range(len(line))]
    worst = int(np.argmax(np.abs(off)))
    # an end that is reckoned from a slip looks as far off as the slip two points on
    for at in range(max(worst - 2, 0), min(worst + 3, len(line))):
        rest = np.delete(line, at, axis=0)
        others = max(abs(_stand_off(rest, other)) for other in range(len(rest)))
        if abs(off[at]) > max(LEAST_SLIP, SLIP_TIMES * others):
            return at, off[at]
    return None


def _stand_off(line: FloatArray, at: int) -> float:
    """How far a point is above the line through those on either side, or the two next to an end."""
    one, two = (at - 1, at + 1) if 0 < at < len(line) - 1 else ((1, 2) if at == 0 else (-2, -3))
    along = line[two, :2] - line[one, :2]
    length = float(along @ along)
    share = float((line[at, :2] - line[one, :2]) @ along) / length if length > 0 else 0.0
    return float(line[at, 2] - line[one, 2] - share * (line[two, 2] - line[one, 2]))
