"""How an account reads: what lies above the drawing, and what of it has no home."""

import math
from collections.abc import Iterator

from gradevol.after.account import KEYS
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.account import name_row, say_row
from gradevol.answer.said.amounts import say_amount, say_sigma
from gradevol.answer.statement import Figure, Statement, Topic, Weight, join, words

#: Key of what stands before all else where the tickets can't be all.
LACKING = "reading.lacking"
#: Standard deviations from which on a figure is told as real.
REAL = 2.0


def tell_reading(done: Reconciled) -> tuple[Topic, ...]:
    """Tell how the account reads: what lies above the drawing, and what of it has no home."""
    rest = _tell_lacking(done) if done.found.lacking else _tell_unresolved(done)
    told = (_tell_over(done), *_tell_yield(done), rest)
    return (Topic("reading", "In short", "In short", told),)


def _tell_over(done: Reconciled) -> Statement:
    account, units = done.found.account, done.units
    over = account.row("ticketed").volume - account.row("neat").volume
    told = [
        row
        for row in account.rows
        if row.key not in ("ticketed", "neat", "unresolved") and row.volume
    ]
    told.sort(key=lambda row: -abs(row.volume))
    parts = [
        words(
            "{} {}",
            say_row(row.key, done),
            name_row(row).lower(),
        )
        for row in told
    ]
    way = f"{'more' if over >= 0 else 'less'} ticketed than drawn"
    figure = Figure(units.say_volume(abs(over)), "over_neat" if over >= 0 else "")
    if str(figure) == units.say_volume(0.0):
        way = "apart, as much ticketed as drawn"
    short = words("{} {}", figure, way)
    return Statement(
        "reading.over",
        Weight.DECIDES,
        figure=figure,
        short=short,
        long=short + ": " + join(", ", parts),
    )


def _tell_yield(done: Reconciled) -> Iterator[Statement]:
    row, measured = done.found.account.row("yield"), done.found.measured
    if measured.ratio is None:
        return
    is_real = abs(row.volume) >= REAL * row.sigma
    cost = done.price(row.volume)
    worth = f", worth {say_amount(abs(cost), done)}" if cost is not None else ""
    said = words(
        "The loads held {} of what their tickets say, ±{}",
        Figure(f"{100 * measured.ratio:.1f} %", "yield.value"),
        Figure(f"{100 * measured.sigma:.1f} %", "yield.sigma"),
    )
    said += (
        f": more than the tests scatter{worth}"
        if is_real
        else ": no more than the tests may be off"
    )
    yield Statement("reading.yield", Weight.TELLS, short=said)


def _tell_lacking(done: Reconciled) -> Statement:
    found = done.found
    lacking = say_row("unresolved", done)
    loads = math.ceil(found.lacking * found.loads / found.account.row("ticketed").volume)
    said = words(
        "These tickets can't be all: the slab takes {} more, about {}. Is the pour over? Then a "
        "ticket is missing or in another unit, or the shots are off another bench mark. Reconcile "
        "again with all tickets in; until then no row tells where concrete went",
        Figure(str(lacking).removeprefix("−"), ""),
        "one load" if loads == 1 else f"{loads} loads",
    )
    return Statement(LACKING, Weight.DECIDES, short=said, is_alert=True)


def _tell_unresolved(done: Reconciled) -> Statement:
    row = done.found.account.row("unresolved")
    is_real = abs(row.volume) >= REAL * row.sigma
    sigma = Figure(say_sigma(row.sigma, done), f"rows.{KEYS.index(row.key)}.sigma")
    said = words("{} is unresolved, {}: ", say_row(row.key, done), sigma)
    if not is_real:
        said += "no more than survey and assumptions leave open"
        if row.volume > 0:
            said += ". A base that gave way under the concrete would be in it"
    elif row.volume > 0:
        said += (
            "more than survey and assumptions leave open. Look for a ticket that is counted twice "
            "or in another unit, a pour that no ticket names, a base that gave way, or a base or "
            "top shot off another bench mark"
        )
    else:
        said += (
            "less concrete came than the slab holds. Look for a ticket that is missing, a small "
            "pour that took less, or shots off another bench mark"
        )
    return Statement("reading.unresolved", Weight.ACTS, short=said, is_alert=is_real)
