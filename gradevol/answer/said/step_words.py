"""Numbers of an order in words: volumes in steps of the plant, chances, amounts, times."""

import math

from gradevol.answer.rounding import bear_need, say_outwards
from gradevol.ground.units import Units, digits_of
from gradevol.plan.order import Order


class StepWords:
    """Volumes in the job's unit, with no more digits than the plant's step has."""

    def __init__(self, order: Order, units: Units) -> None:
        self.units = units
        step = units.to_volume(order.plant.step)
        self.step = step
        self.digits = digits_of_step(step)
        need, found = units.to_volume(order.need.mean), order.need.find_range(order.level)
        half = units.to_volume(found[1] - found[0]) / 2 if found else 0.0
        self.needed = bear_need(half, need, self.digits)
        self._about = min(self.digits, 1, self.needed)

    @property
    def symbol(self) -> str:
        """The unit, where it need not be plain text."""
        return self.units.volume_symbol

    def say(self, volume: float) -> str:
        """A number of steps, such as an order: ``77``, ``76.75``."""
        return self.number(self.units.to_volume(volume))

    def number(self, value: float) -> str:
        """The same of a number in the job's unit; up where the step has no end of digits."""
        scale = 10**self.digits
        return trim(f"{math.ceil(value * scale - 1e-4) / scale:,.{self.digits}f}")

    def about(self, volume: float) -> str:
        """An expected volume: to the tenth, or as coarse as step and need are."""
        return f"{self.units.to_volume(volume):z,.{self._about}f}"

    def need(self, volume: float) -> str:
        """What is needed, with the digits that its range bears."""
        return f"{self.units.to_volume(volume):z,.{self.needed}f}"

    def range(self, low: float, high: float) -> str:
        """Between what the need lies, rounded outwards: ``72.5 to 76.6``."""
        put = self.units.to_volume
        ends = map(float, say_outwards(put(low), put(high), self.needed))
        return " to ".join(f"{end:z,.{self.needed}f}" for end in ends)

    def line(self, volume: float) -> str:
        """One line of the need: small ones to the hundredth, so that they show, never as 0."""
        value = self.units.to_volume(volume)
        digits = max(self.needed, 2 if abs(value) < 1 else 1 if abs(value) < 10 else 0)
        said = f"{value:z,.{digits}f}"
        is_shown = not value or said != f"{0:.{digits}f}"
        return said if is_shown else f"less than {10**-digits:.{digits}f}"

    def small(self, volume: float) -> str:
        """A volume that may be less than a step."""
        return trim(f"{self.units.to_volume(volume):.{max(self.digits, 1)}f}")

    def down(self, volume: float) -> str:
        """A volume rounded down to the step."""
        steps = math.floor(self.units.to_volume(volume) / self.step + 1e-9)
        return trim(f"{steps * self.step:,.{self.digits}f}")

    def up(self, volume: float) -> str:
        """A volume rounded up to the step."""
        steps = math.ceil(self.units.to_volume(volume) / self.step - 1e-9)
        return trim(f"{steps * self.step:,.{self.digits}f}")


def digits_of_step(step: float) -> int:
    """Decimals of a plant's step, in the unit of volume: 2 where they have no end."""
    scaled = (step * 10**digits for digits in range(4))
    return next((n for n, x in enumerate(scaled) if abs(x - round(x)) < 1e-6), 2)


def say_step(step: float, units: Units) -> str:
    """Say a plant's step, m³: ``0.25``; one whose digits have no end is said to the thousandth."""
    return trim(f"{units.to_volume(step):.3f}")


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


def say_spread(sd: float, units: Units) -> str:
    """Say one standard deviation, in the unit of volume: ``1.24``, ``11.7``."""
    value = units.to_volume(sd)
    return f"{value:.{digits_of(value)}f}"


def say_money(amount: float, order: Order) -> str:
    """Say an amount in the order's currency: ``$519``."""
    currency = order.terms.costs.currency if order.terms.costs is not None else ""
    return f"{currency}{amount:,.0f}"


def say_hours(hours: float) -> str:
    """Say a time: ``90 min``, ``2 h 30 min``."""
    minutes = round(hours * 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")


def split_clock(hours: float) -> tuple[str, int]:
    """Return a time in whole minutes, never later than it is: ``9:10``, and how many days on."""
    minutes = math.floor(hours * 60 + 1e-6)
    return f"{minutes % 1440 // 60}:{minutes % 60:02d}", minutes // 1440


def trim(number: str) -> str:
    """Take zeros off the end of a number's decimals."""
    return number.rstrip("0").rstrip(".") if "." in number else number
