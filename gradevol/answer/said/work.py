"""The work list: what to do at which place, what becomes of its material, what it costs."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.said.fix_cells import list_cells, name_columns
from gradevol.answer.said.fix_costs import tell_regrading, tell_regrading_briefly, tell_sums
from gradevol.answer.said.fixes import tell_fix
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import count_of, verb_of


def tell_work(result: Result) -> tuple[Topic, ...]:
    """
    Tell the work list.

    Parameters
    ----------
    result : Result

    Returns
    -------
    tuple of Topic
        One: a line of work each in the order in which to do it, under the columns of
        ``fix_list.csv``; after them, without cells, what is said of all.
    """
    lines = [tell_fix(fix, result, list_cells(fix, result)) for fix in result.work.fixes]
    said = (*lines, *_tell_rest(result))
    return (Topic("work", "Work list", "First", said, name_columns(result)),)


def _tell_rest(result: Result) -> Iterator[Statement]:
    yield from _tell_none(result)
    if any(fix.is_must for fix in result.work.fixes):
        text = words("more concrete can't make it good.")
        yield Statement("work.must", Weight.DETAILS, "Must", short=text)
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
    """Say that no place is to be worked, and what that rests on."""
    work, slab = result.work, result.slab
    if work.fixes or work.left:
        return
    spots = (result.thin, result.high, result.low)
    if any(held is not None and held.listed for held in spots):
        text = "No plan of work was made: see the hatched places on the plan."
    elif slab.base_high is None and slab.base_low is None:
        text = "Nothing seen that is thin; the job states no tolerance."
    else:
        text = "Nothing seen that is thin or beyond the tolerances."
    yield Statement("work.none", short=words(text))


def _tell_small(result: Result) -> Iterator[Statement]:
    """Say how many places are too small to work, and how many are not listed."""
    listed = sum(fix.call == "leave" for fix in result.work.fixes)
    if count := listed + result.work.left:
        text = f"{count} place{' is' if count == 1 else 's are'} too small to work: leave"
        if listed:
            text += f" ({'' if listed == count else f'{listed} of them: '}see fix_list.csv)"
        yield Statement("work.left", Weight.DETAILS, short=words(f"{text}."))
    if count := result.work.scraps:
        text = (
            f"{count_of(count, 'strip')} along the edge, narrower than the scan's squares, "
            f"{verb_of(count, 'count')} as no work: look at the form there."
        )
        yield Statement("work.scraps", Weight.DETAILS, short=words(text))
    spots = [held for held in (result.thin, result.high, result.low) if held is not None]
    if doubtful := sum(held.doubtful for held in spots):
        text = (
            f"{count_of(doubtful, 'more place', 'are')} off by no more than the scan scatters: no "
            "spots, but in the areas."
        )
        yield Statement("work.doubtful", Weight.DETAILS, short=words(text))
    if unlisted := sum(held.unlisted for held in spots):
        text = f"{unlisted:,} smaller spots are not listed; the figures hold them."
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
        return words("The list cuts {}, and no low place of it takes that.", said["cut"])
    none = say(0.0)
    text = words(
        "The list cuts {} and has room for {}; {} moves",
        *(said.get(key, none) for key in ("cut", "fill", "moved")),
    )
    if "wanting" in said:
        text += words(", {} is bought or poured", said["wanting"])
    if "left_over" in said:
        text += words(", {} is left over", said["left_over"])
    return text + "."
