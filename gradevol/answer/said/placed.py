"""Orders as they are told: of the slab, or of each part that is called on its own."""

from collections.abc import Callable
from dataclasses import dataclass

from gradevol.answer.result import Result
from gradevol.answer.said.margin import say_like_stated
from gradevol.answer.said.outcome import say_before_order
from gradevol.answer.said.step_words import StepWords
from gradevol.answer.said.suspects import say_first
from gradevol.answer.statement import Figure, Words, words
from gradevol.ground.units import Units
from gradevol.plan.order import Order

_NO_WORDS = Words()


@dataclass(frozen=True, slots=True)
class Placed:
    """
    An order of the slab, or of a part that is called on its own.

    Attributes
    ----------
    name : str
        The part's; empty for the whole slab.
    path : str
        Where the order stands in the data.
    title : str
        Of the job.
    first : str
        What is done before it is believed: ``reshoot 41 first``; empty where nothing is.
    without : Words
        What is in place without the suspect shots.
    is_moved : bool
        Whether the fix list changes what is needed.
    """

    name: str
    path: str
    title: str
    order: Order
    units: Units
    first: str = ""
    without: Words = _NO_WORDS
    is_moved: bool = False

    @property
    def words(self) -> StepWords:
        """How its volumes are said."""
        return StepWords(self.order, self.units)

    def figure(self, text: str, key: str) -> Figure:
        """Return a number of it."""
        return Figure(text, f"{self.path}.{key}")


def list_placed(result: Result) -> list[Placed]:
    """List the orders of a result with what they are told with; none where nothing is ordered."""
    delivery, units = result.delivery, result.units
    if delivery.part_orders:
        return [
            Placed(
                *(part.name, f"pours.{number}.order", result.title),
                *(order, units, say_first(result, part)),
                _say_without(
                    *(part.concrete.volume, part.volume_without),
                    *(f"pours.{number}.volume", f"pours.{number}.volume_without_suspects"),
                    units.say_volume,
                ),
                bool(say_before_order(result, part)),
            )
            for number, (part, order) in enumerate(
                zip(delivery.parts, delivery.part_orders, strict=True)
            )
        ]
    if delivery.order is None:
        return []
    without = _say_without(
        *(result.concrete.volume, result.volume_without_suspects),
        *("concrete.volume", "survey.volume_without_suspects"),
        lambda volume: say_like_stated(volume, result.interval, units),
    )
    first, is_moved = say_first(result), bool(say_before_order(result))
    return [Placed("", "order", result.title, delivery.order, units, first, without, is_moved)]


def _say_without(
    volume: float, without: float | None, key: str, key_without: str, say: Callable[[float], str]
) -> Words:
    """Say what is in place without the suspect shots; nothing where that is not known."""
    if without is None:
        return Words()
    return words(
        ": {} in place with it, {} without",
        Figure(say(volume), key),
        Figure(say(without), key_without),
    )
