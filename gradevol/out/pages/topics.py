"""Topics on the page: names and values, tables, sentences; any topic alike."""

from collections.abc import Callable, Iterable, Sequence
from html import escape
from itertools import groupby
from typing import TypeAlias

from gradevol.answer.statement import Place, Statement, Topic, Weight
from gradevol.ground.words import end_sentence, plain
from gradevol.out.pages.markup import Marker, Table, facts, halve, listing, paragraph, say

_Told: TypeAlias = tuple[Topic, Statement]

#: Statements that the head of the page tells, or that are for smaller rooms.
_ELSEWHERE = ("survey", "next_shots.head")
#: Headings of tables that say more than those of their kind.
_HEADS = {
    "suspects": ('<span class="unseen">Shot</span>', "What is off", "Where, by tape"),
    "tests": ("Cores at random places", "Fails"),
    "moves": ("Move", "Concrete"),
    "cover": ("Item", "Cover", "Where, by tape"),
}
_HEADS_OF_KIND = {
    "work": ('<span class="unseen">Row</span>', "Do", "Worst place, by tape"),
    "items": ("Item", "What", "Where, by tape"),
    "sums": ("Part", "Volume"),
    "pairs": ("What", "How much"),
}


def compose_topics(topics: Iterable[Topic], marker: Marker) -> str:
    """
    Compose topics that run on, one after another.

    Returns
    -------
    str
        Markup: statements that are laid out alike stand together, in their order; names and values
        stand where the first of them does, not torn apart by what explains them.
    """
    told = [
        (topic, said) for topic in topics for said in topic.statements if said.key not in _ELSEWHERE
    ]
    layouts: dict[str, Callable[[Sequence[_Told], Marker], str]] = {
        "slip": _compose_slips,
        "table": _compose_table,
        "facts": _compose_facts,
        "places": lambda run, marker: listing(_say_all(run, marker)),
        "words": _compose_sentences,
        "aside": _compose_aside,
    }
    values = [one for one in told if _choose_layout(one)[0] == "facts"]
    if values:
        at = told.index(values[0])
        told = [*told[:at], *values, *(one for one in told[at:] if one not in values)]
    runs = groupby(told, key=_choose_layout)
    return "".join(layouts[layout](list(run), marker) for (layout, _), run in runs)


def _choose_layout(told: _Told) -> tuple[str, str]:
    """Return how a statement is laid out, and of a table which."""
    topic, said = told
    if said.key.endswith(".slip"):
        return "slip", ""
    if topic.columns and said.cells:
        return "table", topic.key
    if said.figure is not None and said.label:
        return "facts", ""
    if topic.key == "work" and said.weight < Weight.TELLS:
        return "aside", ""
    return "places" if said.mark else "words", ""


def _compose_slips(run: Sequence[_Told], _marker: Marker) -> str:
    """Compose words that are copied and sent as they are."""
    slips = []
    for topic, said in run:
        text = plain(str(said.full))
        of = f"{topic.title.lower()}{f' of {plain(topic.group)}' if topic.group else ''}"
        slips.append(
            '<div class="copied"><button type="button" class="copy" hidden>Copy'
            f'<span class="unseen"> the words of the {escape(of)}</span></button>'
            f'<p class="slip" data-copy="{escape(text)}">{say(text)}</p></div>'
        )
    return "".join(slips)


def _compose_facts(run: Sequence[_Told], marker: Marker) -> str:
    """Compose names and values, what goes with a value below it."""
    told = []
    for _, said in run:
        value = marker.mark(said.figure or "")
        if said.weight >= Weight.TELLS:
            value = f"<b>{value}</b>"
        where = f"{say(said.where)} {_show(said)}" if said.where else ""
        more = "; ".join([*(marker.mark(words) for words in said.details if words), where])
        told.append(
            (
                say(said.label),
                f'<span class="alert">{value}</span>' if said.is_alert else value,
                more.removesuffix("; "),
            )
        )
    return facts(told)


def _compose_sentences(run: Sequence[_Told], marker: Marker) -> str:
    """Compose sentences: several are a list, one is a paragraph, soft where it weighs little."""
    items = _say_all(run, marker)
    if len(items) > 1:
        return listing(items)
    is_soft = all(said.weight < Weight.TELLS for _, said in run)
    return "".join(paragraph(text, "soft" if is_soft else "") for text in items)


def _compose_aside(run: Sequence[_Told], marker: Marker) -> str:
    """Compose what is said of all rows of a list: where there is little room it is folded up."""
    told = _compose_sentences(run, marker)
    summary = "<summary><h3>Notes on the list</h3></summary>"
    return f'<details class="aside" open>{summary}{told}</details>' if told else ""


def _say_all(run: Sequence[_Told], marker: Marker) -> list[str]:
    return [text for _, said in run if (text := _say_sentence(said, marker))]


def _say_sentence(said: Statement, marker: Marker) -> str:
    """Say a statement as a sentence: of a marked place its name and where it is first."""
    words, show = marker.mark_capital(said.full), _show(said)
    if said.mark and said.where:
        return f"<b>{say(said.label)}</b>: {say(said.where)}. {show} {end_sentence(words)}"
    if said.label:
        words = f"<b>{say(said.label)}</b>: {marker.mark(said.full)}"
    if said.where and said.where not in str(said.full):
        words += f"{';' if said.label else ':'} {say(said.where)}"
    return f"{end_sentence(words)} {show}".strip() if words else ""


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


def _compose_table(run: Sequence[_Told], marker: Marker) -> str:
    """Compose a table: of marked places, of places, of sums that add up, of pairs."""
    topic, rows = run[0][0], [said for _, said in run]
    if any(said.mark for said in rows):
        style, row = "work", _list_marked
    elif any(said.where for said in rows):
        style, row = "items", _list_placed
    else:
        style = "sums" if topic.columns[-1].startswith("volume") else "pairs"
        row = _list_pair
    return Table(
        plain(f"{topic.title} {topic.group}"),
        _HEADS.get(topic.key, _HEADS_OF_KIND[style]),
        [row(said, marker) for said in rows],
        [topic.columns, *(said.cells for said in rows)],
        [f"spot-{said.mark}" for said in rows] if topic.key == "work" else (),
        style,
    ).markup()


def _list_marked(said: Statement, marker: Marker) -> list[str]:
    """
    List cells of a marked place: its mark as a button, what is to do or off there, where.

    What is to do folds up what goes with it: it stands open where no script runs, and on paper.
    """
    if is_work := said.key.startswith("fix."):
        what, kind = "row", "must" if said.is_must else "may"
        target, loud, rest = f'data-spot="{escape(said.mark)}"', said.short, ""
    else:
        what, kind = "shot", "shot"
        shot = f'data-suspect="{escape(said.mark)}"'
        target = f'data-at="{_at(said.place)}" {shot}' if said.place else ""
        loud, left = halve(said.short, "; ")
        rest = f"<small>{marker.mark(left)}</small>" if left else ""
    button = (
        f'<button type="button" class="rank {kind}" {target}><span class="unseen">Show {what} '
        f'</span>{say(said.mark)}<span class="unseen"> on the plan</span></button>'
    )
    must = '<span class="alert">Must.</span> ' if is_work and said.is_must else ""
    is_sized = said.size and said.size not in str(said.short)
    size = f"<small>{say(said.size)}</small>" if is_sized else ""
    return [
        button,
        f'<details class="row" open><summary><span>{must}<b>{marker.mark_capital(loud)}</b></span>'
        f"</summary>{rest}{_small(said, marker)}</details>",
        f"{say(said.where)}{size}",
    ]


def _list_placed(said: Statement, marker: Marker) -> list[str]:
    value = marker.mark(said.figure or said.short)
    style = ' class="alert"' if said.is_alert else ""
    where = f"{say(said.where)} {_show(said)}".strip()
    return [say(said.label), f"<b{style}>{value}</b>{_small(said, marker)}", where]


def _list_pair(said: Statement, marker: Marker) -> list[str]:
    """List a name, what goes with it below, and its value, which may be told in words."""
    value, words = str(said.figure or ""), marker.mark(said.short)
    if value and value not in str(said.short):
        words = f"{marker.mark(said.figure or '')}{f'<small>{words}</small>' if words else ''}"
    return [f"{say(said.label)}{_small(said, marker)}", words]


def _small(said: Statement, marker: Marker) -> str:
    small = "; ".join(marker.mark(words) for words in said.details if words)
    return f"<small>{small}</small>" if small else ""
