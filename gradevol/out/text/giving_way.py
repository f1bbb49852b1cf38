"""What a small screen is told, and what of it gives way where there is too much."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from gradevol.answer.statement import Statement, Topic, Weight

#: Lists that are cut where room is short, and where the rest of them stands.
LISTS = {
    "work": "fix_list.csv",
    "suspects": "report.html",
    "cover": "report.html",
    "notes": "report.html",
}
#: Lengths of the lists before anything else gives way, and after.
_LONG, _SHORT = (5, 4, 3), (2, 1, 0)
#: Topics that give way whole, before anything of others but the ends of long lists.
_SPARE = {"tests"}


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """
    A statement that a small screen is told.

    Attributes
    ----------
    topic : Topic
    said : Statement
    paragraph : int
        Its paragraph among those of its topic: names and their figures stand in one.
    item : int or None
        Its number in a list that is cut; None where it is in none.
    """

    topic: Topic
    said: Statement
    paragraph: int
    item: int | None

    @property
    def is_light(self) -> bool:
        """Whether it may give way before what is to be done first."""
        return self.said.weight <= Weight.TELLS


def is_fact(said: Statement) -> bool:
    """Whether a statement is but a name and its figure."""
    return not said.short


def list_parts(topics: Sequence[Topic]) -> list[Part]:
    """List what a small screen is told of topics that have a label for its margin."""
    return [part for topic in topics if topic.label for part in _list_topic(topic)]


def _list_topic(topic: Topic) -> Iterator[Part]:
    told = [said for said in topic.at_least(Weight.TELLS) if said.short or said.figure]
    paragraph, count, was_fact = -1, 0, False
    for said in told:
        # of a table its rows
        is_item = topic.key in LISTS and bool(said.cells or not topic.columns)
        paragraph += not (was_fact and is_fact(said))
        was_fact = is_fact(said)
        yield Part(topic, said, paragraph, count if is_item else None)
        count += is_item


def give_way(parts: Sequence[Part]) -> Iterator[set[Part]]:
    """
    Give what is left out, step by step, until enough room is made.

    Yields
    ------
    set of Part
        The ends of long lists; then, of the other topics, what follows their first paragraph, the
        last first; then what is left of lists; then the rest; in the end, of lists, what is to be
        done first. What decides never gives way.
    """
    light = [part for part in reversed(parts) if part.is_light]
    for most in _LONG:
        yield _beyond(most, light)
    yield {part for part in light if part.topic.key in _SPARE}
    rest = (part for part in light if part.item is None and part.paragraph)
    for _, tail in groupby(rest, key=lambda part: part.topic):
        yield set(tail)
    for most in _SHORT:
        yield _beyond(most, light)
    for part in light:
        yield {part}
    for most in reversed(range(len(parts))):
        yield _beyond(most, [part for part in parts if part.said.weight < Weight.DECIDES])


def _beyond(most: int, parts: Sequence[Part]) -> set[Part]:
    """Return items of lists after so many."""
    return {part for part in parts if part.item is not None and part.item >= most}
