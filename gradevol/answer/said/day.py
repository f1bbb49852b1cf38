"""The day of the pour: what is still needed, what to call, what is out of line."""

from collections.abc import Iterator, Sequence

from gradevol.after.call import Call
from gradevol.after.forecast import Alert
from gradevol.after.progress import Progress
from gradevol.answer.rounding import say_outwards
from gradevol.answer.said.day_words import DAY, say_clock
from gradevol.answer.said.step_words import StepWords, say_given, say_hours, say_short, trim
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.ground.words import capital, count_of, list_of
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
        Topic("call", "The call", "Call", tuple(_tell_call(progress, units))),
        Topic("notes", "Notes", "Note", tuple(_tell_notes(notes, units))),
    ]
    return tuple(topic for topic in told if topic.statements)


def _tell_now(progress: Progress, units: Units) -> Iterator[Statement]:
    if progress.is_done:
        said = words(
            DAY["full"],
            Figure(units.say_volume(progress.ticketed), "ticketed"),
        )
        yield Statement("still", Weight.DECIDES, short=said)
        return
    low, high = progress.still[1:]
    yield Statement(
        "still",
        Weight.DECIDES,
        short=words(
            DAY["still"],
            Figure(_say(progress.still[0], units), "still.volume"),
            _range(low, high, units),
            say_given(progress.level),
        ),
    )
    if progress.call is not None:
        yield Statement("call", Weight.DECIDES, short=_say_call(progress.call, units))


def _say_call(call: Call, units: Units) -> Words:
    """Say what to call, by when, and what it feeds."""
    if call.order is None:
        enough = words(DAY["enough"], _say(call.coming, units)) if call.coming else ""
        return words(DAY["nothing"], enough)
    figure = Figure(
        f"{StepWords(call.order, units).say(call.volume)} {units.volume_symbol}", "call.volume"
    )
    said = words(DAY["call"], figure, _say_when(call))
    if call.feeds:
        said = join(" ", [said, words(DAY["feeds"], list_of(_list_fed(call.feeds, units)))])
    return said


def _say_when(call: Call) -> str | Words:
    if call.by is None:
        return ""
    if call.is_late:
        return words(DAY["late"], Figure(say_clock(call.by), "call.by"))
    return words(DAY["by"], Figure(say_clock(call.by), "call.by"))


def _list_fed(feeds: Sequence[tuple[str, int, float]], units: Units) -> list[str]:
    """Small pours and what each takes: ``pad 1.23 yd³``, ``2 x bollard base 0.52 yd³``."""
    return [
        f"{name if count == 1 else DAY['several'].format(count, name)} {units.say_volume(volume)}"
        for name, count, volume in feeds
    ]


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
            behind = Figure(units.say_volume(progress.behind), "behind_front")
            into = join("; ", [into, words(DAY["behind"], behind)])
        yield Statement("placed", Weight.ACTS, short=join("", [into, "."]))
    if gone := _list_gone(progress, units):
        yield Statement("gone", Weight.TELLS, short=words(DAY["gone"], "; ".join(gone)))
    if not progress.is_done:
        yield Statement(
            "total",
            Weight.ACTS,
            short=words(
                DAY["total"],
                Figure(_say(progress.total[0], units), "total.volume"),
                _range(*progress.total[1:], units),
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
            Figure(f"{progress.forecast.expected:.3f}", "factor.expected"),
            say_expected(progress.expected),
        ),
    )


def _list_gone(progress: Progress, units: Units) -> list[str]:
    """What went elsewhere than into the slab."""
    placed = progress.placed
    gone = _list_fed(placed.filled, units)
    return gone + (
        [DAY["returned"].format(units.say_volume(placed.returned))] if placed.returned else []
    )


def say_expected(expected: Expected) -> str:
    """Say what an expected factor rests on, where that is more than the allowances."""
    if not expected.jobs:
        return ""
    return (
        f", from {count_of(expected.jobs, 'earlier job')} ({expected.share:.0%} of the way from "
        f"the allowances, {expected.stated:.3f}, to their mean)"
    )


def _tell_call(progress: Progress, units: Units) -> Iterator[Statement]:
    call = progress.call
    if call is None:
        return
    yield Statement("call.rests_on", Weight.TELLS, short=say_rests_on(progress, units))
    if call.order is None:
        return
    low, high = (max(bound - call.coming, 0.0) for bound in progress.still[1:])
    step = StepWords(call.order, units)
    if call.by is not None and not call.is_late:
        yield Statement(
            "call.wait",
            Weight.TELLS,
            short=words(
                DAY["wait"],
                step.down(low),
                step.up(high),
            ),
        )
    if call.chance_short is not None:
        yield Statement(
            "call.chance_short",
            Weight.TELLS,
            short=words(
                DAY["short"],
                Figure(capital(say_short(call.chance_short, call.order)), "call.chance_short"),
                Figure(units.say_volume(call.left_over), "call.left_over"),
            ),
        )


def say_rests_on(progress: Progress, units: Units) -> Words:
    """Say what a call rests on."""
    call = progress.call
    if call is None:
        return Words()
    parts: list[str | Words] = [
        words(DAY["rests still"], _say(progress.still[0], units)),
    ]
    if call.coming > 0:
        parts.append(words(DAY["rests coming"], units.say_volume(call.coming)))
    order = call.order
    if order is None:
        parts.append(words(DAY["rests risk"], say_given(call.risk)))
        return words("{}.", join(", ", parts))
    is_by_costs = order.way == "costs"
    parts.append(
        DAY["rests costs"] if is_by_costs else words(DAY["rests risk"], say_given(call.risk))
    )
    parts.append(words(DAY["rests step"], trim(f"{units.to_volume(order.plant.step):.3f}")))
    said = words("{}.", join(", ", parts))
    pace = call.pace
    if call.by is None or pace.rate is None or pace.out_at is None:
        return said
    told = DAY["stated"] if pace.is_stated else DAY["seen"]
    notice = say_hours(call.notice) if call.notice is not None else ""
    return join(
        " ",
        [
            said,
            words(
                DAY["pace"],
                say_clock(pace.out_at),
                trim(f"{units.to_volume(pace.rate):.0f}"),
                units.volume_symbol,
                told,
                notice,
            ),
        ],
    )


def _tell_alerts(progress: Progress, units: Units) -> Iterator[Statement]:
    for number, alert in enumerate(progress.forecast.alerts):
        yield Statement(
            f"alerts.{number}", Weight.DECIDES, short=say_alert(alert, units), is_alert=True
        )


def say_alert(alert: Alert, units: Units) -> Words:
    """Say what is out of line with a load, what it may be, and what it would mean."""
    is_more = alert.excess > 0
    name = alert.step.load.name
    seen = words(
        DAY["alert"],
        capital(name),
        units.say_volume(abs(alert.excess)),
        DAY["more"] if is_more else DAY["less"],
    )
    off: str | Words = ""
    if alert.ahead is not None:
        tape = units.say_tape(abs(alert.ahead))
        off = words(DAY["ahead"], tape, DAY["on"] if is_more else DAY["back"])
    cause = DAY["gave way"] if is_more else DAY["left out"]
    match alert.verdict:
        case "front":
            rest = words(DAY["front"], off)
        case "concrete":
            rest = words(DAY["concrete"], cause)
        case _:
            rest = words(
                DAY["open"],
                off,
                units.say_volume(alert.total_if_front),
                cause,
                units.say_volume(alert.total_if_step),
            )
    return join(" ", [seen, rest])


def _tell_notes(notes: Sequence[Note], units: Units) -> Iterator[Statement]:
    for note in notes:
        yield Statement(f"notes.{note.code}", Weight.TELLS, short=words("{}", note.say(units)))


def _say(volume: float, units: Units) -> str:
    return units.say_volume(max(volume, 0.0))


def _range(low: float, high: float, units: Units) -> str:
    """Between what a volume lies, rounded outwards to the tenth."""
    down, up = (units.to_volume(max(bound, 0.0)) for bound in (low, high))
    return DAY["range"].format(*say_outwards(down, up))
