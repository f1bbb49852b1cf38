"""``gradevol pour``: what is still needed and what to call, then what that rests on."""

import re
import textwrap
from collections.abc import Sequence

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.statement import Topic

#: A small terminal.
LINES, COLUMNS = 26, 80
_MARGIN = 10
#: Spaces at which no line is broken: between a number and its unit.
_BOUND = re.compile(r"(?<=\d) (?=(?:yd³|m³|ft|in|mm|m|%|min)\b|%)")
_BOND = "\x1f"


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
        weighs least gives way; the notes say how many are left out.
    """
    head = [textwrap.shorten(_plain(title), COLUMNS, placeholder=" ..."), ""]
    for said in (said for topic in topics if not topic.label for said in topic.statements):
        head += _wrap(str(said.short), "  ", "  ", COLUMNS - 2)
    foot = ["", *textwrap.wrap(CAUTIONS[0], COLUMNS)]
    body: list[list[str]] = []
    for topic in topics:
        if topic.label:
            body += [
                _fill(topic.label if at == 0 else "", str(said.short))
                for at, said in enumerate(topic.statements)
            ]
    room = LINES - len(head) - len(foot) - 1
    left_out = 0
    while body and sum(map(len, body)) + bool(left_out) > room:
        body.pop()
        left_out += 1
    lines = [line for paragraph in body for line in paragraph]
    if left_out:
        lines.append(f"{'':{_MARGIN}}and {left_out} more: see --json")
    return "\n".join([*head, "", *lines, *foot]) + "\n"


def _fill(label: str, text: str) -> list[str]:
    return _wrap(text, label.ljust(_MARGIN), " " * _MARGIN, COLUMNS)


def _wrap(text: str, first: str, rest: str, width: int) -> list[str]:
    lines = textwrap.wrap(
        _BOUND.sub(_BOND, _plain(text)),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return [line.replace(_BOND, " ") for line in lines]


def _plain(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
