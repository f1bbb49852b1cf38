"""``report.html``: the whole answer on one page, whole in itself, with a plan to touch."""

import json
import re
from html import escape
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Any

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.drawing import draw_up
from gradevol.answer.result import Result
from gradevol.out.pages.account import (
    compose_notes,
    compose_parts,
    compose_survey,
    compose_unseen,
)
from gradevol.out.pages.answer import compose_answer
from gradevol.out.pages.drains import compose_moves, compose_top
from gradevol.out.pages.hidden import compose_hidden
from gradevol.out.pages.markup import paragraph, plain, say
from gradevol.out.pages.next_shots import compose_next_shots
from gradevol.out.pages.order import compose_order
from gradevol.out.pages.plan_data import compose_plan
from gradevol.out.pages.work import compose_cover, compose_suspects, compose_work

_PARTS = ("reading.js", "drawing.js", "marks.js", "key.js", "page.js")


def write_page(path: Path, view: dict[str, Any], result: Result) -> None:
    """Write `compose_page` to a file."""
    path.write_text(compose_page(view, result), encoding="utf-8", newline="\n")


def compose_page(view: dict[str, Any], result: Result) -> str:
    """
    Compose the page.

    Parameters
    ----------
    view : dict
        From `present`.
    result : Result
        The same result; its measures are said as a tape shows them, and its field is what a touch
        on the plan reads.

    Returns
    -------
    str
        HTML that asks nothing of a network. Its length is bounded: of a field of many pieces it
        holds a grid (`packing.MOST_PIECES`), of long outlines fewer corners.
    """
    held = files("gradevol.out.pages")
    plan = compose_plan(draw_up(result))
    rest = (
        compose_order(view, result),
        compose_work(view, result),
        compose_suspects(view, result),
        compose_cover(view, result),
        compose_parts(view, result),
        compose_hidden(view, result),
        compose_unseen(view, result),
        compose_next_shots(view, result),
        compose_top(view, result),
        compose_moves(view, result),
        compose_notes(view),
        compose_survey(view, result),
    )
    template = Template(held.joinpath("page.html").read_text(encoding="utf-8"))
    return template.substitute(
        title=escape(plain(view["title"]) or "Base check"),
        style=held.joinpath("page.css").read_text(encoding="utf-8"),
        answer=compose_answer(view, result),
        contents=_list_sections("".join(rest)),
        basis=_say_basis(plan, result),
        rest="".join(rest),
        cautions="".join(paragraph(say(caution)) for caution in CAUTIONS),
        plan=_embed(plan),
        script="\n".join(held.joinpath(part).read_text(encoding="utf-8") for part in _PARTS),
    )


def _list_sections(markup: str) -> str:
    """List the sections as links, whichever there are."""
    found = re.findall(r'<section id="([\w-]+)"[^>]*><h2[^>]*>(.*?)</h2>', markup)
    links = "".join(f'<li><a href="#{name}">{title}</a></li>' for name, title in found)
    return f'<nav aria-label="On this page"><ul>{links}</ul></nav>'


def _say_basis(plan: dict[str, Any], result: Result) -> str:
    """Say what a touch reads."""
    field = plan["field"]
    if field["kind"] == "exact":
        text = "A touch reads the very surface that the figures are worked out from."
    else:
        cell = say(result.units.say_thickness(field["cell"]))
        text = (
            f"A touch reads the surface at the middle of the nearest square of {cell}; the figures "
            "are exact for the surface itself."
        )
    return f"{text} Thickness is rounded down."


def _embed(data: dict[str, Any]) -> str:
    """Data as JSON that can't end the element that holds it."""
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
