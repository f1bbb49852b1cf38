"""Presentation of reduced levels: plain data in the unit of the page, rounded once."""

from collections.abc import Sequence
from typing import Any

from gradevol.answer.rounding import LENGTH
from gradevol.files.sheets.level_notes import LevelPage
from gradevol.ground.units import METRES, Units
from gradevol.site.levelling import Leg, ReducedRow, Reduction
from gradevol.site.levelling.misclosure import Limit

#: Version of the keys and their meaning.
SCHEMA = 1


def present_levels(
    page: LevelPage, reduction: Reduction, limits: Sequence[Limit] = ()
) -> dict[str, Any]:
    """
    Put reduced levels into the unit of their page, as plain dicts, lists, numbers and text.

    Parameters
    ----------
    page : LevelPage
        What was read.
    reduction : Reduction
        What became of it, adjusted or not.
    limits : sequence of Limit
        Rules to hold each closed leg against.

    Returns
    -------
    dict
        What was not read, or can't be known, is absent. ``misclosure`` is observed less known.
    """
    metres = METRES[page.unit]
    units = Units.of_job(page.unit)
    notes = (*page.remarks, *reduction.notes)
    return {
        "schema": SCHEMA,
        "units": {"length": page.unit},
        "adjustment": reduction.adjusted,
        "rows": [
            _row(item, place, description, reduction, metres)
            for item, place, description in zip(
                reduction.rows, page.places, page.descriptions, strict=True
            )
        ],
        "legs": [_leg(leg, limits, metres) for leg in reduction.legs],
        "checks": [
            _drop(
                line=check.row.line,
                point=check.row.point,
                observed=_number(check.observed, metres),
                known=_number(check.known, metres),
                difference=_number(check.observed - check.known, metres),
            )
            for check in reduction.checks
        ],
        "notes": [{"code": note.code, "text": note.say(units)} for note in notes],
    }


def _row(
    item: ReducedRow,
    place: tuple[float, float] | None,
    description: str,
    reduction: Reduction,
    metres: float,
) -> dict[str, Any]:
    is_closed = reduction.legs[item.leg].misclosure is not None
    easting, northing = place or (None, None)
    return _drop(
        line=item.row.line,
        point=item.row.point,
        backsight=_number(item.row.backsight, metres),
        intermediate=_number(item.row.intermediate, metres),
        foresight=_number(item.row.foresight, metres),
        setup=item.setup,
        instrument=_number(item.instrument, metres),
        observed=_number(item.observed, metres),
        correction=_number(item.correction, metres),
        elevation=_number(item.elevation, metres),
        adjustment=reduction.adjusted if is_closed else "none",
        easting=_number(easting, metres),
        northing=_number(northing, metres),
        description=description or None,
    )


def _leg(leg: Leg, limits: Sequence[Limit], metres: float) -> dict[str, Any]:
    sum_backsights, sum_foresights = leg.sums
    is_closed = leg.misclosure is not None
    return _drop(
        start=leg.start,
        end=leg.end,
        setups=len(leg.backsights),
        foresights=len(leg.foresights),
        length=_number(leg.length, metres),
        sum_backsights=_number(sum_backsights, metres),
        sum_foresights=_number(sum_foresights, metres),
        rise=_number(sum_backsights - sum_foresights, metres),
        first=_number(leg.first, metres),
        observed=_number(leg.observed, metres),
        closed=is_closed,
        known=_number(leg.known, metres),
        misclosure=_number(leg.misclosure, metres),
        limits=[
            _drop(
                rule=limit.rule,
                allowed=_number(limit.allowed(leg), metres),
                exceeded=limit.is_exceeded(leg),
            )
            for limit in limits
            if is_closed
        ],
    )


def _number(value: float | None, metres: float) -> float | None:
    return None if value is None else round(value / metres, LENGTH) + 0.0  # none reads -0.0


def _drop(**values: Any) -> dict[str, Any]:
    """Only what is known."""
    return {key: value for key, value in values.items() if value is not None}
