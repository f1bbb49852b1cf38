"""``report.html``: the whole answer on one page, whole in itself, with a plan to touch."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from gradevol.answer.compose import Answer
from gradevol.answer.statement import Topic
from gradevol.ground.units import Notation, Units
from gradevol.ground.words import plain
from gradevol.out.pages.head import compose_head
from gradevol.out.pages.markup import Marker, list_sections, say
from gradevol.out.pages.packing import embed
from gradevol.out.pages.plan_data import compose_plan
from gradevol.out.pages.sections import compose_lead, compose_sections
from gradevol.out.pages.shell import fill_page
from gradevol.out.pages.still import compose_still
from gradevol.out.pages.weaving import weave

_PARTS = (
    *("shared.js", "common.js", "lengths.js", "reading.js", "tapes.js", "drawing.js", "room.js"),
    *("sides.js", "marks.js", "key.js", "rechecks_kept.js", "rechecks.js", "sending.js", "page.js"),
)


def compose_page(answer: Answer, *, picture: Path | None = None) -> str:
    """
    Compose the page.

    Parameters
    ----------
    answer : Answer
    picture : Path, optional
        The plan as a PNG, for readers without scripts and for paper.

    Returns
    -------
    str
        HTML that asks nothing of a network. Its length is bounded: of a field of many pieces it
        holds a grid (`packing.MOST_PIECES`), of long outlines fewer corners.
    """
    marker, plan = Marker(answer.plain()), compose_plan(answer)

    def compose(part: Callable[[tuple[Topic, ...]], str]) -> dict[Notation, str]:
        return {name: part(said.topics) for name, said in answer.written.items()}

    rest = compose(lambda topics: compose_sections(topics, marker))
    basis = {
        notation: _say_basis(plan["field"], answer.units.written(notation))
        for notation in answer.written
    }
    return fill_page(
        "page.html",
        title=plain(answer.title) or "Base check",
        kind="base check",
        styles=["page.css", "print.css"],
        scripts=_PARTS,
        answer=weave(compose(lambda topics: compose_head(answer.title, topics, marker))),
        lead=weave(compose(lambda topics: compose_lead(topics, marker))),
        still=compose_still(picture),
        contents=list_sections(next(iter(rest.values()))),
        basis=weave(basis),
        rest=weave(rest),
        plan=embed(plan),
    )


def _say_basis(field: dict[str, Any], units: Units) -> str:
    """Say what a touch reads."""
    text = "A touch reads the very surface that the figures are worked out from."
    if field["kind"] != "exact":
        cell = say(units.say_thickness(field["cell"]))
        text = (
            f"A touch reads the surface at the middle of the nearest square of {cell}; the figures "
            "are exact for the surface itself."
        )
    return f"{text} Thickness is rounded down."
