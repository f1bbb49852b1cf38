"""The answer: a result in the job's units and in words, composed once for every renderer."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gradevol.answer.declared import to_plain
from gradevol.answer.drawing import Drawing, draw_up
from gradevol.answer.notations import Written, write_notations
from gradevol.answer.result import Result
from gradevol.answer.said.exceeded import find_exceeded
from gradevol.answer.said.points import tell_points
from gradevol.answer.said.topics import tell_topics
from gradevol.answer.statement import Topic
from gradevol.answer.tree.result import ResultTree, compose_tree
from gradevol.ground.units import Notation, Units


@dataclass(frozen=True, slots=True)
class Answer:
    """
    All that is told of a result, and nothing that has still to be worked out.

    Attributes
    ----------
    tree : ResultTree
        The numbers, as ``result.json`` has them.
    topics : tuple of Topic
        What is said, in the order in which it is read.
    points : Topic
        What is set out in the field.
    drawing : Drawing
        The geometry of pictures, page and sheet.
    exceeded : tuple of str
        Limits that the job states and the base exceeds.
    written : mapping of str to Written
        What is said by the notation of lengths; first `topics` and the words of `drawing`.
    """

    title: str
    units: Units
    tree: ResultTree
    topics: tuple[Topic, ...]
    points: Topic
    drawing: Drawing
    exceeded: tuple[str, ...]
    written: Mapping[Notation, Written]

    def pick(self, *keys: str) -> tuple[Topic, ...]:
        """Topics of some keys, in the order of the keys."""
        return tuple(topic for key in keys for topic in self.topics if topic.key == key)

    def plain(self) -> dict[str, Any]:
        """Return the numbers as dicts and lists: what ``result.json`` holds."""
        return to_plain(self.tree)


def compose_answer(result: Result) -> Answer:
    """
    Compose the answer.

    Parameters
    ----------
    result : Result
        In metres, about the survey's origin.
    """
    (points,) = tell_points(result)
    topics, drawing = tell_topics(result), draw_up(result)
    return Answer(
        title=result.title,
        units=result.units,
        tree=compose_tree(result),
        topics=topics,
        points=points,
        drawing=drawing,
        exceeded=find_exceeded(result),
        written=write_notations(result, topics, drawing),
    )
