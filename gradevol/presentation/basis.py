"""What the numbers of an order rest on, in words."""

from gradevol.ordering import Order
from gradevol.ordering.need import ALLOWANCE_DOUBT
from gradevol.presentation.slip import StepWords, say_money, say_percent, say_symbol, trim
from gradevol.units import Units


def say_volume(order: Order, units: Units) -> str:
    """Say what the volume to order rests on."""
    words = StepWords(order, units)
    step = f"{words.say(order.plant.step)} {say_symbol(units)}"
    if order.terms.step is None:
        step += " (what plants commonly sell in: the job gives no step)"
    said = [_say_choice(order, words, step)]
    if not order.need.has_allowance:
        said.append("No allowance for waste, settlement or short yield is in it: none is given.")
    elif order.terms.sigma is None and order.choice.chance_short is not None:
        said.append(
            f"The allowances are taken to be unsure by {say_percent(ALLOWANCE_DOUBT)} of "
            "themselves, one standard deviation: a judgement, no source."
        )
    return " ".join(said)


def _say_choice(order: Order, words: StepWords, step: str) -> str:
    risk = "" if order.risk is None else say_percent(order.risk)
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
    released = order.staged
    if released is None:
        return f"{said}, as the job gives."
    return (
        f"{said}, as the job gives. The first {len(released.go)} are needed but for a chance of "
        f"2.5 %; the balance is {words.say(sum(released.balance))} as it looks now: size it when "
        "it is called, by what is still empty."
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
        units.to_volume(sd) for sd in (order.need.survey_sd, order.need.allowance_sd)
    )
    return (
        "A normal distribution about what is needed, one standard deviation of the volume in place "
        f"{survey:.2f} and of the allowances {allowance:.2f} {say_symbol(units)}."
    )
