"""Notations: what is said of a result with its lengths written in one way or another."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.bands import Bands, Moves, choose_bands, choose_moves
from gradevol.answer.drawing.captions import Captions, write_captions
from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.answer.said.topics import tell_topics
from gradevol.answer.statement import Topic
from gradevol.ground.units import Notation

#: How jobs in feet can be read besides, all lengths alike.
_OTHERS: tuple[Notation, ...] = ("inches", "hundredths")


@dataclass(frozen=True, slots=True)
class Written:
    """What is said in one notation."""

    topics: tuple[Topic, ...]
    bands: Bands
    moves: Moves
    captions: Captions


def write_notations(
    result: Result, topics: tuple[Topic, ...], drawing: Drawing
) -> Mapping[Notation, Written]:
    """
    Say a result in each notation that its job can be read in.

    Parameters
    ----------
    result : Result
    topics : tuple of Topic
    drawing : Drawing
        Both as every output has them.

    Returns
    -------
    mapping of str to Written
        First, by the empty name, those; none else of a metric job.
    """
    written: dict[Notation, Written] = {
        "": Written(topics, drawing.bands, drawing.moves, drawing.captions)
    }
    if not result.units.is_metric:
        for notation in _OTHERS:
            other = replace(result, units=result.units.written(notation))
            written[notation] = Written(
                tell_topics(other),
                choose_bands(other),
                choose_moves(find_grade(other)),
                write_captions(other, drawing.relief, drawing.shots, drawing.lattice),
            )
    return written
