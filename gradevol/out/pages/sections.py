"""Sections of the page: which topics stand together, in what order, under which headings."""

from collections.abc import Sequence

from gradevol.answer.statement import Topic
from gradevol.out.pages.markup import Marker, say, section
from gradevol.out.pages.topics import compose_topics

#: Sections in their order: topics that run on under its heading, and those with one of their own.
#: First what to do before the pour, which stands open; below the plan the rest, folded up.
_LEAD: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (("suspects",), ()),
    (("work",), ()),
)
_REST: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (("order",), ("need",)),
    (("after_work",), ("grading",)),
    (("cover",), ()),
    (("parts",), ("pours", "interval")),
    (("thickness", "thin", "thin_risk"), ("tests",)),
    (("unseen",), ()),
    (("next_shots",), ()),
    (("top",), ("moves",)),
    (("notes",), ()),
    (("survey",), ("rechecks",)),
)
#: Topics that the head of the page tells whole.
_IN_HEAD = ("volume",)


def compose_lead(topics: Sequence[Topic], marker: Marker) -> str:
    """Compose what to do before the pour: shots to take again, and the fix list."""
    return "".join(
        _compose_section([topic for topic in topics if topic.key in own], own, marker)
        for own, _ in _LEAD
    )


def compose_sections(topics: Sequence[Topic], marker: Marker) -> str:
    """
    Compose the sections that are folded up.

    Parameters
    ----------
    topics : sequence of Topic
        What no section is made for stands at the end, in one of its own.
    marker : Marker
    """
    known = {key for own, parts in (*_LEAD, *_REST) for key in (*own, *parts)} | set(_IN_HEAD)
    more = dict.fromkeys(topic.key for topic in topics if topic.key not in known)
    return "".join(
        _compose_section(
            [topic for topic in topics if topic.key in (*own, *parts)], own, marker, is_folded=True
        )
        for own, parts in (*_REST, *(((key,), ()) for key in more))
    )


def name_target(topic: Topic) -> str:
    """Return the id of the heading under which a topic stands."""
    for own, _ in (*_LEAD, *_REST):
        if topic.key in own:
            return _id(own[0])
    return _id(topic.key)


def _compose_section(
    topics: Sequence[Topic], own: Sequence[str], marker: Marker, *, is_folded: bool = False
) -> str:
    """Compose one section, group by group: several pours, each with its order and its need."""
    if not topics:
        return ""
    first, inside = topics[0], []
    for group in dict.fromkeys(topic.group for topic in topics):
        held = [topic for topic in topics if topic.group == group]
        run_on = [topic for topic in held if topic.key in own] or held[:1]
        told = compose_topics(run_on, marker)
        inside.append(f"<h3>{say(group)}</h3>{told}" if told and group else told)
        level = "h4" if group else "h3"
        for topic in held:
            if topic not in run_on and (told := compose_topics([topic], marker)):
                name = "" if group else f' id="{_id(topic.key)}"'
                heading = f"<{level}{name}>{say(topic.title)}</{level}>"
                inside.append(f'<div class="copied">{heading}{told}</div>')
    return section(_id(first.key), say(first.title), *inside, is_folded=is_folded)


def _id(key: str) -> str:
    return key.replace("_", "-")
