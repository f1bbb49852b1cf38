"""Remarks: what a result must not be read without."""

import numpy as np
import shapely

from gradevol.notes import Kind, Measure, Note, escape
from gradevol.result import Result
from gradevol.thickening import outline_at

#: Less of the slab beyond the shots than this share goes without saying.
SMALL_SHARE = 0.001
#: A mean thickness beyond this many times the design's is a wrong unit or datum, not grading.
FAR_OFF = 3.0


def find_remarks(result: Result, *, has_order: bool) -> tuple[Note, ...]:
    """
    Find what must be said beside the figures.

    Parameters
    ----------
    result : Result
    has_order : bool
        Whether the job asks for an order.

    Returns
    -------
    tuple of Note
    """
    return (
        *_datum(result),
        *_beyond(result),
        *_overlap(result),
        *_suspects(result),
        *_trench_shots(result),
        *_overlapping_thickenings(result),
        *(_ORDER if has_order else ()),
    )


_ORDER = (
    Note(
        "order-not-computed",
        "This version does not work out the order: the volume is concrete in place, and an order "
        "needs an allowance for waste, yield and settlement on top of it.",
    ),
)


def _datum(result: Result) -> list[Note]:
    mean, design = result.thickness.mean, result.slab.thickness
    if 0 < mean < FAR_OFF * design:
        return []
    return [
        Note(
            "thickness-far-from-design",
            "The mean thickness is {} where {} is designed: are the shots and the top on one "
            "benchmark, and are the units right?",
            (Measure(mean, Kind.LEVEL), Measure(design, Kind.LEVEL)),
        )
    ]


def _beyond(result: Result) -> list[Note]:
    if 1 - result.coverage <= SMALL_SHARE:
        return []
    return [
        Note(
            "beyond-survey",
            "{} of the slab lies outside the outermost shots; there the base is held level with "
            "the nearest of them, and {} of the concrete rests on that. Shoot the base out to "
            "the edge.",
            (
                Measure((1 - result.coverage) * result.slab.area, Kind.AREA),
                Measure(result.concrete.beyond_survey, Kind.VOLUME),
            ),
        )
    ]


def _overlap(result: Result) -> list[Note]:
    if result.thickness.min >= 0:
        return []
    return [
        Note(
            "base-above-top",
            "The base stands above the top of slab by up to {}: no concrete is counted there.",
            (Measure(-result.thickness.min, Kind.LEVEL),),
            places=(result.thickness.min_at,),
        )
    ]


def _suspects(result: Result) -> list[Note]:
    if not result.suspects:
        return []
    names = tuple(result.survey.name(suspect.index) for suspect in result.suspects)
    places = [result.survey.points[suspect.index, :2] for suspect in result.suspects]
    return [
        Note(
            "suspect-shots",
            f"Shot{'s' if len(names) > 1 else ''} {escape(', '.join(names))} disagree"
            f"{'' if len(names) > 1 else 's'} with the shots around: reshoot before you cut. "
            "Nothing was left out.",
            points=names,
            places=tuple((float(east), float(north)) for east, north in places),
        )
    ]


def _trench_shots(result: Result) -> list[Note]:
    """Shots within a thickening that the job says was not shot: they would count it twice."""
    notes = []
    plan = result.survey.points[:, :2]
    for part in result.slab.thickenings:
        if part.surveyed != "no" or not result.survey.ids:
            continue
        bottom = outline_at(part, result.slab, out=0.0)
        inside = np.flatnonzero(shapely.intersects_xy(bottom, plan[:, 0], plan[:, 1]))
        if len(inside) == 0:
            continue
        names = tuple(result.survey.name(index) for index in inside)
        notes.append(
            Note(
                "shots-in-thickening",
                f"{len(names)} shot(s) lie within {escape(part.name)}, which the job says was not "
                "shot. If they are trench shots, its concrete is counted twice: set surveyed to "
                '"departure" or true.',
                points=names[:20],
            )
        )
    return notes


def _overlapping_thickenings(result: Result) -> list[Note]:
    notes = []
    parts = result.slab.thickenings
    zones = [outline_at(part, result.slab, out=part.side_slope * part.depth) for part in parts]
    for number, zone in enumerate(zones):
        for other in range(number):
            shared = shapely.intersection(zone, zones[other]).area
            if shared > 1e-4:
                notes.append(
                    Note(
                        "thickenings-overlap",
                        f"{escape(parts[other].name)} and {escape(parts[number].name)} share "
                        "{} of the plan, where both are counted in full. Join them into one "
                        "thickening to count it once.",
                        (Measure(float(shared), Kind.AREA),),
                    )
                )
    return notes
