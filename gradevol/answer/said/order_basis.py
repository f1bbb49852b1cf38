"""What the numbers of an order rest on, in words."""

import math

from gradevol.answer.said.step_words import (
    StepWords,
    say_given,
    say_hours,
    say_money,
    say_percent,
    say_spread,
    say_step,
    trim,
)
from gradevol.ground.units import Units
from gradevol.plan.order import Order, bound_order
from gradevol.plan.order.need import ALLOWANCE_DOUBT

#: A middle that lies off the stated need by less than this share of a standard deviation is taken
#: to be the need itself.
_OFF = 0.1


def say_volume(order: Order, units: Units) -> str:
    """Say what the volume to order rests on."""
    words = StepWords(order, units)
    said = [_say_choice(order, words), *_say_raised(order, words)]
    if order.way == "costs" and order.choice.volume < order.need.mean:
        said.append(
            "That is less than is needed: at these costs it is cheaper to risk coming up short. "
            "Is every cost of coming up short in the job?"
        )
    if not order.need.has_allowance:
        said.append("No allowance for waste, settlement or short yield is in it: none is given.")
    elif order.terms.sigma is None and order.choice.chance_short is not None:
        said.append(
            f"The allowances are taken as sure to {say_percent(ALLOWANCE_DOUBT)} of themselves, "
            "one standard deviation."
        )
    return " ".join(said)


def _say_choice(order: Order, words: StepWords) -> str:
    step = f"{say_step(order.plant.step, words.units)} {words.symbol}"
    if order.terms.step is None:
        step += " (what plants commonly sell in: the job gives no step)"
    risk = "" if order.risk is None else say_given(order.risk)
    if order.way == "mean":
        return (
            f"What is needed, rounded up to steps of {step}. No margin for the survey is in it: "
            "its interval is not known."
        )
    if order.way == "risk":
        whose = (
            "as the job says"
            if order.terms.risk is not None
            else "the usual risk, for the job gives none"
        )
        return (
            f"The smallest order in steps of {step} whose chance of coming up short is no more "
            f"than {risk}, {whose}."
        )
    capped = f" with no more than a {risk} chance of coming up short" if risk else ""
    return f"The cheapest order on average, in steps of {step}{capped}: {_say_costs(order, words)}."


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
                f"By the shots {words.say(enough * plant.step)} would do, but no order is made "
                "for less than the volume stated."
                if least <= need.mean
                else f"{words.say(enough * plant.step)} would do for the usual spread, but few or "
                "uneven shots make a large shortfall more probable."
            )
    steps = plant.count_up(max(least, 0.0))
    if plant.least_load is not None and steps < plant.count_up(order.choice.volume):
        said.append(
            f"{words.say(steps * plant.step)} would do, but no load is under "
            f"{words.small(plant.least_load)} {words.symbol}: raised to what can be delivered."
        )
    return said


def _say_costs(order: Order, words: StepWords) -> str:
    costs = order.terms.costs
    if costs is None:
        raise ValueError("an order by costs has costs")
    each, cubic = f"a {words.symbol}", 1.0 / words.units.to_volume(1.0)
    short = [f"{say_money(costs.short, order)} once"] if costs.short is not None else []
    if costs.short_rate is not None:
        short.append(f"{say_money(costs.short_rate * cubic, order)} {each}")
    left = say_money(costs.left_over * cubic, order)
    return f"coming up short costs {' and '.join(short)}, and each {words.symbol} too much {left}"


def say_loads(order: Order, units: Units) -> str:
    """Say what the loads rest on."""
    if not order.loads:
        return "None are planned: the job does not say what a truck brings (order.truck)."
    # Up, as loads are, lest one seems to be more than a truck brings.
    most = math.ceil(units.to_volume(order.plant.truck or 0.0) * 100 - 1e-4) / 100
    truck = f"{trim(f'{most:.2f}')} {StepWords(order, units).symbol}"
    said = f"The job says that trucks bring {truck} at most"
    if order.plant.least_load is None:
        said += ". It gives no least load: ask what the plant brings at least."
    else:
        said += f" and {trim(f'{units.to_volume(order.plant.least_load):.2f}')} at least."
    return " ".join([said, *_say_fee(order, units), *_say_held(order, units)])


def _say_fee(order: Order, units: Units) -> list[str]:
    """Say which loads are small, and what these pay for it."""
    if (least := order.plant.short_load) is None:
        return []
    words, costs = StepWords(order, units), order.terms.costs
    said = f"Under {words.small(least)} {words.symbol} a load pays a fee"
    if costs is None or costs.short_load is None or order.fee is None:
        return [f"{said}."]
    each = say_money(costs.short_load / units.to_volume(1.0), order)
    said += f" of {each} for each {words.symbol} that it lacks"
    return [f"{said}: {say_money(order.fee, order) if order.fee else 'none of these does'}."]


def _say_held(order: Order, units: Units) -> list[str]:
    """Say why loads are held, or why none are."""
    if order.is_too_early:
        notice, takes = (say_hours(t or 0.0) for t in (order.terms.notice, order.load_takes))
        by = "from truck to truck" if order.load_takes == order.terms.spacing else "to place a load"
        return [
            f"Nothing is held: with {notice} of notice and {takes} {by} it would "
            "have to be called before the first is on site, when no more is known."
        ]
    if (released := order.staged) is None:
        return []
    count = len(released.go)
    first = "first is" if count == 1 else f"first {count} are"
    balance = StepWords(order, units).say(sum(released.balance))
    return [
        f"The {first} needed for all but a 2.5 % chance. The balance is {balance} as it looks "
        "now: size it when you call it, by what is still empty less the loads still to be placed."
    ]


def say_left_over(order: Order, units: Units) -> str:
    """Say what the expected extra rests on."""
    if order.need.spread is None:
        return "The extra is the order less what is needed."
    said = "The extra is what the order is expected to have above the need"
    if not order.takers:
        return f"{said}."
    words = StepWords(order, units)
    after = f"{words.about(order.choice.unused)} {words.symbol}"
    return f"{said}, before small pours take any; {after} after them."


def say_chances(order: Order, units: Units) -> str:
    """Say what the chance of coming up short rests on."""
    need, spread = order.need, order.need.spread
    if need.survey_sd is None or spread is None:
        return "The chance of coming up short is not known, because the margin is not."
    words = StepWords(order, units)
    survey, allowance = (
        f"{say_spread(sd, units)} {words.symbol}" for sd in (need.survey_sd, need.allowance_sd)
    )
    about = "what is needed"
    if abs(need.off) > _OFF * spread.sd:
        about = (
            f"{words.need(spread.mean)} {words.symbol}, what is needed at the middle of the margin"
        )
    return (
        f"The chances go by how far the concrete may be off {about}: one standard deviation is "
        f"{survey} for the volume in place, {allowance} for the allowances."
    )
