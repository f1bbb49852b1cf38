"""Notes: the warnings of a result that no topic tells already."""

from gradevol.answer.result import Result
from gradevol.answer.statement import FIRST, Statement, Topic, Weight, words

#: Codes of what topics tell in full.
_TOLD = {
    "base-above-top",
    "beyond-survey",
    "cloud-not-base",
    "rechecks-applied",
    "suspect-shots",
}
#: Codes of what topics tell but for the remedy, or what roomier pages tell.
_TOLD_BRIEFLY = {"interval-forms", "interval-rows", "top-flat", "top-holds-water"}


def _weigh(code: str) -> Weight:
    if f"note.{code}" in FIRST:
        return Weight.DECIDES
    return Weight.DETAILS if code in _TOLD_BRIEFLY else Weight.TELLS


def tell_notes(result: Result) -> tuple[Topic, ...]:
    """Tell the notes that no topic tells; none where there are none."""
    told = tuple(
        Statement(
            f"note.{note.code}",
            _weigh(note.code),
            short=words("{}", note.say(result.units)),
        )
        for note in result.notes
        if note.code not in _TOLD
    )
    return (Topic("notes", "Notes", "Notes", told),) if told else ()
