"""The order in words: a slip to read aloud or send."""

import math
from itertools import groupby

from gradevol.answer.data.sms import fold_text
from gradevol.answer.rounding import bear_digits
from gradevol.ground.units import Units
from gradevol.job.terms import Terms
from gradevol.plan.order import Order, Taker
from gradevol.plan.order.loads import Staged

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
        need, found = units.to_volume(order.need.mean), order.need.find_range(order.level)
        half = units.to_volume(found[1] - found[0]) / 2 if found else 0.0
        borne = bear_digits(half, need)
        # what is needed: no more than its range bears, nor a large one than the step
        self.needed = min(borne, self.digits) if abs(need) >= 10 else borne
        self._about = min(self.digits, 1, borne)

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
        """An expected volume: to the tenth, or as coarse as step and need are."""
        return f"{self.units.to_volume(volume):z.{self._about}f}"

    def need(self, volume: float) -> str:
        """What is needed, with the digits that its range bears."""
        return f"{self.units.to_volume(volume):z.{self.needed}f}"

    def range(self, low: float, high: float) -> str:
        """Between what the need lies, rounded outwards: ``72.5 to 76.6``."""
        scale = 10**self.needed
        down = math.floor(self.units.to_volume(low) * scale + 1e-6) / scale
        up = math.ceil(self.units.to_volume(high) * scale - 1e-6) / scale
        return f"{down:z.{self.needed}f} to {up:z.{self.needed}f}"

    def line(self, volume: float) -> str:
        """One line of the need: small ones to the hundredth, so that they show."""
        value = self.units.to_volume(volume)
        digits = max(self.needed, 2 if abs(value) < 1 else 1 if abs(value) < 10 else 0)
        return f"{value:z.{digits}f}"

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
        `LONGEST` characters at most, all of them of plain text messages: where it would be longer,
        the title is left out, or the last of what can take what is left over, or both.
    """
    words = StepWords(order, units)
    folded = fold_text(title)
    head = f"{folded}: " if folded else ""
    body = [_say_need(order, words), _say_order(order, words), *_say_stages(order, words)]
    chance = order.choice.chance_short
    short = "" if chance is None else f"{say_short(chance, order)} chance short."
    end = [short[0].upper() + short[1:]] if short else []
    first = body[0][0].lower() + body[0][1:] if head else body[0]
    most = len(order.takers)
    for count, is_named in (
        (most, True),
        (most, False),
        *((n, True) for n in reversed(range(most))),
    ):
        said = [*body, *_say_takers(order.takers, words, count), *end]
        told = head + " ".join([first, *said[1:]]) if is_named else " ".join(said)
        if len(told) <= LONGEST:
            return told
    return " ".join([*body, *end])[:LONGEST]


def _say_need(order: Order, words: StepWords) -> str:
    need = order.need
    said = f"Need {words.need(need.mean)} {words.units.volume}"
    found = need.find_range(order.level)
    if found is None:
        return f"{said}, margin not known."
    return f"{said} ({words.range(*found)} at {say_given(order.level)})."


def _say_order(order: Order, words: StepWords) -> str:
    said = f"Order {words.say(order.choice.volume)}"
    if order.staged is not None:
        return f"{said}: go {list_loads(order.staged.go, order, words.units)}, hold."
    if order.loads:
        return f"{said}: {say_loads_of(order, words.units)}."
    return f"{said}."


def _say_stages(order: Order, words: StepWords) -> list[str]:
    staged = order.staged
    if staged is None:
        return []
    last = len(staged.go) + 1
    number = f"load {last}" if len(staged.balance) == 1 else f"loads {last} on"
    return [
        f"Call {number} {say_call(staged, order.terms)}.",
        f"Expect {say_balance(staged, words)} for it.",
    ]


def say_balance(staged: Staged, words: StepWords) -> str:
    """Say between what the balance will be, in whole steps: ``2.5 to 6.75``."""
    most = max(staged.high, sum(staged.balance))
    return f"{words.down(staged.low)} to {words.up(most)}"


def say_call(staged: Staged, terms: Terms) -> str:
    """Say when to call the balance: ``once load 6 is on site, by 8:50``."""
    when = f"once load {staged.call_after} is on site"
    by = say_call_time(staged, terms)
    return f"{when}, {by}" if by else when


def say_call_time(staged: Staged, terms: Terms) -> str:
    """Say by when to call the balance; empty where nothing is known of it."""
    if staged.call_at is None:
        return "" if terms.notice is None else f"{say_hours(terms.notice)} ahead"
    if terms.start is None:
        return f"by {say_hours(staged.call_at)} after load 1"
    # in whole minutes, never later than it is
    minutes = math.floor((terms.start + staged.call_at) * 60 + 1e-6)
    day = minutes // 1440
    said = f"by {minutes % 1440 // 60}:{minutes % 60:02d}"
    return said if day == 0 else f"{said} {day} day{'s' if day > 1 else ''} on"


def say_hours(hours: float) -> str:
    """Say a time: ``90 min``, ``2 h 30 min``."""
    minutes = round(hours * 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")


def _say_takers(takers: tuple[Taker, ...], words: StepWords, most: int) -> list[str]:
    """Say the first so many that can take what is left over, and how many more there are."""
    if not takers or most == 0:
        return []
    named = [
        f"{fold_text(taker.pour.name) or f'small pour {number}'} "
        f"{f'{taker.pour.count} x ' if taker.pour.count > 1 else ''}"
        f"{words.small(taker.pour.volume)}"
        for number, taker in enumerate(takers[:most], start=1)
    ]
    more = f" and {len(takers) - most} more" if len(takers) > most else ""
    return [f"Left over: {', '.join(named)}{more}."]


def list_loads(loads: tuple[float, ...], order: Order, units: Units) -> str:
    """Loads in a row, those alike counted: ``7 x 10 + 6.5``."""
    words = StepWords(order, units)
    runs = [(said, len(list(run))) for said, run in groupby(map(words.say, loads))]
    return " + ".join(said if count == 1 else f"{count} x {said}" for said, count in runs)


def say_loads_of(order: Order, units: Units) -> str:
    """Say the loads of an order: ``7 x 10 + 6.5``, ``one load``."""
    return "one load" if len(order.loads) == 1 else list_loads(order.loads, order, units)


def say_percent(share: float) -> str:
    """Say a chance: ``4 %``; what is next to nothing, or to certain, as such."""
    if share < 0.005:
        return "under 1 %"
    return "over 99 %" if share >= 0.995 else f"{100 * share:.0f} %"


def say_given(share: float) -> str:
    """Say a share that the job states: ``90 %``, ``0.1 %``."""
    return f"{100 * share:.6g} %"


def say_short(chance: float, order: Order) -> str:
    """Say the chance of coming up short, rounded up: over the accepted one only where it is so."""
    if chance < 0.01 or chance > 0.99:
        return "under 1 %" if chance < 0.01 else "over 99 %"
    accepted = 100 * (order.risk or 0.0)
    digits = 0 if abs(accepted - round(accepted)) < 1e-9 else 1
    scale = 10**digits
    return f"{math.ceil(100 * chance * scale - 1e-9) / scale:.{digits}f} %"


def say_order(order: Order, units: Units) -> str:
    """Say an order in one sentence, for the summary."""
    words = StepWords(order, units)
    symbol = say_symbol(units)
    said = [f"{words.say(order.choice.volume)} {symbol}"]
    if order.loads:
        said[0] += f" ({say_loads_of(order, units)})"
    if order.choice.chance_short is not None:
        said.append(f"{say_short(order.choice.chance_short, order)} chance of coming up short")
    said.append(f"about {words.about(order.choice.left_over)} {symbol} left over")
    return "; ".join(said)


def say_spread(sd: float, units: Units) -> str:
    """Say one standard deviation, in the unit of volume: ``1.24``, ``11.7``."""
    value = units.to_volume(sd)
    return f"{value:.{1 if value >= 9.95 else 2}f}"


def say_money(amount: float, order: Order) -> str:
    """Say an amount in the job's currency: ``$519``."""
    currency = order.terms.costs.currency if order.terms.costs is not None else ""
    return f"{currency}{amount:,.0f}"


def say_symbol(units: Units) -> str:
    """Return the unit of volume, where it need not be plain text: ``yd³``."""
    return units.volume.replace("3", "³")


def trim(number: str) -> str:
    """Take noughts off the end of a number's decimals."""
    return number.rstrip("0").rstrip(".") if "." in number else number
