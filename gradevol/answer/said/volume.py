"""The volume in place: how much, how sure, and what it does not hold."""

from gradevol.answer.result import Result
from gradevol.answer.said.margin import say_ends, say_level_of, say_like_stated
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.site.top import Between, Measured, parts_of

#: Where no interval is worked out.
NO_INTERVAL = "Margin not known: don't rely on the decimals"
#: What the volume does not hold; the same where the job asks for an order.
NO_ALLOWANCE = "Volume in place: to order, add for waste and short yield"
ORDER_APART = "Volume in place, not what to order: see the order"
#: Surveys whose elevations hang on a bench mark, by `Survey.method`.
_ON_MARK = ("shots", "rod and level")
_MARK, _ALL = "Takes the bench mark as right: {} off is {}", "Each {} all over is {}"


def say_total(result: Result) -> str:
    """Say the volume with no more digits than it bears."""
    return say_like_stated(result.concrete.volume, result.interval, result.units)


def tell_volume(result: Result) -> tuple[Topic, ...]:
    """Tell the volume in place, its margin, what it does not hold, and what a height is worth."""
    total = Figure(say_total(result), "concrete.volume")
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
        _tell_step(result),
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


def _tell_step(result: Result) -> Statement:
    """Tell what a height is worth: where nothing else holds the bench mark, what it is worth."""
    units = result.units
    step = units.fine_step
    volume = units.say_some_volume(step * result.slab.area)
    is_bare = result.survey.method in _ON_MARK and not _is_top_shot(result)
    said = words(_MARK if is_bare else _ALL, units.say_thickness(step), volume)
    return Statement("volume.step", Weight.DETAILS, short=said)


def _is_top_shot(result: Result) -> bool:
    """Whether the top was shot too: what the bench mark is off by, base and top share."""
    return any(
        isinstance(part, Measured) or (isinstance(part, Between) and any(part.names))
        for part in (parts_of(result.design) if result.design else ())
    )


def _tell_allowance(result: Result) -> Statement:
    """Tell what the volume does not hold; all there is to order by, where no order is made."""
    delivery = result.delivery
    if delivery.order is None and not delivery.part_orders:
        return Statement("volume.allowance", Weight.DECIDES, short=words(NO_ALLOWANCE))
    return Statement("volume.allowance", short=words(ORDER_APART))
