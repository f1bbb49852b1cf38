"""The day of the pour: what is still needed, what to call, what is out of line."""

from collections.abc import Iterator, Sequence

from gradevol.after.forecast import Alert
from gradevol.after.progress import Progress
from gradevol.answer.rounding import say_outwards
from gradevol.answer.said.day_call import (
    bear_still,
    list_fed,
    say_needed,
    tell_calls,
    tell_what_calls_rest_on,
)
from gradevol.answer.said.day_words import DAY, name_of
from gradevol.answer.said.step_words import say_given
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.notes import Note
from gradevol.ground.units import Units, digits_of
from gradevol.ground.words import capital, count_of, list_of, with_minus
from gradevol.plan.order.expected import Expected


def tell_day(
    progress: Progress, units: Units, *, loads: int, modelled: float, notes: Sequence[Note]
) -> tuple[Topic, ...]:
    """
    Tell how a pour stands.

    Parameters
    ----------
    progress : Progress
    units : Units
    loads : int
        On the tickets.
    modelled : float
        Concrete in all that is poured, m³.
    notes : sequence of Note

    Returns
    -------
    tuple of Topic
        What is needed and what to call first.
    """
    told = [
        Topic("now", "Now", "", tuple(_tell_now(progress, units))),
        Topic("alerts", "Out of line", "Alert", tuple(_tell_alerts(progress, units))),
        Topic("placed", "So far", "So far", tuple(_tell_placed(progress, units, loads, modelled))),
        Topic("call", "The call", "Call", tuple(tell_what_calls_rest_on(progress, units))),
        Topic("notes", "Notes", "Note", tuple(_tell_notes(notes, units))),
    ]
    return tuple(topic for topic in told if topic.statements)


def _tell_now(progress: Progress, units: Units) -> Iterator[Statement]:
    if progress.is_done:
        said = words(
            DAY["full by tickets" if progress.forecast.ways or progress.surplus else "full"],
            Figure(units.say_volume(progress.ticketed), "ticketed"),
        )
        yield Statement("still", Weight.DECIDES, short=said)
        return
    yield Statement(
        "still",
        Weight.DECIDES,
        short=words(
            DAY["still"],
            Figure(say_needed(progress.still, progress.step, units), "still.volume"),
            _range(progress.still, progress.step, units),
            say_given(progress.level),
            _say_coming(progress, units),
        ),
    )
    yield from tell_calls(progress, units)


def _say_coming(progress: Progress, units: Units) -> Words:
    """Say what of it needs no call; nothing where that hangs on what is off, or is all of it."""
    (choice, *others) = progress.calls
    coming = choice.call.coming
    if others or not 0 < coming < progress.still[0]:
        return Words()
    return words(DAY["on the way"], units.say_volume(coming))


def _tell_placed(
    progress: Progress, units: Units, loads: int, modelled: float
) -> Iterator[Statement]:
    if loads:
        into = words(
            DAY["into"],
            Figure(units.say_volume(progress.ticketed), "ticketed"),
            count_of(loads, "ticket"),
        )
        if progress.behind is not None:
            placed, last = progress.placed, progress.placed.steps[-1]
            front = DAY["front of"].format(last.load.name) if placed.unread else ""
            behind = Figure(units.say_volume(progress.behind), "behind_front")
            into = join("; ", [into, words(DAY[name_of("behind", last)], front, behind)])
        yield Statement("placed", Weight.ACTS, short=join("", [into, "."]))
    if (names := list_of(progress.placed.unread)) and not progress.is_done:
        said = words(DAY[name_of("no front", *progress.placed.steps)], names)
        yield Statement("no_front", Weight.ACTS, short=said)
    if gone := _list_gone(progress, units):
        yield Statement("gone", Weight.TELLS, short=words(DAY["gone"], "; ".join(gone)))
    if progress.called:
        figure = Figure(units.say_volume(progress.called), "called")
        yield Statement("called", Weight.TELLS, short=words(DAY["called"], figure))
    if not progress.is_done:
        yield Statement(
            "total",
            Weight.ACTS,
            short=words(
                DAY["total by tickets" if progress.forecast.ways else "total"],
                Figure(_say_total(progress, units), "total.volume"),
                _range(progress.total, progress.step, units),
                say_given(progress.level),
                Figure(units.say_volume(modelled), "modelled"),
            ),
        )
    mean, low, high = progress.factor
    yield Statement(
        "factor",
        Weight.TELLS,
        short=words(
            DAY["factor"],
            Figure(f"{mean:.3f}", "factor.mean"),
            Figure(f"{low:.3f}", "factor.low"),
            Figure(f"{high:.3f}", "factor.high"),
            Figure(f"{progress.expected.mean:.3f}", "factor.expected"),
            say_expected(progress.expected),
        ),
    )


def _say_total(progress: Progress, units: Units) -> str:
    """Say what the slab will take: what is told to be in it and what is told to be needed."""
    ticketed, still = map(units.to_volume, (progress.ticketed, progress.still[0]))
    borne = (bear_still(each, progress.step, units) for each in (progress.still, progress.total))
    of_still, of_total = borne
    told = round(ticketed, digits_of(ticketed)) + round(max(still, 0.0), of_still)
    low, high = map(float, _bound(progress.total, progress.step, units))
    return f"{min(max(told, low), high):z,.{of_total}f} {units.volume_symbol}"


def _list_gone(progress: Progress, units: Units) -> list[str]:
    """What went elsewhere than into the slab."""
    placed = progress.placed
    gone = list_fed(placed.filled, units)
    return gone + (
        [DAY["returned"].format(units.say_volume(placed.returned))] if placed.returned else []
    )


def say_expected(expected: Expected) -> str:
    """Say what an expected factor rests on, where that is more than the allowances."""
    if not expected.jobs:
        return ""
    share = f"{100 * expected.share:.0f} %"
    return (
        f", from {count_of(expected.jobs, 'earlier job')} ({share} of the way from the allowances, "
        f"{expected.stated:.3f}, to their mean)"
    )


def _tell_alerts(progress: Progress, units: Units) -> Iterator[Statement]:
    if progress.unit is not None:
        unit, other = ("yd³", "m³") if progress.unit == "yd3" else ("m³", "yd³")
        said = words(DAY[name_of("unit", *progress.placed.steps)], unit, other)
        yield Statement("ticket_unit", Weight.DECIDES, short=said, is_alert=True)
    for number, alert in enumerate(progress.forecast.alerts):
        yield Statement(
            f"alerts.{number}", Weight.DECIDES, short=say_alert(alert, units), is_alert=True
        )
    if progress.surplus is not None:
        more = Figure(units.say_volume(progress.surplus), "surplus")
        over = DAY[name_of("over", *progress.placed.steps)]
        said = words(over, more, list_of(progress.placed.unread))
        yield Statement("surplus", Weight.DECIDES, short=said, is_alert=True)


def say_alert(alert: Alert, units: Units) -> Words:
    """Say what is out of line with a load, what it may be, and what it would mean."""
    is_more = alert.excess > 0
    step = alert.step
    seen = words(
        DAY[name_of("alert", step)],
        capital(list_of(step.names)),
        units.say_volume(abs(alert.excess)),
        DAY["more"] if is_more else DAY["less"],
    )
    off: str | Words = ""
    if step.is_by_name:
        off = DAY["more done" if is_more else "less done"]
    elif alert.ahead is not None:
        tape = units.say_tape(abs(alert.ahead))
        off = words(DAY["ahead"], tape, DAY["on"] if is_more else DAY["back"])
    slip = DAY["too much" if is_more else "too little"]
    cause = DAY["gave way" if is_more else "higher"]
    if_front, if_ticket, if_slab = (
        with_minus(units.say_volume(total))
        for total in (alert.total_if_front, alert.total_if_ticket, alert.total_if_step)
    )
    match alert.verdict:
        case "front":
            rest = words(DAY[name_of("front", step)], off)
        case "concrete":
            seen_by = "concrete" if alert.may_be_misread else name_of("beyond", step)
            rest = words(DAY[seen_by], slip, if_ticket, cause, if_slab)
        case _:
            rest = words(DAY[name_of("open", step)], off, if_front, slip, if_ticket, cause, if_slab)
    return join(" ", [seen, rest])


def _tell_notes(notes: Sequence[Note], units: Units) -> Iterator[Statement]:
    for note in notes:  # what a call rests on gives way to what may be wrong with the tickets
        yield Statement(f"notes.{note.code}", Weight.ACTS, short=words("{}", note.say(units)))


def _range(told: tuple[float, float, float], step: float, units: Units) -> str:
    """Between what a volume lies, rounded outwards to its own digits."""
    digits = bear_still(told, step, units)
    ends = (f"{float(end):,.{digits}f}" for end in _bound(told, step, units))
    return DAY["range"].format(*ends)


def _bound(told: tuple[float, float, float], step: float, units: Units) -> tuple[str, str]:
    down, up = (units.to_volume(max(bound, 0.0)) for bound in told[1:])
    return say_outwards(down, up, bear_still(told, step, units))
