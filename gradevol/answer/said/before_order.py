"""Before you order: what no order must be read without."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import count_of


def tell_before_order(result: Result) -> tuple[Topic, ...]:
    """
    Tell all notes of the result, and what suspect shots make of the volume.

    An order is read without the topics that tell most of these elsewhere.
    """
    if result.order is None:
        return ()
    statements = tuple(_tell(result))
    if not statements:
        return ()
    return (Topic("before_order", "Before you order", "Notes", statements),)


def _tell(result: Result) -> Iterator[Statement]:
    for note in result.notes:
        if note.code == "suspect-shots" and result.volume_without_suspects is not None:
            count, say = len(result.suspects), result.units.say_volume
            text = words(
                "Reshoot before you order: {}, and without {} {} in place instead of {}.",
                count_of(count, "suspect shot"),
                "them" if count > 1 else "it",
                Figure(say(result.volume_without_suspects), "survey.volume_without_suspects"),
                Figure(say(result.concrete.volume), "concrete.volume"),
            )
            yield Statement("before_order.reshoot", Weight.SPARE, short=text)
        yield Statement(f"note.{note.code}", Weight.SPARE, short=Words((note.say(result.units),)))
