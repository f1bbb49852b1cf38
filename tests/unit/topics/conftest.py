"""Topics of a result, and what is looked for in them."""

from gradevol.answer.said.cover import tell_cover
from gradevol.answer.said.margin import tell_interval
from gradevol.answer.said.notes import tell_notes
from gradevol.answer.said.parts import tell_parts
from gradevol.answer.said.survey import tell_rechecks, tell_survey
from gradevol.answer.said.suspects import tell_suspects
from gradevol.answer.said.thickness import tell_thickness
from gradevol.answer.said.thin import tell_thin
from gradevol.answer.said.unseen import tell_unseen
from gradevol.answer.said.volume import tell_volume

TELL = {
    "volume": tell_volume,
    "interval": tell_interval,
    "parts": tell_parts,
    "thickness": tell_thickness,
    "thin": tell_thin,
    "unseen": tell_unseen,
    "suspects": tell_suspects,
    "cover": tell_cover,
    "survey": tell_survey,
    "rechecks": tell_rechecks,
    "notes": tell_notes,
}


def tell(result, topic):
    """The one topic of a key."""
    (found,) = TELL[topic](result)
    return found


def find(result, key, topic):
    said = tell(result, topic).find(key)
    assert said is not None, key
    return said


def keys_of(result, topic):
    return [said.key for said in tell(result, topic).statements]


def words_in(topic):
    """All that a topic says, in all its lengths."""
    for said in topic.statements:
        yield from (said.short, said.long, said.figure, *said.details)
