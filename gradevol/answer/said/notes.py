"""Notes: the warnings of a result that no topic tells already."""

import re

from gradevol.answer.result import Result
from gradevol.answer.statement import FIRST, Statement, Topic, Weight, words
from gradevol.ground.notes import Note
from gradevol.ground.units import Units

#: Codes of what topics tell in full.
_TOLD = {
    "base-above-top",
    "beyond-survey",
    "cloud-not-base",
    "rechecks-applied",
    "scan-holes",
    "suspect-shots",
}
#: Codes of what topics tell but for the remedy, or what roomier pages tell.
_TOLD_BRIEFLY = {
    *("codes-left-out", "interval-forms", "interval-rows", "top-flat", "top-holds-water"),
}
#: Codes of what may have lost or moved a measurement: told before what is merely to be known.
_LOST = {
    *("cells-blank", "code-is-number", "code-missing", "code-nearly-matches", "code-of-base"),
    *("file-cut-short", "file-looks-wrong", "rows-commented-out"),
    *("grid-rows-apart", "surface-spike", "top-drawn-elsewhere", "top-shot-off"),
    "rechecks-beside",
}
#: What need not be said where the other is.
_SAID_WITH = {FIRST["note.two-datums"]: FIRST["note.base-above-forms"]}
#: Where the first sentence of a note ends: a question of a few words is none by itself.
_END = re.compile(r"(?<=.{40}[.?]) (?=[A-Z])")


def _weigh(code: str) -> Weight:
    if f"note.{code}" in FIRST:
        return Weight.DECIDES
    if code in _LOST:
        return Weight.MATTERS
    return Weight.DETAILS if code in _TOLD_BRIEFLY else Weight.TELLS


def tell_notes(result: Result) -> tuple[Topic, ...]:
    """Tell the notes that no topic tells; none where there are none."""
    told = tuple(_tell(note, result.units) for note in result.notes if note.code not in _TOLD)
    return (Topic("notes", "Notes", "Notes", told),) if told else ()


def tell_before_order(result: Result) -> tuple[Topic, ...]:
    """
    Tell all notes of the result.

    An order is read without the topics that tell most of these elsewhere.
    """
    if result.order is None or not result.notes:
        return ()
    told = tuple(
        Statement(f"note.{note.code}", Weight.SPARE, short=words("{}", note.say(result.units)))
        for note in result.notes
    )
    return (Topic("before_order", "Before you order", "Notes", told),)


def list_calls(result: Result) -> list[str]:
    """List what is looked up, by the notes, before an order is believed."""
    keys = {f"note.{note.code}" for note in result.notes}
    calls = dict.fromkeys(call for key, call in FIRST.items() if key in keys)
    return [call for call in calls if _SAID_WITH.get(call) not in calls]


def _tell(note: Note, units: Units) -> Statement:
    said, weight = note.say(units), _weigh(note.code)
    if weight < Weight.DECIDES:
        return Statement(f"note.{note.code}", weight, short=words("{}", said))
    brief = _END.split(said)[0].removesuffix(".")
    return Statement(f"note.{note.code}", weight, short=words("{}", brief), long=words("{}", said))
