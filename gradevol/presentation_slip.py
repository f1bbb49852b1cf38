"""The order in words: a slip to read aloud or send, and what its numbers rest on."""

import math
from itertools import groupby

from gradevol.loads import Staged
from gradevol.need import ALLOWANCE_DOUBT
from gradevol.ordering import Order, Taker
from gradevol.terms import Terms
from gradevol.units import Units

#: A text message of two parts has 306 characters; one of ours no more than this.
LONGEST = 300


class _Words:
    """Volumes in the job's unit, with no more digits than the plant's step has."""

    def __init__(self, order: Order, units: Units) -> None:
        self.units = units
        step = units.to_volume(order.plant.step)
        self.step = step
        scaled = (step, 10 * step)
        self.digits = next((n for n, x in enumerate(scaled) if abs(x - round(x)) < 1e-6), 2)

    @property
    def symbol(self) -> str:
        """The unit, where it need not be plain text."""
        return _symbol(self.units)

    def say(self, volume: float) -> str:
        """A number of steps, such as an order: ``77``, ``76.75``."""
        return self.number(self.units.to_volume(volume))

    def number(self, value: float) -> str:
        """The same of a number in the job's unit."""
        return _trim(f"{value:.{self.digits}f}")

    def about(self, volume: float) -> str:
        """A measured or an expected volume: to the tenth, or as coarse as the step."""
        return f"{self.units.to_volume(volume):z.{min(self.digits, 1)}f}"

    def small(self, volume: float) -> str:
        """A volume that may be less than a step."""
        return _trim(f"{self.units.to_volume(volume):.{max(self.digits, 1)}f}")

    def down(self, volume: float) -> str:
        """A volume rounded down to the step."""
        steps = math.floor(self.units.to_volume(volume) / self.step + 1e-9)
        return _trim(f"{steps * self.step:.{self.digits}f}")

    def up(self, volume: float) -> str:
        """A volume rounded up to the step."""
        steps = math.ceil(self.units.to_volume(volume) / self.step - 1e-9)
        return _trim(f"{steps * self.step:.{self.digits}f}")


def compose_slip(order: Order, units: Units, *, title: str) -> str:
    """
    Compose the order as a text message.

    Parameters
    ----------
    order : Order
    units : Units
    title : str

    Returns
    -------
    str
        `LONGEST` characters at most: where it would be longer, first the title is left out, then
        what is to be done with what is left over.
    """
    words = _Words(order, units)
    head = f"{_plain(title)}: "
    body = [_say_need(order, words), _say_order(order, words), *_say_stages(order, words)]
    tail = _say_takers(order.takers, words)
    chance = order.choice.chance_short
    end = [] if chance is None else [f"{say_percent(chance)} chance short."]
    for said in (
        head + " ".join([body[0][0].lower() + body[0][1:], *body[1:], *tail, *end]),
        " ".join([*body, *tail, *end]),
        " ".join([*body, *end]),
    ):
        if len(said) <= LONGEST:
            return said
    return " ".join(body)[:LONGEST]


def _plain(text: str) -> str:
    """Text without line breaks or what a terminal would obey."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _say_need(order: Order, words: _Words) -> str:
    need = order.need
    said = f"Need {words.about(need.mean)} {words.units.volume}"
    spread = need.spread
    if spread is None:
        return f"{said}, margin not known."
    low, high = (spread.quantile(chance) for chance in _ends(order.level))
    return f"{said} ({words.about(low)} to {words.about(high)} at {say_percent(order.level)})."


def _ends(level: float) -> tuple[float, float]:
    return (1 - level) / 2, (1 + level) / 2


def _say_order(order: Order, words: _Words) -> str:
    said = f"Order {words.say(order.choice.volume)}"
    if order.staged is not None:
        return f"{said}: go {list_loads(order.staged.go, order, words.units)}, hold."
    if order.loads:
        return f"{said}: {list_loads(order.loads, order, words.units)}."
    return f"{said}."


def _say_stages(order: Order, words: _Words) -> list[str]:
    staged = order.staged
    if staged is None:
        return []
    last = len(staged.go) + 1
    number = f"load {last}" if len(staged.balance) == 1 else f"loads {last} on"
    most = max(staged.high, sum(staged.balance))
    return [
        f"Call {number} {say_call(staged, order.terms)}.",
        f"Expect {words.down(staged.low)} to {words.up(most)} for it.",
    ]


def say_call(staged: Staged, terms: Terms) -> str:
    """Say when to call the balance: ``once load 6 is on site, by 8:50``."""
    when = (
        "before the first load"
        if staged.call_after == 0
        else f"once load {staged.call_after} is on site"
    )
    by = say_call_time(staged, terms)
    return f"{when}, {by}" if by else when


def say_call_time(staged: Staged, terms: Terms) -> str:
    """Say by when to call the balance; empty where nothing is known of it."""
    if staged.call_at is None:
        return "" if terms.notice is None else f"{_say_hours(terms.notice)} ahead"
    if terms.start is None:
        after = "after" if staged.call_at >= 0 else "before"
        return f"by {_say_hours(abs(staged.call_at))} {after} load 1"
    # in whole minutes, never later than it is
    minutes = math.floor((terms.start + staged.call_at) * 60 + 1e-6)
    day = minutes // 1440
    said = f"by {minutes % 1440 // 60}:{minutes % 60:02d}"
    if day < 0:
        return f"{said} {-day} day{'s' if day < -1 else ''} ahead"
    return said if day == 0 else f"{said} {day} day{'s' if day > 1 else ''} on"


def _say_hours(hours: float) -> str:
    minutes = round(hours * 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")


def _say_takers(takers: tuple[Taker, ...], words: _Words) -> list[str]:
    if not takers:
        return []
    named = [
        f"{_plain(taker.pour.name)} {f'{taker.pour.count} x ' if taker.pour.count > 1 else ''}"
        f"{words.small(taker.pour.volume)}"
        for taker in takers
    ]
    return [f"Left over: {', '.join(named)}."]


def list_loads(loads: tuple[float, ...], order: Order, units: Units) -> str:
    """Loads in a row, those alike counted: ``7 x 10 + 6.5``."""
    words = _Words(order, units)
    runs = [(said, len(list(run))) for said, run in groupby(map(words.say, loads))]
    return " + ".join(said if count == 1 else f"{count} x {said}" for said, count in runs)


def say_percent(share: float) -> str:
    """Say a chance: ``4 %``; what is next to nothing as such."""
    if share < 0.005:
        return "under 1 %"
    return _trim(f"{100 * share:.{0 if share < 0.99 else 1}f}") + " %"


def say_order(order: Order, units: Units) -> str:
    """Say an order in one sentence, for the summary."""
    words = _Words(order, units)
    symbol = _symbol(units)
    said = [f"{words.say(order.choice.volume)} {symbol}"]
    if order.loads:
        said[0] += f" ({list_loads(order.loads, order, units)})"
    if order.choice.chance_short is not None:
        said.append(f"{say_percent(order.choice.chance_short)} chance of coming up short")
    said.append(f"about {words.about(order.choice.left_over)} {symbol} left over")
    return "; ".join(said)


def say_volume(order: Order, units: Units) -> str:
    """Say what the volume to order rests on."""
    words = _Words(order, units)
    step = f"{words.say(order.plant.step)} {_symbol(units)}"
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


def _say_choice(order: Order, words: _Words, step: str) -> str:
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
            f"The smallest order in steps of {step} that is short with a chance of {risk}, {whose}."
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
    each = f"a {_symbol(units)}"
    cubic = 1.0 / units.to_volume(1.0)
    short = [f"{say_money(costs.short, order)} once"] if costs.short is not None else []
    if costs.short_rate is not None:
        short.append(f"{say_money(costs.short_rate * cubic, order)} {each}")
    left = f"{say_money(costs.left_over * cubic, order)} {each}"
    return f"coming up short costs {' and '.join(short)}, what is left over {left}."


def say_money(amount: float, order: Order) -> str:
    """Say an amount in the job's currency: ``$519``."""
    currency = order.terms.costs.currency if order.terms.costs is not None else ""
    return f"{currency}{amount:,.0f}"


def say_steps(value: float, order: Order, units: Units) -> str:
    """Say an order that is in the job's unit already, with the step's digits."""
    return _Words(order, units).number(value)


def say_loads(order: Order, units: Units) -> str:
    """Say what the loads rest on."""
    if not order.loads:
        return "None are planned: the job does not say what a truck brings (order.truck)."
    words = _Words(order, units)
    truck = _trim(f"{units.to_volume(order.plant.truck or 0.0):.2f}")
    said = f"Trucks bring {truck} {_symbol(units)} at most"
    if order.plant.least_load is not None:
        least = _trim(f"{units.to_volume(order.plant.least_load):.2f}")
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
    words = _Words(order, units)
    return f"{said}; {words.about(order.choice.unused)} {_symbol(units)} after them."


def say_chances(order: Order, units: Units) -> str:
    """Say what the chance of coming up short rests on."""
    if order.need.survey_sd is None:
        return "Not known: the survey's interval is not known."
    survey, allowance = (
        units.to_volume(sd) for sd in (order.need.survey_sd, order.need.allowance_sd)
    )
    return (
        "A normal distribution about what is needed, one standard deviation of the volume in place "
        f"{survey:.2f} and of the allowances {allowance:.2f} {_symbol(units)}."
    )


def _symbol(units: Units) -> str:
    return units.volume.replace("3", "³")


def _trim(number: str) -> str:
    return number.rstrip("0").rstrip(".") if "." in number else number
