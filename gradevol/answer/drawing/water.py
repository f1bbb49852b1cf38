"""Water on the design top as pictures have it: falls, flat places, ponds."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class WetPlace:
    """A flat place or a pond: rings (n, 2), m, and m²; a place in it, (2,), m, and its words."""

    rings: tuple[FloatArray, ...]
    area: float
    at: FloatArray
    text: str


@dataclass(frozen=True, slots=True)
class Water:
    """
    What water does, about the survey's origin, m.

    Attributes
    ----------
    flat, ponds : tuple of WetPlace
        The largest first.
    arrow_places, arrow_ways : (n, 2) array of float
        Where the top falls; the way, of length 1.
    """

    flat: tuple[WetPlace, ...]
    ponds: tuple[WetPlace, ...]
    arrow_places: FloatArray
    arrow_ways: FloatArray


def draw_water(result: Result) -> Water:
    """Draw up what water does; nothing where the top does not say."""
    drainage, say = result.drainage, result.units.say_thickness
    if drainage is None:
        return Water((), (), np.empty((0, 2)), np.empty((0, 2)))
    turn = np.radians([90 - arrow.bearing for arrow in drainage.arrows])
    return Water(
        flat=tuple(
            WetPlace(place.rings, place.area, np.array(place.at), "flat") for place in drainage.flat
        ),
        ponds=tuple(
            WetPlace(pond.rings, pond.area, np.array(pond.at[:2]), f"water {say(pond.depth)}")
            for pond in drainage.ponds
        ),
        arrow_places=np.array([arrow.at for arrow in drainage.arrows]).reshape(-1, 2),
        arrow_ways=np.column_stack([np.cos(turn), np.sin(turn)]),
    )
