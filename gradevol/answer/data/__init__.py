"""Presentation: a result as plain data in the job's units, rounded once.

Whatever is printed, drawn or written comes from here, so the page, the sheet, the text and the
JSON can't disagree. The keys are those of ``result.schema.json``.
"""

from dataclasses import asdict
from typing import Any

from gradevol.answer.data.hidden import present_hidden
from gradevol.answer.data.interval import present_interval
from gradevol.answer.data.next_shots import present_next_shots
from gradevol.answer.data.order import present_pours
from gradevol.answer.data.outcome import present_outcome
from gradevol.answer.data.spots import present_spots
from gradevol.answer.data.top import present_moves, present_top
from gradevol.answer.data.words import say_place
from gradevol.answer.data.work import present_work
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.doubts.suspects import Suspect
from gradevol.ground.notes import Note
from gradevol.measures.cover import Cover
from gradevol.site.rechecks import Epochs

#: Version of the keys and their meaning.
SCHEMA = 1


def present(result: Result) -> dict[str, Any]:
    """
    Put a result into the job's units, as plain dicts, lists, numbers and text.

    Parameters
    ----------
    result : Result

    Returns
    -------
    dict
        What ``result.json`` holds. A number that was not asked for or can't be known is absent.
        Coordinates are the job's own: the survey's origin is added back.
    """
    units = result.units
    rounding = Rounding(units, result.survey.origin)
    spots = present_spots(result, rounding)
    view: dict[str, Any] = {
        "schema": SCHEMA,
        "title": result.title,
        "units": {"length": units.length, "area": units.area, "volume": units.volume},
        "survey": _survey(result, rounding),
        "slab": _slab(result, rounding),
        "concrete": _concrete(result, rounding),
        "thickness": _thickness(result, rounding),
        "thin": _thin(result, rounding, spots["thin"]),
        "grading": _grading(result, rounding, spots["high"], spots["low"]),
        "cover": [_cover(cover, result, rounding) for cover in result.cover],
        **present_work(result, rounding),
        **present_outcome(result, rounding),
    }
    if top := present_top(result, rounding):
        view["top"] = top
    if result.moves:
        view["moves"] = present_moves(result, rounding)
    view |= present_next_shots(result, rounding) | present_pours(result, rounding)
    view["notes"] = [_note(note, result, rounding) for note in result.notes]
    return view


def _survey(result: Result, rounding: Rounding) -> dict[str, Any]:
    survey: dict[str, Any] = {
        "count": result.survey.count,
        "used": result.used,
        "method": result.survey.method,
        "coverage": rounding.share(result.coverage),
        "suspect": [_suspect(suspect, result, rounding) for suspect in result.suspects],
    }
    if credited := {name: text for name, text in asdict(result.credits).items() if text}:
        survey["credits"] = credited
    if result.volume_without_suspects is not None:
        survey["volume_without_suspects"] = rounding.volume(result.volume_without_suspects)
    if result.epochs is not None:
        survey["rechecks"] = _rechecks(result.epochs, result, rounding)
    return survey


def _rechecks(epochs: Epochs, result: Result, rounding: Rounding) -> dict[str, Any]:
    rechecks: dict[str, Any] = {
        "first_count": len(epochs.first.points),
        "later": [epochs.survey.name(index) for index in epochs.later],
        "retired": [
            dict(zip(("id", "e", "n", "z"), (name, *place), strict=True))
            for name, place in (
                (epochs.first.name(index), rounding.place(epochs.first.points[index]))
                for index in epochs.retired
            )
        ],
    }
    if result.volume_before_rechecks is not None:
        rechecks["volume_before"] = rounding.volume(result.volume_before_rechecks)
    return rechecks


def _suspect(suspect: Suspect, result: Result, rounding: Rounding) -> dict[str, Any]:
    east, north, level = rounding.place(result.survey.points[suspect.index])
    return {
        "id": result.survey.name(suspect.index),
        "e": east,
        "n": north,
        "z": level,
        "expected": rounding.length(suspect.expected),
        "difference": rounding.length(suspect.difference),
        "slip": suspect.slip,
    }


def _slab(result: Result, rounding: Rounding) -> dict[str, Any]:
    slab = {
        "area": rounding.area(result.slab.area),
        "nominal_volume": rounding.volume(result.concrete.nominal),
        "thickness": rounding.length(result.slab.thickness),
        "least_thickness": rounding.length(result.slab.least_thickness),
    }
    for name, tolerance in (
        ("base_high", result.slab.base_high),
        ("base_low", result.slab.base_low),
    ):
        if tolerance is not None:
            slab[name] = rounding.length(tolerance)
    return slab


def _concrete(result: Result, rounding: Rounding) -> dict[str, Any]:
    concrete = result.concrete
    shown: dict[str, Any] = {
        "volume": rounding.volume(concrete.volume),
        "slab": rounding.volume(concrete.slab),
        "thickenings": rounding.volume(concrete.thickenings),
        "voids": rounding.volume(concrete.voids),
        "beyond_survey": rounding.volume(concrete.beyond_survey),
        "overlap": rounding.volume(concrete.overlap),
        "over_nominal": rounding.volume(concrete.over_nominal),
        "parts": [
            {"name": name, "volume": rounding.volume(volume)} for name, volume in concrete.parts
        ],
    }
    if result.interval is not None:
        shown["interval"] = present_interval(result.interval, rounding)
    return shown


def _thickness(result: Result, rounding: Rounding) -> dict[str, Any]:
    moments = result.thickness
    return {
        "mean": rounding.length(moments.mean),
        "min": rounding.length(moments.min),
        "max": rounding.length(moments.max),
        "sd": rounding.length(moments.sd),
        "min_at": rounding.place(moments.min_at),
        "min_where": say_place(moments.min_at, result.slab, result.units),
        "max_at": rounding.place(moments.max_at),
        "max_where": say_place(moments.max_at, result.slab, result.units),
    }


def _thin(result: Result, rounding: Rounding, spots: list[dict[str, Any]]) -> dict[str, Any]:
    thin: dict[str, Any] = {"area": rounding.area(result.thin.area), "spots": spots}
    if result.thin.unlisted:
        thin["unlisted"] = result.thin.unlisted
    if could_hide := present_hidden(result, rounding):
        thin["could_hide"] = could_hide
    return thin


def _grading(
    result: Result,
    rounding: Rounding,
    high: list[dict[str, Any]],
    low: list[dict[str, Any]],
) -> dict[str, Any]:
    grading: dict[str, Any] = {
        "cut": rounding.volume(result.grading.cut),
        "fill": rounding.volume(result.grading.fill),
        "net": rounding.volume(result.grading.net),
    }
    for kind, spots, listed in (("high", result.high, high), ("low", result.low, low)):
        if spots is None:
            continue  # no tolerance is stated: an empty list would say that nothing exceeds it
        grading[f"{kind}_area"] = rounding.area(spots.area)
        grading[f"{kind}_spots"] = listed
        if spots.unlisted:
            grading[f"{kind}_unlisted"] = spots.unlisted
    return grading


def _cover(cover: Cover, result: Result, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "name": cover.name,
        "least": rounding.length(cover.least),
        "at": rounding.place(cover.at),
        "where": say_place(cover.at, result.slab, result.units),
        "length": rounding.length(cover.length),
    }
    if cover.required is not None:
        shown["required"] = rounding.length(cover.required)
        shown["short"] = rounding.length(cover.short)
    return shown


def _note(note: Note, result: Result, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {"code": note.code, "text": note.say(result.units)}
    if note.points:
        shown["points"] = list(note.points)
    if note.places:
        shown["places"] = [rounding.place(place) for place in note.places]
    return shown
