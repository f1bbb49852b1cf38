"""``reconcile.html``: where the concrete went, on one page, whole in itself."""

import base64
from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from tempfile import TemporaryDirectory

from gradevol.answer.account import AccountAnswer
from gradevol.answer.drawing.account import Bar, Bars
from gradevol.answer.drawing.as_built import BuiltDrawing
from gradevol.answer.statement import Statement, Topic
from gradevol.ground.words import capital, plain
from gradevol.out.pages.markup import (
    Marker,
    Table,
    list_sections,
    paragraph,
    say,
    section,
)
from gradevol.out.pages.shell import fill_page
from gradevol.out.pages.topics import compose_topics

PARTS = ("shared.js", "common.js", "account.js")
#: Dots an inch of the map: it is shown at about half its size.
_DPI = 130
#: Topics after the account, each a section.
_AFTER = ("settle", "likely", "as_built", "cores", "learned", "jobs", "notes")


def compose_account_page(answer: AccountAnswer) -> str:
    """
    Compose the page.

    Returns
    -------
    str
        HTML that asks nothing of a network.
    """
    marker = Marker(answer.plain())
    sections = "".join(
        _compose_section(topic, answer, marker)
        for key in ("account", *_AFTER)
        if (topic := answer.pick(key)) is not None
    )
    return fill_page(
        "account.html",
        title=plain(answer.title) or "Reconciliation",
        kind="after the pour",
        styles=["page.css", "print.css", "account.css"],
        scripts=PARTS,
        head=_compose_head(answer, marker),
        contents=list_sections(sections),
        heading=say(answer.bars.heading),
        bars=draw_bars(answer.bars),
        map=_embed_map(answer.built) if answer.built else "",
        sections=sections,
    )


def _compose_head(answer: AccountAnswer, marker: Marker) -> str:
    """Say how much more was ticketed than drawn, and how that reads."""
    reading = answer.pick("reading")
    over, *rest = reading.statements if reading else ()
    marked = marker.mark(over.figure or "")
    digits, _, unit = marked.rpartition("\u00a0")
    what = str(over.short).removeprefix(str(over.figure)).strip()
    told = str(over.long).partition(": ")[2]
    items = "".join(
        f'<li class="{"alert" if said.is_alert else ""}">{marker.mark_capital(said.full)}.</li>'
        for said in rest
    )
    return (
        '<section id="answer" aria-labelledby="title">'
        '<p class="kind">After the pour</p>'
        f'<h1 id="title">{say(answer.title) or "Reconciliation"}</h1>'
        f'<p class="big">{digits}<span class="unit">\u00a0{unit}</span> '
        f'<span class="of">{say(what)}</span></p>'
        f"{paragraph(say(capital(told)) + '.', 'margin')}"
        f"<ul>{items}</ul></section>"
    )


def draw_bars(bars: Bars) -> str:
    """Draw the way from drawn to ticketed: each bar begins where the one above it ends."""

    def at(value: float) -> float:
        return 100 * (value - bars.low) / (bars.high - bars.low)

    rows = "".join(_draw_bar(bar, at) for bar in bars.bars)
    marks = "".join(f'<span style="left:{at(mark):.2f}%">{mark:g}</span>' for mark in bars.marks)
    key = "".join(f'<li><i class="{basis}"></i>{say(name)}</li>' for basis, name in bars.bases)
    return (
        f'<figure class="bars"><ol>{rows}</ol><div class="axis" aria-hidden="true">{marks}</div>'
        f'<ul class="key">{key}</ul><figcaption>{say(bars.foot)}</figcaption></figure>'
    )


def _draw_bar(bar: Bar, at: Callable[[float], float]) -> str:
    low, high = sorted((bar.start, bar.end))
    spread = ""
    if bar.high > bar.low:
        wide = at(bar.high) - at(bar.low)
        spread = f'<i class="spread" style="left:{at(bar.low):.2f}%;width:{wide:.2f}%"></i>'
    from_ = "" if bar.is_total else f'<span class="from" style="left:{at(bar.start):.2f}%"></span>'
    sigma = f" <small>{say(bar.sigma)}</small>" if bar.sigma else " <small></small>"
    volume = bar.volume.replace("-", "\N{MINUS SIGN}")
    return (
        f'<li class="{"total" if bar.is_total else ""}"><span class="name">{say(bar.label)}</span>'
        f'<span class="value"><b>{say(volume)}</b>{sigma}</span>'
        f'<span class="track" aria-hidden="true">{from_}<i class="{bar.basis}" '
        f'style="left:{at(low):.2f}%;width:{at(high) - at(low):.2f}%"></i>{spread}</span></li>'
    )


def _embed_map(built: BuiltDrawing) -> str:
    """Put the plan of the slab as built into the page."""
    from gradevol.out.pictures.plan import draw_plan  # noqa: PLC0415  (slow to load)

    with TemporaryDirectory() as folder:
        path = Path(folder) / "as_built.png"
        draw_plan(built.drawing, path, cores=built.cores, dpi=_DPI)
        data = base64.b64encode(path.read_bytes()).decode("ascii")
    words = escape(plain(built.drawing.captions.facts))
    return f'<figure class="map"><img alt="{words}" src="data:image/png;base64,{data}"></figure>'


def _compose_section(topic: Topic, answer: AccountAnswer, marker: Marker) -> str:
    match topic.key:
        case "account":
            told = _compose_account(topic, answer.list_rows(), marker)
        case "likely":
            told = _compose_likely(topic, answer.list_rows("likely"), marker)
        case "settle":
            told = _compose_settling(topic, marker)
        case "cores":
            told = _compose_cores(topic, marker)
        case "jobs":
            told = _compose_jobs(topic)
        case _:
            told = compose_topics([topic], marker)
    return section(topic.key.replace("_", "-"), say(topic.title), told)


def _compose_account(topic: Topic, rows: Sequence[Statement], marker: Marker) -> str:
    """Compose the account as a table that adds up."""
    has_cost = any(len(said.details) > 2 for said in rows)
    head = ("Row", "Volume", "±", *(("Cost",) if has_cost else ()), "What it rests on")
    return Table(
        plain(topic.title),
        head,
        [_list_row(said, marker, has_cost=has_cost) for said in rows],
        [topic.columns, *(said.cells for said in topic.statements)],
        style="account" if has_cost else "account plain",
    ).markup()


def _list_row(said: Statement, marker: Marker, *, has_cost: bool) -> list[str]:
    sigma, basis, *cost = said.details
    evidence = f"{marker.mark_capital(basis)}: {marker.mark(said.full)}"
    cells = [say(said.label), marker.mark(said.figure or ""), marker.mark(sigma)]
    return [*cells, *([marker.mark(cost[0])] if cost and has_cost else []), evidence]


def _compose_likely(topic: Topic, rows: Sequence[Statement], marker: Marker) -> str:
    lead = topic.statements[0]
    table = Table(
        plain(topic.title),
        ("Row", "Best guess", "±", "Can't be told from"),
        [
            [
                say(said.label),
                marker.mark(said.figure or ""),
                marker.mark(said.details[0]),
                marker.mark_capital(said.details[1]),
            ]
            for said in rows
        ],
        [topic.columns, *(said.cells for said in rows)],
        style="likely",
    )
    return paragraph(f"{marker.mark_capital(lead.full)}.", "soft") + table.markup()


def _compose_settling(topic: Topic, marker: Marker) -> str:
    items = "".join(
        f"<li><b>{say(said.label)}, {marker.mark(said.details[0])}</b>: "
        f"{marker.mark(said.full)}.</li>"
        for said in topic.statements
    )
    return f'<ol class="settle">{items}</ol>'


def _compose_cores(topic: Topic, marker: Marker) -> str:
    cores = [said for said in topic.statements if said.cells]
    tests = [said for said in topic.statements if not said.cells]
    table = Table(
        plain(topic.title),
        ("Core", "Thickness", "Where, by tape"),
        [
            [
                say(said.label),
                f'<span class="{"alert" if said.is_alert else ""}">'
                f"{marker.mark_capital(said.short)}</span>",
                say(said.where),
            ]
            for said in cores
        ],
        [topic.columns, *(said.cells for said in cores)],
        style="items",
    ).markup()
    kept = "".join(
        f'<li class="{"alert" if said.is_alert else ""}"><b>{say(said.label)}</b> '
        f"{marker.mark(said.full)}.</li>"
        for said in tests
    )
    return table + (f"<ul>{kept}</ul>" if kept else "")


def _compose_jobs(topic: Topic) -> str:
    """Compose a table of jobs, their causes beside one another, the mean last."""
    return Table(
        plain(topic.title),
        [say(capital(name)) for name in topic.columns],
        [[say(said.label), *map(say, said.cells[1:])] for said in topic.statements],
        [topic.columns, *(said.cells for said in topic.statements)],
        style="jobs",
    ).markup()
