"""All topics, in the order in which they are read."""

from gradevol.answer.result import Result
from gradevol.answer.said.cover import tell_cover
from gradevol.answer.said.grading import tell_grading
from gradevol.answer.said.margin import tell_interval
from gradevol.answer.said.moves import tell_moves
from gradevol.answer.said.next_shots import tell_next_shots
from gradevol.answer.said.notes import tell_notes
from gradevol.answer.said.order import tell_need, tell_order
from gradevol.answer.said.outcome import tell_after_work
from gradevol.answer.said.parts import tell_parts
from gradevol.answer.said.pours import tell_pours
from gradevol.answer.said.survey import tell_rechecks, tell_survey
from gradevol.answer.said.suspects import tell_suspects
from gradevol.answer.said.thickness import tell_thickness
from gradevol.answer.said.thin import tell_thin
from gradevol.answer.said.thin_risk import tell_tests, tell_thin_risk
from gradevol.answer.said.top import tell_top
from gradevol.answer.said.unseen import tell_unseen
from gradevol.answer.said.volume import tell_volume
from gradevol.answer.said.work import tell_work
from gradevol.answer.statement import Topic

_TELL = (
    tell_volume,
    tell_order,
    tell_need,
    tell_parts,
    tell_pours,
    tell_interval,
    tell_thickness,
    tell_thin,
    tell_thin_risk,
    tell_tests,
    tell_suspects,
    tell_work,
    tell_after_work,
    tell_grading,
    tell_cover,
    tell_survey,
    tell_rechecks,
    tell_unseen,
    tell_next_shots,
    tell_top,
    tell_moves,
    tell_notes,
)


def tell_topics(result: Result) -> tuple[Topic, ...]:
    """
    Tell all that is said of a result.

    Returns
    -------
    tuple of Topic
        The volume first.
    """
    return tuple(topic for tell in _TELL for topic in tell(result))
