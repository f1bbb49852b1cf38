"""The volume in place: how much, how sure, and what it does not hold."""

from gradevol.answer.result import Result
from gradevol.answer.said.margin import say_ends, say_level_of, say_like_stated
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words

#: Where no interval is worked out.
NO_INTERVAL = "Margin not known: don't rely on the decimals"
#: What the volume does not hold; the same where the job asks for an order.
NO_ALLOWANCE = "Volume in place: to order, add for waste and short yield"
ORDER_APART = "Volume in place, not what to order: see the order"


def say_total(result: Result) -> str:
    """Say the volume with no more digits than it bears."""
    return say_like_stated(result.concrete.volume, result.interval, result.units)


def tell_volume(result: Result) -> tuple[Topic, ...]:
    """Tell the volume in place, its margin, what it does not hold, and what a height is worth."""
    units = result.units
    total = Figure(say_total(result), "concrete.volume")
    step = units.fine_step
    told = (
        Statement(
            "concrete.volume",
            Weight.DECIDES,
            "Concrete in place",
            total,
            short=words("{} of concrete", total),
        ),
        _tell_margin(result),
        _tell_allowance(result),
        Statement(
            "volume.step",
            Weight.DETAILS,
            short=words(
                "Each {} all over is {}",
                units.say_thickness(step),
                units.say_some_volume(step * result.slab.area),
            ),
        ),
    )
    return (Topic("volume", "Concrete in place", "Margin", told),)


def _tell_margin(result: Result) -> Statement:
    if result.interval is None:
        return Statement("concrete.interval", Weight.DECIDES, short=words(NO_INTERVAL))
    low, high = say_ends(result.interval, result.units)
    return Statement(
        "concrete.interval",
        Weight.DECIDES,
        say_level_of(result.interval),
        short=words(
            "{} to {}",
            Figure(low, "concrete.interval.low"),
            Figure(high, "concrete.interval.high"),
        ),
    )


def _tell_allowance(result: Result) -> Statement:
    """Tell what the volume does not hold; all there is to order by, where no order is made."""
    delivery = result.delivery
    if delivery.order is None and not delivery.part_orders:
        return Statement("volume.allowance", Weight.DECIDES, short=words(NO_ALLOWANCE))
    return Statement("volume.allowance", short=words(ORDER_APART))
