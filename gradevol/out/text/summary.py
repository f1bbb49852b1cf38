"""``summary.txt``: the answer on one screen, the volume first."""

import re
import textwrap
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from pathlib import Path

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.statement import Statement, Topic
from gradevol.out.text.giving_way import LISTS, Part, give_way, is_fact, list_parts

#: One screen of a terminal.
LINES, COLUMNS = 40, 78
_MARGIN = 12
#: Spaces at which no line is broken: within a measure, and before the number of a side.
BOUND = re.compile(
    r"(?<=\d) (?=\d+(?:/\d+)? |(?:ft|in|mm|m|yd)[²³]?\b)|(?<= ft) (?=\d)|(?<=side|rner) (?=\d)"
    r"|(?<=\d) (?=x \d)|(?<=\d x) (?=\d)"
)
BOND = "\x1f"


def compose_summary(title: str, topics: Sequence[Topic]) -> str:
    """
    Write the answer as text of one screen.

    Parameters
    ----------
    title : str
    topics : sequence of Topic
        In their order, the volume first. What has no label is for roomier pages.

    Returns
    -------
    str
        At most `LINES` lines of `COLUMNS` characters: what a small screen is told, and where that
        is too much, what weighs least is left out; lists are cut short and say so. It still reads
        well where letters are not of one width, as in a text message.
    """
    headline, *parts = list_parts(topics)
    above = [
        textwrap.shorten(_plain(title) or "Base check", COLUMNS, placeholder=" ..."),
        "",
        f"  {_plain(str(headline.said.short))}",
        "",
    ]
    foot = ["", *(line for caution in CAUTIONS for line in textwrap.wrap(caution, COLUMNS))]
    body = _fit(parts, LINES - len(above) - len(foot))
    return "\n".join([*above, *body, *foot]) + "\n"


def write_summary(path: Path, title: str, topics: Sequence[Topic]) -> None:
    """Write `compose_summary` to a file."""
    path.write_text(compose_summary(title, topics), encoding="utf-8", newline="\n")


def _fit(parts: Sequence[Part], room: int) -> list[str]:
    """Lay parts out in so many lines, with as much of them as finds room."""
    hidden: set[Part] = set()
    lines = _lay_out(parts, hidden)
    for more in give_way(parts):
        if len(lines) <= room:
            break
        fewer = _lay_out(parts, hidden | more)
        if len(fewer) < len(lines):  # what saves no line stays
            lines, hidden = fewer, hidden | more
    return lines[:room]


def _lay_out(parts: Sequence[Part], hidden: Collection[Part]) -> list[str]:
    """Lines of what is not hidden, the labels of its topics in the margin."""
    lines: list[str] = []
    last = ""
    for topic, run in groupby(parts, key=lambda part: part.topic):
        all_of = list(run)
        left = [part for part in all_of if part not in hidden]
        paragraphs = list(_say_all(topic, [part.said for part in left]))
        gone = sum(part.item is not None for part in all_of if part in hidden)
        if gone:
            more = " more" if any(part.item is not None for part in left) else ""
            paragraphs.append(f"{gone}{more}: see {LISTS[topic.key]}")
        for paragraph in paragraphs:
            lines += _fill("" if topic.label == last else topic.label, paragraph)
            last = topic.label
    return lines


def _say_all(topic: Topic, told: Sequence[Statement]) -> Iterator[str]:
    """Say statements, a paragraph each; those that are a name and a figure in one."""
    before = f"{topic.group}: " if topic.group else ""
    for are_facts, run in groupby(told, key=is_fact):
        said = [_say(statement, topic) for statement in run]
        for text in ["; ".join(said)] if are_facts else said:
            yield before + text
            before = ""


def _say(said: Statement, topic: Topic) -> str:
    """Say one statement: its name or rank, its words, how large and where it is."""
    known = (topic.label.lower(), topic.title.lower())
    label = "" if said.label.lower() in known else said.label
    text = str(said.short or said.figure)
    is_several = re.search(r"[.?] ", text) is not None
    for part in (said.size, said.where):
        if part and part not in text:
            text += f"{': ' if is_fact(said) else '; '}{part}"
    if is_several and not text.endswith("."):
        text += "."  # sentences end as such
    if label:
        return f"{label}{'' if is_fact(said) else ':'} {text}"
    text = text[:1].upper() + text[1:]
    return f"{said.mark}. {text}" if said.mark.isdecimal() else text


def _fill(label: str, paragraph: str) -> list[str]:
    lines = textwrap.wrap(
        BOUND.sub(BOND, _plain(paragraph)),
        COLUMNS,
        initial_indent=label.ljust(_MARGIN),
        subsequent_indent=" " * _MARGIN,
        max_lines=3,
        placeholder=" ...",
        break_on_hyphens=False,
    )
    return [line.replace(BOND, " ") for line in lines]


def _plain(text: str) -> str:
    """Text without line breaks or what a terminal would obey."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
