"""``gradevol reconcile`` on a screen: the account, how it reads, what would settle the rest."""

import textwrap
from collections.abc import Iterator

from gradevol.answer.account import AccountAnswer
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.said.reading import LACKING
from gradevol.answer.statement import Statement, Topic
from gradevol.ground.words import capital, plain
from gradevol.out.text.wrapping import COLUMNS, hang, wrap

_MARGIN = 12
#: Topics below the account, and statements told of each.
_BELOW = {"reading": 9, "settle": 3, "as_built": 9, "cores": 12, "learned": 1, "notes": 9}


def compose_account_text(answer: AccountAnswer) -> str:
    """
    Write the account as text.

    Returns
    -------
    str
        A table that adds up, and below it what it says; lines of 78 characters at most.
    """
    rows = list(_list_rows(answer))
    below = [line for key, most in _BELOW.items() for line in _say_topic(answer.pick(key), most)]
    below += _list_jobs(answer.pick("jobs"))
    title = textwrap.shorten(plain(answer.title) or "Reconciliation", COLUMNS, placeholder=" ...")
    foot = [line for caution in CAUTIONS for line in textwrap.wrap(caution, COLUMNS)]
    reading = answer.pick("reading")
    lacking = [said for said in (reading.statements if reading else ()) if said.key == LACKING]
    head = [line for said in lacking for line in wrap(_say(said), "  ", "  ")]
    return "\n".join([title, *head, "", *rows, "", *below, "", *foot]) + "\n"


def _list_rows(answer: AccountAnswer) -> Iterator[str]:
    unit = answer.bars.unit
    yield f"{'':20}{unit:>8}   ± is one standard deviation"
    for said in answer.list_rows():
        sigma, basis, *cost = map(str, said.details)
        if said.key == "rows.ticketed":
            yield "-" * 58
        volume = str(said.figure).removesuffix(f" {unit}")
        money = cost[0] if cost else ""
        yield f"{said.label:20}{volume:>8}{sigma:>8}{money:>10}   {basis}".rstrip()


def _list_jobs(topic: Topic | None) -> list[str]:
    """Jobs below one another, their causes in columns; nothing without others."""
    if topic is None:
        return []
    rows = [("Jobs so far", *topic.columns[1:])]
    rows += [(said.label, *said.cells[1:]) for said in topic.statements]
    lines = [
        f"{textwrap.shorten(plain(name), 22, placeholder='...'):23}"
        + "".join(f"{cell:>11}" for cell in cells)
        for name, *cells in rows
    ]
    return ["", *lines]


def _say_topic(topic: Topic | None, most: int) -> Iterator[str]:
    if topic is None:
        return
    label = topic.label
    told = [said for said in topic.statements[:most] if said.key != LACKING]
    for said in told:
        yield from hang(label, _say(said), _MARGIN)
        label = ""
    if len(topic.statements) > most and topic.key == "settle":
        yield from hang("", "More: see reconcile.html", _MARGIN)


def _say(said: Statement) -> str:
    where = f"; {said.where}" if said.where else ""
    if not said.short:
        details = "".join(f", {words}" for words in map(str, said.details) if words)
        return f"{said.label} {said.figure}{details}{where}".lstrip()
    text = f"{said.short}{where}"
    return f"{said.label}: {text}" if said.label else capital(text)
