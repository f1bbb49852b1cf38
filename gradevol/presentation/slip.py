"""The order in words: a slip to read aloud or send."""

import math
from itertools import groupby

from gradevol.ordering import Order, Taker
from gradevol.ordering.loads import Staged
from gradevol.terms import Terms
from gradevol.units import Units

#: A text message of two parts has 306 characters; one of ours no more than this.
LONGEST = 300


class StepWords:
    """Volumes in the job's unit, with no more digits than the plant's step has."""

    def __init__(self, order: Order, units: Units) -> None:
        self.units = units
        step = units.to_volume(order.plant.step)
        self.step = step
        scaled = (step * 10**digits for digits in range(4))
        self.digits = next((n for n, x in enumerate(scaled) if abs(x - round(x)) < 1e-6), 2)

    @property
    def symbol(self) -> str:
        """The unit, where it need not be plain text."""
        return say_symbol(self.units)

    def say(self, volume: float) -> str:
        """A number of steps, such as an order: ``77``, ``76.75``."""
        return self.number(self.units.to_volume(volume))

    def number(self, value: float) -> str:
        """The same of a number in the job's unit; up where the step has no end of digits."""
        scale = 10**self.digits
        return trim(f"{math.ceil(value * scale - 1e-4) / scale:.{self.digits}f}")

    def about(self, volume: float) -> str:
        """A measured or an expected volume: to the tenth, or as coarse as the step."""
        return f"{self.units.to_volume(volume):z.{min(self.digits, 1)}f}"

    def small(self, volume: float) -> str:
        """A volume that may be less than a step."""
        return trim(f"{self.units.to_volume(volume):.{max(self.digits, 1)}f}")

    def down(self, volume: float) -> str:
        """A volume rounded down to the step."""
        steps = math.floor(self.units.to_volume(volume) / self.step + 1e-9)
        return trim(f"{steps * self.step:.{self.digits}f}")

    def up(self, volume: float) -> str:
        """A volume rounded up to the step."""
        steps = math.ceil(self.units.to_volume(volume) / self.step - 1e-9)
        return trim(f"{steps * self.step:.{self.digits}f}")


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
    words = StepWords(order, units)
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


def _say_need(order: Order, words: StepWords) -> str:
    need = order.need
    said = f"Need {words.about(need.mean)} {words.units.volume}"
    spread = need.spread
    if spread is None:
        return f"{said}, margin not known."
    low, high = (spread.quantile(chance) for chance in _ends(order.level))
    return f"{said} ({words.about(low)} to {words.about(high)} at {say_percent(order.level)})."


def _ends(level: float) -> tuple[float, float]:
    return (1 - level) / 2, (1 + level) / 2


def _say_order(order: Order, words: StepWords) -> str:
    said = f"Order {words.say(order.choice.volume)}"
    if order.staged is not None:
        return f"{said}: go {list_loads(order.staged.go, order, words.units)}, hold."
    if order.loads:
        return f"{said}: {list_loads(order.loads, order, words.units)}."
    return f"{said}."


def _say_stages(order: Order, words: StepWords) -> list[str]:
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


def _say_takers(takers: tuple[Taker, ...], words: StepWords) -> list[str]:
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
    words = StepWords(order, units)
    runs = [(said, len(list(run))) for said, run in groupby(map(words.say, loads))]
    return " + ".join(said if count == 1 else f"{count} x {said}" for said, count in runs)


def say_percent(share: float) -> str:
    """Say a chance: ``4 %``; what is next to nothing as such."""
    if share < 0.005:
        return "under 1 %"
    return trim(f"{100 * share:.{0 if share < 0.99 else 1}f}") + " %"


def say_order(order: Order, units: Units) -> str:
    """Say an order in one sentence, for the summary."""
    words = StepWords(order, units)
    symbol = say_symbol(units)
    said = [f"{words.say(order.choice.volume)} {symbol}"]
    if order.loads:
        said[0] += f" ({list_loads(order.loads, order, units)})"
    if order.choice.chance_short is not None:
        said.append(f"{say_percent(order.choice.chance_short)} chance of coming up short")
    said.append(f"about {words.about(order.choice.left_over)} {symbol} left over")
    return "; ".join(said)


def say_money(amount: float, order: Order) -> str:
    """Say an amount in the job's currency: ``$519``."""
    currency = order.terms.costs.currency if order.terms.costs is not None else ""
    return f"{currency}{amount:,.0f}"


def say_steps(value: float, order: Order, units: Units) -> str:
    """Say an order that is in the job's unit already, with the step's digits."""
    return StepWords(order, units).number(value)


def say_symbol(units: Units) -> str:
    """Return the unit of volume, where it need not be plain text: ``yd³``."""
    return units.volume.replace("3", "³")


def trim(number: str) -> str:
    """Take noughts off the end of a number's decimals."""
    return number.rstrip("0").rstrip(".") if "." in number else number
