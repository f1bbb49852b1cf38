"""``reconcile_jobs.html``: several jobs after their pours, on one page, whole in itself."""

from gradevol.answer.accounts import AccountsAnswer
from gradevol.answer.said.trends import HEADS, SHARES, say_count
from gradevol.answer.statement import Statement
from gradevol.ground.words import capital, plain
from gradevol.out.pages.account import PARTS, draw_bars
from gradevol.out.pages.markup import (
    Marker,
    Table,
    list_sections,
    listing,
    paragraph,
    say,
    section,
)
from gradevol.out.pages.shell import fill_page


def compose_accounts_page(answer: AccountsAnswer) -> str:
    """Compose the page: HTML that asks nothing of a network."""
    marker = Marker(answer.plain())
    jobs = answer.jobs.statements
    done = [said for said in jobs if said.figure is not None]
    failed = [said for said in jobs if said.figure is None]
    sections = (
        section(
            "trends",
            say(answer.trends.title),
            draw_bars(answer.bars) if answer.bars else "",
            listing([_say_trend(said, marker) for said in answer.trends.statements]),
        ),
        section("jobs", say(answer.jobs.title), _compose_jobs(answer, done, marker)),
        section(
            "failed",
            "Not reconciled",
            listing([f"<b>{say(said.label)}</b>: {say(str(said.short))}" for said in failed]),
        ),
    )
    return fill_page(
        "accounts.html",
        title="Where the concrete went, job by job",
        kind="after the pours",
        styles=["page.css", "print.css", "account.css"],
        scripts=PARTS,
        lead=paragraph(f"{say_count(answer.jobs)}.", "margin"),
        contents=list_sections("".join(sections)),
        sections="".join(sections),
    )


def _say_trend(said: Statement, marker: Marker) -> str:
    if said.figure is None:
        name = f"<b>{say(said.label)}</b>: " if said.label else ""
        return f"{name}{marker.mark(said.short)}."
    figure = marker.mark(said.figure)
    return f"<b>{say(said.label)}</b>: {figure} {marker.mark(said.short)}."


def _compose_jobs(answer: AccountsAnswer, done: list[Statement], marker: Marker) -> str:
    """Compose the table of the jobs; what is copied of it has all its columns."""
    heads = ("Job", "Ticketed", "Over", *map(capital, HEADS.values()))
    rows = [
        [say(said.label), marker.mark(said.figure or ""), *map(marker.mark, said.details)]
        for said in done
    ]
    table = Table(
        plain(answer.jobs.title),
        heads,
        rows,
        [answer.jobs.columns, *(said.cells for said in answer.jobs.statements)],
        style="jobs causes",
    )
    return (table.markup() + paragraph(say(SHARES), "soft")) if done else ""
