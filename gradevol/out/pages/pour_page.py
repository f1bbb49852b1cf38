"""``pour.html``: the day of the pour on a phone, whole in itself."""

from collections.abc import Mapping, Sequence
from typing import Any

from gradevol.ground.words import plain
from gradevol.out.pages.markup import listing, say, section
from gradevol.out.pages.packing import embed, encode
from gradevol.out.pages.shell import fill_page

_PARTS = (
    "shared.js",
    "pour_front.js",
    "pour_forecast.js",
    "pour_call.js",
    "pour_words.js",
    "pour_times.js",
    "pour_file.js",
    "pour_giving.js",
    "pour_kept.js",
    "pour.js",
)


def compose_pour_page(data: Mapping[str, Any], notes: Sequence[str]) -> str:
    """
    Compose the page.

    Parameters
    ----------
    data : mapping
        From `answer.said.pour_page`.
    notes : sequence of str
        What is to be warned of.

    Returns
    -------
    str
        HTML that asks nothing of a network.
    """
    pieces = data["pieces"]
    packed = {
        "nodes": encode(pieces["nodes"].astype("<f8")),
        "faces": encode(pieces["faces"].astype("<u4")),
        "own": pieces["own"],
    }
    title = ": ".join(part for part in (data["title"], data["part"]) if part)
    return fill_page(
        "pour.html",
        title=plain(title) or "Pour",
        kind="day of the pour",
        styles=["pour.css"],
        scripts=_PARTS,
        volume=say(data["units"]["volume"]),
        notes=section("notes", "Notes", listing([say(note) for note in notes])),
        data=embed({**data, "pieces": packed}),
    )
