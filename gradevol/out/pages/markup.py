"""Markup: words made safe, figures that carry their number, tables that can be copied."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from gradevol.answer.statement import Figure, Said, Words
from gradevol.ground.words import plain
from gradevol.out.tables.cells import guard

#: Parts of an inch, set as fractions where the typeface can.
_FRACTION = re.compile(r"(?<![\d/])\d{1,2}/\d{1,2}(?![\d/])")
#: Spaces at which no line is broken: before a unit, %, a fraction, inches, the number of a side, x.
_BOUND = re.compile(
    r"(?<=\d) (?=\d+(?:/\d+)? |(?:(?:ft|in|mm|m|yd)[²³]?(?!\w)|%))"
    r"|(?<= ft) (?=\d)|(?<=side|rner) (?=\d)|(?<=\d) (?=x \d)|(?<= x) (?=\d)"
)

#: Name and title of a section, folded up or not.
_SECTION = re.compile(r'<section id="([\w-]+)"[^>]*>(?:<details><summary>)?<h2[^>]*>(.*?)</h2>')


def say(text: str) -> str:
    """Text as markup: safe, its measures held together, its fractions set as such."""
    safe = escape(_BOUND.sub("\u00a0", plain(text)))
    return _FRACTION.sub(lambda match: f'<span class="frac">{match[0]}</span>', safe)


@dataclass(frozen=True, slots=True)
class Marker:
    """
    Marks up what is said: each figure carries its number beside its words.

    Attributes
    ----------
    data : mapping
        The plain data of the answer, in which a figure's key is looked up.
    """

    data: Mapping[str, Any]

    def mark(self, said: Said) -> str:
        """Return words as markup."""
        if isinstance(said, Words):
            return "".join(_pad(part, self.mark(part)) for part in said.parts)
        return self._mark_figure(said) if isinstance(said, Figure) else say(said)

    def mark_capital(self, said: Words) -> str:
        """The same, its first letter a capital."""
        if not said.parts or isinstance(said.parts[0], Figure):
            return self.mark(said)
        first, *rest = said.parts
        return self.mark(Words((str(first)[:1].upper() + str(first)[1:], *rest)))

    def _mark_figure(self, figure: Figure) -> str:
        text = figure.text
        if not figure.key:
            return say(text)
        value: Any = self.data
        for part in figure.key.split("."):
            value = value[int(part)] if isinstance(value, list) else value[part]
        if isinstance(value, str):
            return say(text)
        return (
            f'<data value="{escape(str(value))}" data-key="{escape(figure.key)}">{say(text)}</data>'
        )


def _pad(part: str | Figure, marked: str) -> str:
    """Keep the spaces at the ends of a part, which `plain` takes off."""
    text = str(part)
    before = " " if text[:1].isspace() else ""
    return f"{before}{marked}{' ' if text[-1:].isspace() and text.strip() else ''}"


def halve(said: Words, at: str) -> tuple[Words, Words]:
    """Return the words before and after a text; all of them, and none, where it is not there."""
    for number, part in enumerate(said.parts):
        if isinstance(part, str) and at in part:
            before, _, after = part.partition(at)
            return Words((*said.parts[:number], before)), Words((after, *said.parts[number + 1 :]))
    return said, Words()


@dataclass(frozen=True, slots=True)
class Table:
    """
    A table.

    Attributes
    ----------
    name : str
        What it is called, for the button and for who hears the page read.
    head : sequence of str
        Markup of its headings.
    rows : sequence of sequence of str
        Markup of its cells; the first of each row is its heading.
    cells : sequence of sequence of str
        What is copied: a row of headings and rows of plain text, for a spreadsheet.
    ids : sequence of str
        An id for each row; empty where none is needed.
    style : str
        Classes.
    """

    name: str
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    cells: Sequence[Sequence[str]]
    ids: Sequence[str] = ()
    style: str = ""

    def markup(self) -> str:
        """Return the table and the button that copies it."""
        text = "\n".join("\t".join(guard(plain(cell)) for cell in row) for row in self.cells)
        head = "".join(f'<th scope="col" role="columnheader">{cell}</th>' for cell in self.head)
        body = []
        for place, (first, *rest) in enumerate(self.rows):
            mark = f' id="{self.ids[place]}"' if self.ids else ""
            cells = "".join(f'<td role="cell">{cell}</td>' for cell in rest)
            body.append(
                f'<tr{mark} role="row"><th scope="row" role="rowheader">{first}</th>{cells}</tr>'
            )
        name = escape(self.name)
        # roles are written out: a table laid out as blocks on a phone loses them in some browsers
        return (
            f'<button type="button" class="copy" hidden>Copy<span class="unseen"> {name} for a '
            f'spreadsheet</span></button><table class="{self.style}" role="table" '
            f'data-copy="{escape(text)}"><caption class="unseen">{name}</caption>'
            f'<thead role="rowgroup"><tr role="row">{head}</tr></thead>'
            f'<tbody role="rowgroup">{"".join(body)}</tbody></table>'
        )


def section(name: str, title: str, *parts: str, is_folded: bool = False) -> str:
    """Return a section with its heading, folded up under it or not; nothing without parts."""
    inside = "".join(parts)
    if not inside:
        return ""
    told = f'<h2 id="{name}-title">{title}</h2>'
    if is_folded:
        told = f'<details><summary>{told}</summary><div class="held">{inside}</div></details>'
    else:
        told += inside
    return f'<section id="{name}" aria-labelledby="{name}-title">{told}</section>'


def list_sections(markup: str) -> str:
    """List sections as links, whichever there are in their markup."""
    found = _SECTION.findall(markup)
    links = "".join(f'<li><a href="#{name}">{title}</a></li>' for name, title in found)
    return f'<nav aria-label="On this page"><ul>{links}</ul></nav>'


def paragraph(text: str, style: str = "") -> str:
    """Return a paragraph of markup."""
    return f'<p class="{style}">{text}</p>' if style else f"<p>{text}</p>"


def listing(items: Sequence[str]) -> str:
    """Return an unordered list of markup; nothing where it is empty."""
    return f"<ul>{''.join(f'<li>{item}</li>' for item in items)}</ul>" if items else ""


def facts(told: Sequence[tuple[str, str, str]]) -> str:
    """Return names, what they are and what goes with that, as a list."""
    inside = "".join(
        f"<div><dt>{name}</dt><dd>{fact}</dd>{f'<dd><small>{more}</small></dd>' if more else ''}"
        "</div>"
        for name, fact, more in told
    )
    return f'<dl class="facts">{inside}</dl>'
