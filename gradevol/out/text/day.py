"""``gradevol pour``: what is still needed and what to call, then what that rests on."""

import textwrap
from collections.abc import Sequence

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.statement import Topic, Weight
from gradevol.ground.words import plain
from gradevol.out.text.wrapping import COLUMNS, hang, wrap

#: A small terminal.
LINES = 26
_MARGIN = 10


def compose_day_text(title: str, topics: Sequence[Topic]) -> str:
    """
    Write where a pour stands as text of one small screen.

    Parameters
    ----------
    title : str
    topics : sequence of Topic
        What is told without a label stands first, on lines of its own.

    Returns
    -------
    str
        `LINES` lines of `COLUMNS` characters at most: where that is too much, the last of what
        weighs least gives way, and it is said how many are left out.
    """
    head = [textwrap.shorten(plain(title), COLUMNS, placeholder=" ..."), ""]
    for said in (said for topic in topics if not topic.label for said in topic.statements):
        head += wrap(str(said.short), "  ", "  ")
    foot = ["", *textwrap.wrap(CAUTIONS[0], COLUMNS)]
    body: list[tuple[Weight, Sequence[str]]] = []
    for topic in topics:
        if topic.label:
            body += [
                (said.weight, hang("" if at else topic.label, str(said.short), _MARGIN))
                for at, said in enumerate(topic.statements)
            ]
    room = LINES - len(head) - len(foot) - 1
    left_out = 0
    while body and sum(len(lines) for _, lines in body) + bool(left_out) > room:
        lightest = min(weight for weight, _ in body)
        body.pop(max(at for at, (weight, _) in enumerate(body) if weight == lightest))
        left_out += 1
    lines = [line for _, paragraph in body for line in paragraph]
    if left_out:
        lines.append(f"{'':{_MARGIN}}and {left_out} more: see --json")
    return "\n".join([*head, "", *lines, *foot]) + "\n"
