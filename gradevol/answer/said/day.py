"""The day of the pour: what is still needed, what to call, what is out of line."""

import math
from collections.abc import Iterator, Sequence

from gradevol.after.call import Call
from gradevol.after.forecast import Alert
from gradevol.after.progress import Progress
from gradevol.answer.said.step_words import StepWords, say_given, say_hours, say_short, trim
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.ground.words import count_of, list_of


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
            "The slab is full: it took {}.",
            Figure(units.say_volume(progress.ticketed), "ticketed"),
        )
        yield Statement("still", Weight.DECIDES, short=said)
        return
    low, high = progress.still[1:]
    yield Statement(
        "still",
        Weight.DECIDES,
        short=words(
            "Still needed {} ({} at {}).",
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
        enough = f": the {_say(call.coming, units)} on the way is enough" if call.coming else ""
        return words("Call nothing more{}.", enough)
    figure = Figure(
        f"{StepWords(call.order, units).say(call.volume)} {_symbol(units)}", "call.volume"
    )
    said = words("Call {}{}.", figure, _say_when(call))
    if call.feeds:
        said = join(" ", [said, words("It feeds {}.", list_of(_list_fed(call.feeds, units)))])
    return said


def _say_when(call: Call) -> str | Words:
    if call.by is None:
        return ""
    if call.is_late:
        return words(" now: {} has gone by", Figure(say_clock(call.by), "call.by"))
    return words(" by {}", Figure(say_clock(call.by), "call.by"))


def _list_fed(feeds: Sequence[tuple[str, int, float]], units: Units) -> list[str]:
    """Small pours and what each takes: ``pad 1.23 yd³``, ``2 x bollard base 0.52 yd³``."""
    return [
        f"{name if count == 1 else f'{count} x {name}'} {units.say_volume(volume)}"
        for name, count, volume in feeds
    ]


def say_clock(hours: float) -> str:
    """Say a time of day: ``9:10``; of a later day, ``0:20 the next day``."""
    minutes = math.floor(hours * 60 + 1e-6)
    day = minutes // 1440
    said = f"{minutes % 1440 // 60}:{minutes % 60:02d}"
    return said if day < 1 else f"{said} {'the next day' if day == 1 else f'{day} days on'}"


def _tell_placed(
    progress: Progress, units: Units, loads: int, modelled: float
) -> Iterator[Statement]:
    if loads:
        into = words(
            "{} into the slab on {}",
            Figure(units.say_volume(progress.ticketed), "ticketed"),
            count_of(loads, "ticket"),
        )
        if progress.behind is not None:
            behind = Figure(units.say_volume(progress.behind), "behind_front")
            into = join("; ", [into, words("modelled behind the front: {}", behind)])
        yield Statement("placed", Weight.ACTS, short=join("", [into, "."]))
    if gone := _list_gone(progress, units):
        yield Statement("gone", Weight.TELLS, short=words("Elsewhere: {}.", "; ".join(gone)))
    if not progress.is_done:
        yield Statement(
            "total",
            Weight.ACTS,
            short=words(
                "The slab will take {} ({} at {}); modelled {}.",
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
            "It takes {} for each 1 modelled ({} to {}); {} was expected{}.",
            Figure(f"{mean:.3f}", "factor.mean"),
            Figure(f"{low:.3f}", "factor.low"),
            Figure(f"{high:.3f}", "factor.high"),
            Figure(f"{progress.forecast.expected:.3f}", "factor.expected"),
            _say_expected(progress),
        ),
    )


def _list_gone(progress: Progress, units: Units) -> list[str]:
    """What went elsewhere than into the slab."""
    placed = progress.placed
    gone = _list_fed(placed.filled, units)
    return gone + ([f"returned {units.say_volume(placed.returned)}"] if placed.returned else [])


def _say_expected(progress: Progress) -> str:
    expected = progress.expected
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
                "The later you call, the surer: the slab may yet need {} to {} of it.",
                step.down(low),
                step.up(high),
            ),
        )
    if call.chance_short is not None:
        yield Statement(
            "call.chance_short",
            Weight.TELLS,
            short=words(
                "{} chance that the slab comes up short; {} beyond it as expected.",
                Figure(_capital(say_short(call.chance_short, call.order)), "call.chance_short"),
                Figure(units.say_volume(call.left_over), "call.left_over"),
            ),
        )


def say_rests_on(progress: Progress, units: Units) -> Words:
    """Say what a call rests on."""
    call = progress.call
    if call is None:
        return Words()
    parts: list[str | Words] = [
        f"Still needed {_say(progress.still[0], units)}",
    ]
    if call.coming > 0:
        parts.append(f"less {units.say_volume(call.coming)} released and not ticketed yet")
    order = call.order
    if order is None:
        parts.append(f"at {say_given(call.risk)} risk")
        return words("{}.", join(", ", parts))
    way = (
        "at the least expected cost" if order.way == "costs" else f"at {say_given(call.risk)} risk"
    )
    parts.append(f"{way}, in steps of {trim(f'{units.to_volume(order.plant.step):.3f}')}")
    said = words("{}.", join(", ", parts))
    pace = call.pace
    if call.by is None or pace.rate is None or pace.out_at is None:
        return said
    told = "stated" if pace.is_stated else "as it went so far"
    notice = say_hours(call.notice) if call.notice is not None else ""
    return join(
        " ",
        [
            said,
            f"Out at {say_clock(pace.out_at)}; {trim(f'{units.to_volume(pace.rate):.0f}')} "
            f"{_symbol(units)} an hour ({told}); {notice} notice.",
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
        "{}: {} {} is ticketed than its front accounts for.",
        _capital(name),
        units.say_volume(abs(alert.excess)),
        "more" if is_more else "less",
    )
    off = ""
    if alert.ahead is not None:
        tape = units.say_tape(abs(alert.ahead))
        off = f" (it then stands {tape} farther {'on' if is_more else 'back'})"
    cause = (
        "a wrong ticket, a form or a base that gave way"
        if is_more
        else "a ticket left out, or more on a truck than it says"
    )
    match alert.verdict:
        case "front":
            rest = words("The loads after it say that its front was misread{}.", off)
        case "concrete":
            rest = words(
                "The loads after it bear it out: {}. It is counted in what the slab takes.", cause
            )
        case _:
            rest = words(
                "If its front is misread{}, the slab takes {}; if it is {}, {}. Tape the front "
                "again and look at the ticket before you call.",
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


def _symbol(units: Units) -> str:
    return units.volume.replace("3", "³")


def _range(low: float, high: float, units: Units) -> str:
    """Between what a volume lies, rounded outwards to the tenth."""
    down, up = (units.to_volume(max(bound, 0.0)) * 10 for bound in (low, high))
    return f"{math.floor(down + 1e-6) / 10:.1f} to {math.ceil(up - 1e-6) / 10:.1f}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
