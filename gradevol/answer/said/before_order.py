"""Before you order: what no order must be read without."""

from gradevol.answer.result import Result
from gradevol.answer.statement import Statement, Topic, Weight, Words


def tell_before_order(result: Result) -> tuple[Topic, ...]:
    """
    Tell all notes of the result.

    An order is read without the topics that tell most of these elsewhere.
    """
    if result.order is None or not result.notes:
        return ()
    told = tuple(
        Statement(f"note.{note.code}", Weight.SPARE, short=Words((note.say(result.units),)))
        for note in result.notes
    )
    return (Topic("before_order", "Before you order", "Notes", told),)
