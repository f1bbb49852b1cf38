"""What ``pour.html`` says: the words of the day, what of them is known before, what is missing."""

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from gradevol.after.load_times import SAID as TIMES
from gradevol.after.poured import SAID as POURED
from gradevol.answer.said.day import say_expected
from gradevol.answer.said.day_words import DAY
from gradevol.answer.said.step_words import say_given, say_hours, say_step
from gradevol.ground.notes import Note
from gradevol.ground.units import CUBIC_YARD, METRES, Units
from gradevol.plan.order.expected import Expected


def tell_page(
    data: Mapping[str, Any], units: Units, *, level: float, expected: Expected
) -> dict[str, Any]:
    """
    Tell what a page says of a pour, beside the data that it works from.

    Parameters
    ----------
    data : mapping
        From `after.page_data`.
    units : Units
    level : float
        Of the ranges.
    expected : Expected

    Returns
    -------
    dict
        The data, with ``units``, ``words`` and what fills their gaps whatever the loads, ``said``.
    """
    # not by coordinates: they are about the survey's origin, which more shots may move
    lengths = [
        round(sum(math.dist(*pair) for pair in pairwise(side["path"])), 3) for side in data["sides"]
    ]
    named = json.dumps([data["title"], data["part"], lengths])
    notice = data["notice"]
    return {
        **data,
        "key": hashlib.sha256(named.encode()).hexdigest()[:16],
        "units": {
            "is_metric": units.is_metric,
            "length": units.length,
            "per_length": METRES[units.length],
            "volume": units.volume_symbol,
            "per_volume": 1.0 if units.is_metric else CUBIC_YARD,
        },
        "words": DAY | TIMES | POURED,
        "said": {
            "level": say_given(level),
            "risk": say_given(data["risk"]["given"]),
            "step": say_step(data["plant"]["step"], units),
            "notice": say_hours(notice) if notice is not None else "",
            "expected": say_expected(expected),
        },
    }


def tell_missing(
    data: Mapping[str, Any], notes: Sequence[Note], units: Units, *, has_order: bool
) -> list[str]:
    """Tell what a page can't know, for the job does not say it."""
    told = [note.say(units) for note in notes]
    if not has_order:
        told.append(
            "The job has no [order]: the balance is sized at "
            f"{say_given(data['risk']['given'])} risk, in steps of "
            f"{units.say_volume(data['plant']['step'])}, and its loads are not bounded."
        )
    if data["notice"] is None:
        told.append("[order] gives no notice: by when to call is not told.")
    if data["start"] is None:
        told.append(
            "The job does not say by [placing] from where placing begins: how far it has reached "
            "is told by panels and pours alone."
        )
    if not data["is_exact"]:
        told.append(
            "The surface has too many pieces for a page: it holds squares of their mean thickness, "
            "which may turn a last digit of what gradevol pour says."
        )
    return told
