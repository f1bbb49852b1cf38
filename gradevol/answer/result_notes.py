"""Remarks: what a result must not be read without."""

from collections.abc import Iterator

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.slab_notes import remark_on_slab
from gradevol.answer.trench_notes import remark_on_trenches
from gradevol.doubts.mean_thickness import remark_on_mean
from gradevol.doubts.scatter import remark_on_scatter
from gradevol.doubts.survey_checks import Held, find_oddities
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import first_of, noun_of, verb_of
from gradevol.plan.fixes.hauling import LEAST_VOLUME
from gradevol.plan.order.parts import REST

#: Less of the slab beyond the shots than this share goes without saying.
SMALL_SHARE = 0.001
#: The means of a cloud's squares along the edge end short of it by this share of a side, at most;
#: and single points of how far apart they are.
_RIM = 1.0
#: A height less than this is told as 0, m.
_TOLD = 0.0005


def find_remarks(result: Result) -> tuple[Note, ...]:
    """Find what must be said beside the figures."""
    return (
        *remark_on_mean(
            result.field,
            result.slab,
            result.thickness.mean,
            is_metric=result.units.is_metric,
        ),
        *_foot_high(result),
        *find_oddities(Held(result.survey, result.slab, result.top, result.field)),
        *_beyond(result),
        *_far_shots(result),
        *_overlap(result),
        *_suspects(result),
        *_more_work(result),
        *remark_on_scatter(
            result.survey,
            result.slab,
            {fix.kind for fix in result.work.fixes if fix.call not in {"leave", "reshoot"}},
        ),
        *remark_on_trenches(result),
        *remark_on_slab(result),
        *_order(result),
    )


def _foot_high(result: Result) -> Iterator[Note]:
    high = result.survey.foot_high
    if not high:
        return
    text = (
        "The base is taken {} lower than it was shot (base.foot_high: the rod foot stands on the "
        "tops of the stone): the volume is larger by {}."
    )
    grown = high * result.slab.area
    yield Note("foot-high", text, (Measure(high, Kind.FINE), Measure(grown, Kind.VOLUME)))


def _order(result: Result) -> Iterator[Note]:
    delivery = result.delivery
    rest = [part for part in delivery.parts if part.name == REST]
    if rest:
        yield Note(
            "pours-leave-rest",
            "The parts that are poured on their own leave {} of the slab, which takes {}.",
            (
                Measure(rest[0].area, Kind.AREA),
                Measure(rest[0].concrete.volume, Kind.VOLUME),
            ),
        )
    order = delivery.order
    if order is None:
        return
    if not order.need.has_allowance:
        yield Note(
            "order-without-allowance",
            "Nothing for waste, settlement or short yield is in the order: the job gives none "
            "of order.waste, order.settlement and order.yield_short.",
        )
    if order.need.survey_sd is None:
        yield Note(
            "order-without-margin",
            "No margin for the survey is in the order: how much it needs is not known.",
        )


def find_note(result: Result, code: str) -> Note | None:
    """Find the first note of a code."""
    return next((note for note in result.notes if note.code == code), None)


def find_holes(result: Result) -> Note | None:
    """Find the note of holes in a scan; its first measure is what of the slab they take, m²."""
    return find_note(result, "scan-holes")


def is_rim(result: Result) -> bool:
    """Whether a cloud shows the slab out to its edge, but for what its squares end short of."""
    grain = result.survey.grain
    if grain is None:
        return False
    apart = max(grain.cell, float(np.sqrt(result.slab.area / len(result.survey.points))))
    holes = find_holes(result)
    outside = (1 - result.coverage) * result.slab.area
    outside -= holes.measures[0].value if holes else 0.0
    return bool(outside <= _RIM * apart * result.slab.outline.length)


def _beyond(result: Result) -> Iterator[Note]:
    if 1 - result.coverage <= SMALL_SHARE or is_rim(result):
        return
    yield Note(
        "beyond-survey",
        "Nobody shot {} of the slab, beyond the outermost shots; {} there is assumed: the base "
        "is taken to be as far off the drawing as at the nearest of them. Shoot out to the "
        "edge.",
        (
            Measure((1 - result.coverage) * result.slab.area, Kind.AREA),
            Measure(result.concrete.beyond_survey, Kind.VOLUME),
        ),
    )


def _far_shots(result: Result) -> Iterator[Note]:
    """Shots farther from the slab than it is long, which alone make it lie within the survey."""
    survey, outline = result.survey, result.slab.outline
    west, south, east, north = outline.bounds
    reach = float(np.hypot(east - west, north - south))
    plan = survey.points[:, :2]
    off = np.maximum(np.maximum([west, south] - plan, plan - [east, north]), 0)
    is_far = np.hypot(off[:, 0], off[:, 1]) > 0
    is_far[is_far] = shapely.distance(outline, shapely.points(plan[is_far])) > reach
    if not survey.ids or not is_far.any():
        return
    hull = shapely.MultiPoint(plan[~is_far]).convex_hull
    resting = float(shapely.difference(outline, hull).area) - (1 - result.coverage) * outline.area
    if resting <= SMALL_SHARE * outline.area:
        return
    names = [survey.name(int(index)) for index in np.flatnonzero(is_far)]
    yield Note(
        "far-shots",
        "{} of the slab rests on shots more than {} away from it "
        f"({escape(first_of(names, 4))}): check their easting and northing, and that "
        "they are on the base.",
        (Measure(resting, Kind.AREA), Measure(reach, Kind.TAPE)),
        points=tuple(names[:20]),
    )


def _overlap(result: Result) -> Iterator[Note]:
    if result.thickness.min > -_TOLD:
        return
    yield Note(
        "base-above-top",
        "The base is above the top of slab by up to {}: no concrete is counted there.",
        (Measure(-result.thickness.min, Kind.LEVEL),),
        places=(result.thickness.min_at,),
    )


def _suspects(result: Result) -> Iterator[Note]:
    if not result.suspects:
        return
    suspects = [suspect.index for suspect in result.suspects]
    names = tuple(map(result.survey.name, suspects))
    yield Note(
        "suspect-shots",
        f"{noun_of(len(names), 'Shot')} {escape(', '.join(names))} "
        f"{verb_of(len(names), 'disagree')} with the shots around: reshoot before you cut or "
        f"order{_except_marks(result)}. Nothing was left out.",
        points=names,
        places=tuple((east, north) for east, north in result.survey.points[suspects, :2].tolist()),
    )


def _except_marks(result: Result) -> str:
    names = [result.survey.name(one.index) for one in result.suspects if one.is_mark]
    if not names:
        return ""
    return f", or leave out {escape(first_of(names))} where that is a bench mark, as its name says"


def _more_work(result: Result) -> Iterator[Note]:
    work = result.work
    if not work.more:
        return
    must = f" ({work.more_must} must be put right)" * (work.more_must > 0)
    spare = min(work.left_over, work.room_beside)
    spread = " {} of what you cut fits low spots not listed." * (spare >= LEAST_VOLUME)
    yield Note(
        "fix-list-cut",
        f"The fix list has the {len(work.fixes)} spots that matter most; {work.more} more are "
        f"off their limits{must}. Work through it, then shoot and check again.{spread}",
        (Measure(spare, Kind.VOLUME),) if spread else (),
    )
