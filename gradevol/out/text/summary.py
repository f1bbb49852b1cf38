"""``summary.txt``: the answer on one screen, the volume first."""

import re
import textwrap
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import groupby

from gradevol.answer.cautions import BRIEFLY, CAUTIONS
from gradevol.answer.statement import FIRST, Statement, Topic, Weight
from gradevol.ground.words import capital, end_sentence, plain
from gradevol.out.text.giving_way import LISTS, WHOLE, Part, is_fact, list_parts, rank_parts
from gradevol.out.text.wrapping import COLUMNS, hang, wrap

#: Of one screen of a terminal.
LINES = 26
_MARGIN = 12
#: A side and what stands there.
_SIDE = re.compile(r"\b(side \d+) \([^()]*\)")
#: The topic whose statements are rows that others refer to.
_ROWS = "work"


def compose_summary(title: str, topics: Sequence[Topic], *, is_all: bool = False) -> str:
    """
    Write the answer as text of one screen.

    Parameters
    ----------
    title : str
    topics : sequence of Topic
        In their order, the volume first. What has no label is for roomier pages.
    is_all : bool
        All that has a label, however many lines it takes.

    Returns
    -------
    str
        Otherwise at most `LINES` lines of `COLUMNS` characters: where that is too little, what
        weighs least is left out, and it is said of what; lists are cut short and say so. It still
        reads well where letters are not of one width, as in a text message.
    """
    parts = list_parts(topics, Weight.DETAILS if is_all else Weight.TELLS)
    first = [part for key in FIRST for part in parts if part.said.key == key]
    headline, *rest = [part for part in parts if part not in first]
    above = [
        textwrap.shorten(plain(title) or "Base check", COLUMNS, placeholder=" ..."),
        *(line for part in (*first, headline) for line in wrap(str(part.said.short), "  ", "  ")),
        "",
    ]
    cautions = CAUTIONS if is_all else (BRIEFLY,)
    foot = ["", *(line for caution in cautions for line in wrap(caution))]
    body = _lay_out(rest, (), most=None) if is_all else _fit(rest, LINES - len(above) - len(foot))
    return "\n".join([*above, *body, *foot]) + "\n"


def _fit(parts: Sequence[Part], room: int) -> list[str]:
    """Lay parts out in so many lines, what weighs most first, as much as finds room."""
    hidden = set(parts)
    lines: list[str] = []
    for part in rank_parts(parts):
        if any(
            each.topic is part.topic and each.item is not None and each.item < (part.item or 0)
            for each in hidden
        ):
            continue  # of a list, none after one that is left out
        told = {part}
        if part.topic.key in WHOLE:
            told |= {each for each in parts if each.topic is part.topic}
        more = _lay_out(parts, hidden - told)
        if len(more) <= room or part.said.weight == Weight.DECIDES:
            lines, hidden = more, hidden - told
    return lines[:room]


def _lay_out(parts: Sequence[Part], hidden: Collection[Part], *, most: int | None = 3) -> list[str]:
    """Lines of what is not hidden, the labels of its topics in the margin, `most` a paragraph."""
    lines: list[str] = []
    last = ""
    named: set[str] = set()
    rows = {
        part.said.where: f"at row {part.said.mark}"
        for part in parts
        if part.topic.key == _ROWS and part.said.where and part.said.mark and part not in hidden
    }
    for topic, run in groupby(parts, key=lambda part: part.topic):
        all_of = list(run)
        left = [part for part in all_of if part not in hidden]
        paragraphs = list(_say_all(topic, [part.said for part in left], rows))
        gone = sum(part.item is not None for part in all_of if part in hidden)
        if gone and (left or topic.key == _ROWS):
            more = " more" if any(part.item is not None for part in left) else ""
            paragraphs.append(f"{gone}{more}: see {LISTS[topic.key]}")
        for paragraph in paragraphs:
            told = _name_once(paragraph, named)
            lines += hang("" if topic.label == last else topic.label, told, _MARGIN, most=most)
            last = topic.label
    if rest := _say_hidden(parts, hidden):
        lines += hang("More", rest, _MARGIN, most=1)
    return lines


def _say_hidden(parts: Sequence[Part], hidden: Collection[Part]) -> str:
    """Say of what there is more to read."""
    shown = {part.topic.label for part in parts if part not in hidden}
    about = dict.fromkeys(
        part.topic.label
        for part in parts
        if part in hidden
        and (part.item is None or part.topic.label not in shown)
        and part.topic.key != _ROWS  # it says so itself
    )
    unsaid = [label.lower() for label in about if label not in shown]
    return f"with --all{': ' if unsaid else ''}{', '.join(unsaid)}" if about else ""


def _name_once(text: str, named: set[str]) -> str:
    """Leave out the names of sides that were told before: ``side 2 (bulkhead)``."""

    def say(found: re.Match[str]) -> str:
        told, bare = found[0], found[1]
        if told in named:
            return bare
        named.add(told)
        return told

    return _SIDE.sub(say, text)


def _say_all(topic: Topic, told: Sequence[Statement], rows: Mapping[str, str]) -> Iterator[str]:
    """
    Say statements, a paragraph each; those that are a name and a figure in one.

    A place that is a row of the fix list is called by it.
    """
    known = {} if topic.key == _ROWS else rows
    before = f"{topic.group}: " if topic.group else ""
    for are_facts, run in groupby(told, key=is_fact):
        said = [_say(statement, topic, known) for statement in run]
        for text in ["; ".join(said)] if are_facts else said:
            yield before + text
            before = ""


def _say(said: Statement, topic: Topic, rows: Mapping[str, str]) -> str:
    """Say one statement: its name or rank, its words, how large and where it is."""
    known = (topic.label.lower(), topic.title.lower())
    label = "" if said.label.lower() in known else said.label
    text = str(said.short or said.figure)
    is_several = re.search(r"[.?] ", text) is not None
    if is_fact(said) and said.doubt:
        text += f" ({said.doubt})"
    for part in (said.size, rows.get(said.where, said.where)):
        if part and part not in text:
            is_named = is_fact(said) and not part.startswith("at row")
            text += f"{': ' if is_named else '; ' if said.short else ', '}{part}"
    if is_several:
        text = end_sentence(text)
    if label:
        return f"{label}{'' if is_fact(said) else ':'} {text}"
    text = capital(text)
    return f"{said.mark}. {text}" if said.mark.isdecimal() else text
