"""What to call while a slab is poured: how much, by when, in which case, and what that rests on."""

from collections.abc import Iterator, Sequence

from gradevol.after.call import NOTHING, Call
from gradevol.after.progress import Choice, Progress
from gradevol.after.steps import Step
from gradevol.answer.rounding import bear_need
from gradevol.answer.said.day_words import DAY, name_of, say_clock
from gradevol.answer.said.step_words import (
    StepWords,
    digits_of_step,
    say_given,
    say_hours,
    say_short,
    say_step,
    trim,
)
from gradevol.answer.statement import Figure, Statement, Weight, Words, join, words
from gradevol.ground.units import Units
from gradevol.ground.words import capital, list_of


def tell_calls(progress: Progress, units: Units) -> Iterator[Statement]:
    """Tell what to call: what to find out first, and case by case, where it hangs on that."""
    if len(progress.calls) > 1:
        yield Statement("call.check", Weight.DECIDES, short=_say_check(progress))
    for number, choice in enumerate(progress.calls):
        said = _ask_first(choice, progress, _say_call(choice.call, units))
        yield Statement(_key(number), Weight.DECIDES, short=said)


def tell_what_calls_rest_on(progress: Progress, units: Units) -> Iterator[Statement]:
    """Tell what each call rests on, what waiting would tell, and the chance of coming up short."""
    for number, choice in enumerate(progress.calls):
        rests = _ask_first(choice, progress, say_rests_on(choice, progress.step, units))
        yield Statement(f"{_key(number)}.rests_on", Weight.TELLS, short=rests)
        yield from _tell_chances(choice, progress.step, units, _key(number))


def _key(number: int) -> str:
    return f"calls.{number}" if number else "call"


def _say_check(progress: Progress) -> Words:
    """Say what to find out first, where the call hangs on it."""
    steps = _list_open(progress)
    has_front = any("front" in choice.cases for choice in progress.calls)
    names = [name for step in steps for name in step.names]
    if progress.surplus is not None:
        names += progress.placed.unread
    tape = DAY[name_of("tape", *steps)] if has_front else ""
    return words(DAY["check"], list_of(names), tape)


def _list_open(progress: Progress) -> list[Step]:
    """Steps that are out of line, and not settled."""
    return [alert.step for alert in progress.forecast.alerts if alert.verdict != "front"]


def _ask_first(choice: Choice, progress: Progress, said: Words) -> Words:
    """Say before a call in which case it holds: ``Ticket wrong?``; nothing where in all."""
    if not choice.cases:
        return said
    # neither is wrong where the slab took it: of what another call takes to be, that is right
    is_right = "slab" in choice.cases
    cases = {case for each in progress.calls for case in each.cases}
    slips = cases - set(choice.cases) if is_right else set(choice.cases)
    said_of = {"ticket": "slip ticket", "front": name_of("slip front", *_list_open(progress))}
    named = [DAY[said_of[case]] for case in ("ticket", "front") if case in slips]
    if is_right and len(named) > 1:
        named = [DAY["both"]]
    asked = DAY["right" if is_right else "wrong"].format(capital(DAY["or"].join(named)))
    return join(" ", [words("{}", asked), said])


def _say_call(call: Call, units: Units) -> Words:
    """Say what to call, by when, and what it feeds."""
    if call.order is None:
        left = call.left_over
        spare = words(DAY["spare"], units.say_volume(left)) if left > NOTHING else ""
        enough = words(DAY["enough"], units.say_volume(call.coming), spare) if call.coming else ""
        said = words(DAY["nothing"], enough)
    else:
        figure = Figure(
            f"{StepWords(call.order, units).say(call.volume)} {units.volume_symbol}", "call.volume"
        )
        said = words(DAY["call"], figure, _say_when(call))
    if call.feeds:
        said = join(" ", [said, words(DAY["feeds"], list_of(list_fed(call.feeds, units)))])
    return said


def _say_when(call: Call) -> str | Words:
    if call.by is None:
        return ""
    clock = Figure(say_clock(call.by, call.pace.since), "call.by")
    return words(DAY["late" if call.is_late else "by"], clock)


def _tell_chances(choice: Choice, step: float, units: Units, key: str) -> Iterator[Statement]:
    call = choice.call
    if call.order is None:
        return
    low, high = (max(bound - call.coming, 0.0) for bound in choice.still[1:])
    said = StepWords(call.order, units)
    if call.by is not None and not call.is_late:
        yield Statement(
            f"{key}.wait",
            Weight.TELLS,
            short=words(DAY["wait"], said.down(low), said.up(high)),
        )
    if call.chance_short is not None:
        yield Statement(
            f"{key}.chance_short",
            Weight.TELLS,
            short=words(
                DAY["short"],
                Figure(capital(say_short(call.chance_short, call.order)), "call.chance_short"),
                Figure(_say_about(call.left_over, choice.still, step, units), "call.left_over"),
            ),
        )


def say_rests_on(choice: Choice, step: float, units: Units) -> Words:
    """Say what a call rests on, in steps of the plant, m³."""
    call = choice.call
    parts: list[str | Words] = [
        words(DAY["rests still"], say_needed(choice.still, step, units)),
    ]
    if call.coming > 0:
        of = "rests called" if call.called else "rests coming"
        parts.append(words(DAY[of], units.say_volume(call.coming)))
    order = call.order
    if order is None:
        parts.append(words(DAY["rests risk"], say_given(call.risk)))
        return words("{}.", join(", ", parts))
    is_by_costs = order.way == "costs"
    parts.append(
        DAY["rests costs"] if is_by_costs else words(DAY["rests risk"], say_given(call.risk))
    )
    parts.append(words(DAY["rests step"], say_step(step, units)))
    said = words("{}.", join(", ", parts))
    pace = call.pace
    if call.notice is None or pace.since is None or pace.rate is None:
        lacking = "notice" if call.notice is None else "start" if pace.since is None else "rate"
        return join(" ", [said, words(DAY[f"no {lacking}"])])
    told = DAY["stated" if pace.is_stated else "trucks" if pace.is_by_trucks else "seen"]
    notice = say_hours(call.notice)
    return join(
        " ",
        [
            said,
            words(
                DAY["pace"],
                DAY["starts" if pace.out_at is None else "out at"],
                say_clock(pace.since, pace.since),
                trim(f"{units.to_volume(pace.rate):.0f}"),
                units.volume_symbol,
                told,
                notice,
            ),
        ],
    )


def list_fed(feeds: Sequence[tuple[str, int, float]], units: Units) -> list[str]:
    """Small pours and what each takes: ``pad 1.23 yd³``, ``2 x bollard base 0.52 yd³``."""
    return [
        f"{name if count == 1 else DAY['several'].format(count, name)} {units.say_volume(volume)}"
        for name, count, volume in feeds
    ]


def bear_still(still: tuple[float, float, float], step: float, units: Units) -> int:
    """Decimals of what is still needed, and between what: as of an order's need."""
    mean, low, high = (units.to_volume(volume) for volume in still)
    return bear_need((high - low) / 2, max(mean, 0.0), digits_of_step(units.to_volume(step)))


def say_needed(still: tuple[float, float, float], step: float, units: Units) -> str:
    """Say what is still needed, which can't be less than nothing."""
    digits = bear_still(still, step, units)
    return f"{units.to_volume(max(still[0], 0.0)):z,.{digits}f} {units.volume_symbol}"


def _say_about(left: float, still: tuple[float, float, float], step: float, units: Units) -> str:
    """Say what is expected to be left over, as an order does."""
    digits = min(digits_of_step(units.to_volume(step)), 1, bear_still(still, step, units))
    return f"{units.to_volume(left):z,.{digits}f} {units.volume_symbol}"
