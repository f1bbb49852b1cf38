"""What the numbers of an order rest on, in words."""

from gradevol.answer.data.slip import (
    StepWords,
    say_given,
    say_hours,
    say_money,
    say_percent,
    say_short,
    say_spread,
    say_symbol,
    trim,
)
from gradevol.ground.units import Units
from gradevol.plan.order import Order, bound_order
from gradevol.plan.order.cost import Choice
from gradevol.plan.order.need import ALLOWANCE_DOUBT

#: A middle that lies off the stated need by less than this share of a standard deviation is not
#: told apart from it.
_OFF = 0.1


def say_volume(order: Order, units: Units) -> str:
    """Say what the volume to order rests on."""
    words = StepWords(order, units)
    step = f"{words.say(order.plant.step)} {say_symbol(units)}"
    if order.terms.step is None:
        step += " (what plants commonly sell in: the job gives no step)"
    said = [_say_choice(order, words, step), *_say_raised(order, words), *_say_less(order)]
    if not order.need.has_allowance:
        said.append("No allowance for waste, settlement or short yield is in it: none is given.")
    elif order.terms.sigma is None and order.choice.chance_short is not None:
        said.append(
            f"The allowances are taken to be unsure by {say_percent(ALLOWANCE_DOUBT)} of "
            "themselves, one standard deviation: a judgement, no source."
        )
    return " ".join(said)


def _say_choice(order: Order, words: StepWords, step: str) -> str:
    risk = "" if order.risk is None else say_given(order.risk)
    if order.way == "mean":
        return (
            f"What is needed, rounded up to steps of {step}. No margin for the survey is in it, "
            "for its interval is not known."
        )
    if order.way == "risk":
        whose = (
            "as the job accepts"
            if order.terms.risk is not None
            else "taken as accepted where the job gives no risk: common practice, no source"
        )
        return (
            f"The smallest order in steps of {step} that is short with a chance of {risk} at "
            f"most, {whose}."
        )
    capped = f", of those that are short with a chance of {risk} at most" if risk else ""
    return (
        f"Of all orders in steps of {step} the one of least expected cost{capped}: "
        + _say_costs(order, words.units)
    )


def _say_less(order: Order) -> list[str]:
    """Say that the costs ask for less than what is needed, where they do."""
    if order.way != "costs" or order.choice.volume >= order.need.mean:
        return []
    return [
        "That is less than what is needed on the mean, for at these costs it is cheaper to risk "
        "coming up short: are they all that it costs?"
    ]


def _say_raised(order: Order, words: StepWords) -> list[str]:
    """Say from what an order was raised to what trucks can bring."""
    need, spread, plant = order.need, order.need.spread, order.plant
    if order.way == "costs":
        return []
    said, least = [], need.mean
    if spread is not None and order.risk is not None:
        least = bound_order(need, spread, order.risk)
        enough = plant.count_up(max(spread.quantile(1 - order.risk), 0.0))
        if enough < plant.count_up(least):
            said.append(
                f"As the shots have it {words.say(enough * plant.step)} would do, but no order is "
                "less than what is needed for the volume stated."
                if least <= need.mean
                else f"By a normal distribution {words.say(enough * plant.step)} would do, but "
                "the interval's own has a longer tail, as where shots are few or far off."
            )
    steps = plant.count_up(max(least, 0.0))
    if plant.least_load is not None and steps < plant.count_up(order.choice.volume):
        said.append(
            f"{words.say(steps * plant.step)} would do, but no load is under "
            f"{words.small(plant.least_load)} {say_symbol(words.units)}: it is raised to what is "
            "delivered."
        )
    return said


def _say_costs(order: Order, units: Units) -> str:
    costs = order.terms.costs
    if costs is None:
        raise ValueError("an order by costs has costs")
    each = f"a {say_symbol(units)}"
    cubic = 1.0 / units.to_volume(1.0)
    short = [f"{say_money(costs.short, order)} once"] if costs.short is not None else []
    if costs.short_rate is not None:
        short.append(f"{say_money(costs.short_rate * cubic, order)} {each}")
    left = f"{say_money(costs.left_over * cubic, order)} {each}"
    return f"coming up short costs {' and '.join(short)}, what is left over {left}."


def say_choice(choice: Choice, order: Order, units: Units) -> str:
    """Say an order, or its runner-up, and what comes of it."""
    words, symbol = StepWords(order, units), say_symbol(units)
    said = [f"{words.say(choice.volume)} {symbol}"]
    if choice.chance_short is not None:
        said.append(f"{say_short(choice.chance_short, order)} chance of coming up short")
    if choice.chance_unused is not None:
        said.append(
            f"{say_percent(choice.chance_unused)} that 1 {symbol} or more is left with no use"
        )
    said.append(f"{words.about(choice.left_over)} {symbol} left over on the mean")
    if choice.loss is not None:
        said.append(f"{say_money(choice.loss, order)} expected cost")
    return "; ".join(said)


def say_loads(order: Order, units: Units) -> str:
    """Say what the loads rest on."""
    if not order.loads:
        return "None are planned: the job does not say what a truck brings (order.truck)."
    words = StepWords(order, units)
    truck = trim(f"{units.to_volume(order.plant.truck or 0.0):.2f}")
    said = f"Trucks bring {truck} {say_symbol(units)} at most"
    if order.plant.least_load is not None:
        least = trim(f"{units.to_volume(order.plant.least_load):.2f}")
        said += f" and {least} at least"
    said += ", as the job gives."
    if order.plant.least_load is None:
        said += " It gives no least load: ask what the plant brings at least."
    if order.is_too_early:
        notice, spacing = (say_hours(t or 0.0) for t in (order.terms.notice, order.terms.spacing))
        return (
            f"{said} Nothing is held: with {notice} of notice and {spacing} from truck to truck "
            "it would have to be called before the first is on site, when no more is known."
        )
    released = order.staged
    if released is None:
        return said
    count = len(released.go)
    first = "first is" if count == 1 else f"first {count} are"
    return (
        f"{said} The {first} needed but for a chance of 2.5 % at most; the balance is "
        f"{words.say(sum(released.balance))} as it looks now: size it when it is called, by what "
        "is still empty less the loads still to be placed."
    )


def say_left_over(order: Order, units: Units) -> str:
    """Say what the expected left over rests on."""
    if order.need.spread is None:
        return "The order less what is needed."
    said = "What is expected above the need, before small pours take of it"
    if not order.takers:
        return f"{said.removesuffix(', before small pours take of it')}."
    words = StepWords(order, units)
    return f"{said}; {words.about(order.choice.unused)} {say_symbol(units)} after them."


def say_chances(order: Order, units: Units) -> str:
    """Say what the chance of coming up short rests on."""
    if order.need.survey_sd is None:
        return "Not known: the survey's interval is not known."
    survey, allowance = (
        say_spread(sd, units) for sd in (order.need.survey_sd, order.need.allowance_sd)
    )
    spread, about = order.need.spread, "what is needed"
    words = StepWords(order, units)
    if spread is not None and abs(order.need.off) > _OFF * spread.sd:
        about = (
            f"{words.need(spread.mean)} {say_symbol(units)}, where the shots put the middle of the "
            "interval"
        )
    return (
        f"A normal distribution about {about}, one standard deviation of the volume in place "
        f"{survey} and of the allowances {allowance} {say_symbol(units)}."
    )
