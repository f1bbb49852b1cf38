"""Topics as sections of the page: names and values, tables, sentences; any topic alike."""

from collections.abc import Callable, Sequence
from html import escape
from itertools import groupby

from gradevol.answer.statement import Place, Statement, Topic, Weight
from gradevol.out.pages.markup import Marker, Table, facts, listing, paragraph, plain, say, section


def compose_topic(topics: Sequence[Topic], marker: Marker) -> str:
    """
    Compose the section of a topic.

    Parameters
    ----------
    topics : sequence of Topic
        Of one key: one, or one a group.
    marker : Marker

    Returns
    -------
    str
        Markup of one section; nothing where nothing is said.
    """
    parts = []
    for topic in topics:
        told = _compose_runs(topic, marker)
        if told and topic.group:
            parts.append(f"<h3>{say(topic.group)}</h3>")
        parts.append(told)
    return section(topics[0].key.replace("_", "-"), say(topics[0].title), *parts)


def _compose_runs(topic: Topic, marker: Marker) -> str:
    """Compose runs of statements that are laid out alike, in their order."""
    said = [statement for statement in topic.statements if not statement.key.endswith(".head")]
    layouts: dict[str, Callable[[list[Statement]], str]] = {
        "slip": lambda run: "".join(_slip(one, topic) for one in run),
        "table": lambda run: _table(topic, run, marker),
        "facts": lambda run: facts([_fact(one, marker) for one in run]),
        "words": lambda run: _sentences(run, marker),
    }
    runs = groupby(said, key=lambda one: _layout_of(one, topic))
    return "".join(layouts[layout](list(run)) for layout, run in runs)


def _layout_of(said: Statement, topic: Topic) -> str:
    if said.key.endswith(".slip"):
        return "slip"
    if topic.columns and said.cells:
        return "table"
    return "facts" if said.figure is not None and said.label else "words"


def _slip(said: Statement, topic: Topic) -> str:
    """Words that are copied and sent as they are."""
    text = plain(str(said.full))
    of = f"{topic.title.lower()}{f' of {plain(topic.group)}' if topic.group else ''}"
    return (
        '<div class="copied"><button type="button" class="copy" hidden>Copy'
        f'<span class="unseen"> the words of the {escape(of)}</span></button>'
        f'<p class="slip" data-copy="{escape(text)}">{say(text)}</p></div>'
    )


def _fact(said: Statement, marker: Marker) -> tuple[str, str]:
    value = f"<b>{marker.mark(said.figure or '')}</b>"
    if said.is_alert:
        value = f'<span class="alert">{value}</span>'
    return say(said.label), value + _small(said, marker)


def _small(said: Statement, marker: Marker) -> str:
    small = "; ".join(marker.mark(words) for words in said.details if words)
    return f"<small>{small}</small>" if small else ""


def _sentences(run: list[Statement], marker: Marker) -> str:
    """Sentences: one is a paragraph, several a list; what is of less weight stands below."""
    items = [(said, _sentence(said, marker)) for said in run]
    loud = [text for said, text in items if text and said.weight >= Weight.TELLS]
    soft = [text for said, text in items if text and said.weight < Weight.TELLS]
    head = listing(loud) if len(loud) > 1 else "".join(map(paragraph, loud))
    return head + "".join(paragraph(text, "soft") for text in soft)


def _sentence(said: Statement, marker: Marker) -> str:
    lead = f"<b>{say(said.label)}.</b> " if said.label else ""
    words = marker.mark(said.full) if said.label else marker.mark_capital(said.full)
    if not words and said.figure is not None:
        words = marker.mark(said.figure)
    where = f": {say(said.where)}" if said.where and said.where not in str(said.full) else ""
    text = f"{lead}{words}{where}"
    if text and text[-1] not in ".?!:>":
        text += "."
    return f"{text} {_show(said)}".strip() if text else ""


def _show(said: Statement) -> str:
    """Return a button that shows a place on the plan."""
    if said.place is None:
        return ""
    what = said.mark or said.label.lower() or said.key.rpartition(".")[2].replace("_", " ")
    target = f'data-next="{escape(said.mark)}"' if said.mark else f'data-at="{_at(said.place)}"'
    return (
        f'<button type="button" class="inline" {target}>show'
        f'<span class="unseen"> {say(what)} on the plan</span></button>'
    )


def _at(place: Place) -> str:
    return f"{place[0]:.6f} {place[1]:.6f}"


def _table(topic: Topic, run: list[Statement], marker: Marker) -> str:
    """Compose a table: of marked places, of places, or of sums."""
    is_marked, is_placed = any(one.mark for one in run), any(one.where for one in run)
    name = plain(f"{topic.title}{f' {topic.group}' if topic.group else ''}")
    style = "work" if is_marked else "items" if is_placed else "sums"
    head = {
        "work": ['<span class="unseen">Place</span>', "Do", "Worst place, by tape"],
        "items": ["Item", "What", "Where, by tape"],
        "sums": ["Part", "Volume"],
    }[style]
    if topic.key in _HEADS:
        head = list(_HEADS[topic.key])
    if any("_yd3" in column or "_m3" in column for column in topic.columns) and style == "sums":
        name = name or "Parts"
    row = {"work": _marked_row, "items": _placed_row, "sums": _sum_row}[style]
    table = Table(
        name,
        head,
        [row(one, marker) for one in run],
        [topic.columns, *(one.cells for one in run)],
        [f"spot-{one.mark}" for one in run] if topic.key == "work" else (),
        style,
    )
    return f'<div class="copied">{table.markup()}</div>'


#: Headings of tables that say more than those of their kind.
_HEADS = {
    "suspects": ('<span class="unseen">Shot</span>', "Stands", "Where, by tape"),
    "tests": ("Cores at random places", "Fails"),
    "moves": ("Move", "Concrete"),
    "cover": ("Item", "Cover", "Where, by tape"),
}


def _marked_row(said: Statement, marker: Marker) -> list[str]:
    is_work = said.key.startswith("fix.")
    what, kind = ("place", "must" if said.is_must else "may") if is_work else ("shot", "shot")
    target = (
        f'data-spot="{escape(said.mark)}"'
        if is_work
        else f'data-at="{_at(said.place)}"'
        if said.place
        else ""
    )
    button = (
        f'<button type="button" class="rank {kind}" {target}><span class="unseen">Show {what} '
        f'</span>{say(said.mark)}<span class="unseen"> on the plan</span></button>'
    )
    must = '<span class="alert">Must.</span> ' if said.is_must else ""
    size = f"<small>{say(said.size)}</small>" if said.size else ""
    return [
        button,
        f"{must}<b>{marker.mark_capital(said.short)}</b>{_small(said, marker)}",
        f"{say(said.where)}{size}",
    ]


def _placed_row(said: Statement, marker: Marker) -> list[str]:
    value = marker.mark(said.figure) if said.figure else marker.mark(said.short)
    style = ' class="alert"' if said.is_alert else ""
    where = f"{say(said.where)} {_show(said)}".strip()
    return [say(said.label), f"<b{style}>{value}</b>{_small(said, marker)}", where]


def _sum_row(said: Statement, marker: Marker) -> list[str]:
    value = marker.mark(said.figure) if said.figure else marker.mark(said.short)
    small = _small(said, marker)
    if said.figure and said.short:
        return [
            f"{say(said.label)}{small}",
            f"<b>{value}</b><small>{marker.mark(said.short)}</small>",
        ]
    return [f"{say(said.label)}{small}", f"<b>{value}</b>" if said.is_must else value]
