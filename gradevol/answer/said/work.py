"""The fix list: what to do at which place, what becomes of its material, what it costs."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.said.fix_costs import tell_regrading, tell_regrading_briefly, tell_sums
from gradevol.answer.said.fixes import name_columns, tell_fix
from gradevol.answer.said.next_shots import has_bends
from gradevol.answer.said.outcome import name_rows
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import count_of


def tell_work(result: Result) -> tuple[Topic, ...]:
    """
    Tell the fix list.

    Returns
    -------
    tuple of Topic
        One: a row each in the order in which to do it, under the columns of ``fix_list.csv``;
        after them, without cells, what is said of all.
    """
    lines = [tell_fix(fix, result) for fix in result.work.fixes]
    said = (*lines, *_tell_rest(result))
    return (Topic("work", "Fix list", "Fix list", said, name_columns(result)),)


def _tell_rest(result: Result) -> Iterator[Statement]:
    yield from _tell_none(result)
    if musts := [fix.rank for fix in result.work.fixes if fix.is_must]:
        first = "shoot where the top bends, then " if has_bends(result) else ""
        text = words(
            f"{first}do {{}} before the pour; more concrete can't fix it.", name_rows(musts)
        )
        yield Statement("work.must", Weight.DETAILS, "Must", short=text)
    if beyond := result.outcome.beyond:
        text = words(
            f"Work {name_rows(beyond)} on to the slab's edge, past the outermost shots: the "
            "concrete after the work counts on it."
        )
        yield Statement("work.beyond", Weight.DETAILS, short=text)
    yield from _tell_small(result)
    for key, weight, short, long in (
        ("material", Weight.SPARE, _tell_material(result), Words()),
        ("costs", Weight.DETAILS, tell_sums(result), Words()),
        ("regrading", Weight.TELLS, tell_regrading_briefly(result), tell_regrading(result)),
    ):
        if short or long:
            yield Statement(
                f"work.{key}", weight if short else Weight.SPARE, short=short, long=long
            )


def _tell_none(result: Result) -> Iterator[Statement]:
    """Say that the fix list is empty, and what that rests on."""
    work, slab = result.work, result.slab
    missing = [key for key in ("base_high", "base_low") if getattr(slab, key) is None]
    if work.fixes or work.left:
        return
    spots = (result.thin, result.high, result.low)
    if any(held is not None and held.listed for held in spots):
        text = "No fix list was made: see the spots marked on the plan"
    elif missing:
        key, kind = f"slab.{missing[0]}", missing[0].removeprefix("base_")
        if len(missing) > 1:
            key, kind = "tolerance (slab.base_high, slab.base_low)", "high and low"
        text = (
            f"Empty, but the job gives no {key}: {kind} spots were not looked for. No thin spot "
            "was seen"
        )
    else:
        text = "Empty: no thin, high or low spot was seen"
    yield Statement("work.none", Weight.MATTERS, short=words(text))


def _tell_small(result: Result) -> Iterator[Statement]:
    """Say how many spots are too small to work, and how many are not listed."""
    listed = sum(fix.call == "leave" for fix in result.work.fixes)
    if count := listed + result.work.left:
        is_all = listed == len(result.work.fixes)
        nothing = "Nothing to do: " if is_all else ""
        text = f"{nothing}{count_of(count, 'spot', 'are')} too small to work: leave"
        if listed:
            text += f" ({'' if listed == count else f'{listed} of them: '}see fix_list.csv)"
        weight = Weight.MATTERS if is_all else Weight.DETAILS
        yield Statement("work.left", weight, short=words(f"{text}."))
    if count := result.work.scraps:
        text = (
            f"{count_of(count, 'strip', 'are')} narrower than the scan's squares, along the edge, "
            "and not listed: look at the form there."
        )
        yield Statement("work.scraps", Weight.DETAILS, short=words(text))
    spots = [held for held in (result.thin, result.high, result.low) if held is not None]
    if doubtful := sum(held.doubtful for held in spots):
        text = (
            f"{count_of(doubtful, 'more spot', 'are')} within the scan's scatter: in the areas, "
            "but not listed."
        )
        yield Statement("work.doubtful", Weight.DETAILS, short=words(text))
    if unlisted := sum(held.unlisted for held in spots):
        text = f"{unlisted:,} smaller spots are not listed, but are in the figures."
        yield Statement("work.unlisted", Weight.SPARE, short=words(text))


def _tell_material(result: Result) -> Words:
    """Say what becomes of the cuttings of the list."""
    work, say = result.work, result.units.say_volume
    amounts = {
        "cut": work.cut,
        "fill": work.fill,
        "moved": sum(haul.volume for haul in work.hauls),
        "wanting": work.wanting,
        "left_over": work.left_over,
    }
    said = {
        key: Figure(say(amount), f"material.{key}")
        for key, amount in amounts.items()
        if say(amount) != say(0.0)
    }
    if "fill" not in said:
        if "cut" not in said:
            return Words()
        return words("The list cuts {}, and no low spot on it takes that.", said["cut"])
    if "cut" not in said:
        return words("The low spots of the list take {} of stone or concrete.", said["fill"])
    none = say(0.0)
    text = words(
        "The list cuts {}, its low spots take {}; {} moves",
        *(said.get(key, none) for key in ("cut", "fill", "moved")),
    )
    if "wanting" in said:
        text += words(", {} is stone or concrete", said["wanting"])
    if "left_over" in said:
        text += words(", about {} left over", said["left_over"])
    return text + "."
