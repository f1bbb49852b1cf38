"""What a small screen is told, and what of it finds room first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gradevol.answer.statement import Statement, Topic, Weight

#: Lists that are cut where room is short, and where the rest of them stands.
LISTS = {
    "work": "fix_list.csv",
    "suspects": "report.html",
    "cover": "report.html",
    "notes": "report.html",
}
#: Items of a list that find room as others of their weight do; more come after these.
_LONG = 4
#: Topics that are told whole or not at all: sums whose parts add up.
WHOLE = {"parts"}
#: Topics that find room before a long list: of a list cut short they say how much there is.
_SUMS = {"thin"}
#: Topics that find room after all others of their weight.
_SPARE = {"pours", "tests"}


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """
    A statement that a small screen is told.

    Attributes
    ----------
    topic : Topic
    said : Statement
    item : int or None
        Its number in a list that is cut; None where it is in none.
    """

    topic: Topic
    said: Statement
    item: int | None


def is_fact(said: Statement) -> bool:
    """Whether a statement is but a name and its figure."""
    return not said.short


def list_parts(topics: Sequence[Topic], least: Weight = Weight.TELLS) -> list[Part]:
    """List what a screen is told of topics that have a label for its margin."""
    return [part for topic in topics if topic.label for part in _list_topic(topic, least)]


def _list_topic(topic: Topic, least: Weight) -> Iterator[Part]:
    count = 0
    for said in topic.at_least(least):
        if not (said.short or said.figure):
            continue
        # of a table its rows
        is_item = topic.key in LISTS and bool(said.cells or not topic.columns)
        yield Part(topic, said, count if is_item else None)
        count += is_item


def rank_parts(parts: Sequence[Part]) -> list[Part]:
    """
    Sort parts by what finds room first.

    Returns
    -------
    list of Part
        The heaviest first; of one weight in the order in which they are read, but the ends of long
        lists and topics that are spare.
    """
    heaviest: dict[tuple[str, str], Weight] = {}
    weights: dict[Part, Weight] = {}
    for part in reversed(parts):  # of a list, what comes before a heavy item is as heavy
        weights[part] = weight = part.said.weight
        if part.topic.key in _SUMS and weight >= Weight.MATTERS:
            weights[part] = Weight.ACTS
        if part.item is not None:
            at = (part.topic.key, part.topic.group)
            weights[part] = heaviest[at] = max(weight, heaviest.get(at, weight))
    return sorted(
        parts,
        key=lambda part: (
            -weights[part],
            part.topic.key in _SPARE,
            max((part.item or 0) - _LONG, -1),
        ),
    )
