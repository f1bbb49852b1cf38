"""Rooms: the smallest places of a pour that tickets can name as done, and what each takes."""

from collections.abc import Mapping
from dataclasses import dataclass

import shapely

from gradevol.after.model import NOTHING, PourModel


@dataclass(frozen=True, slots=True)
class Rooms:
    """
    The smallest places of a pour that have a name.

    Attributes
    ----------
    zones : mapping of str to shapely geometry
        Each within what is poured; none holds another.
    volumes : mapping of str to float
        Modelled concrete in each, m³.
    unnamed : float
        Modelled concrete in none of them, m³.
    """

    zones: Mapping[str, shapely.Geometry]
    volumes: Mapping[str, float]
    unnamed: float

    def find_largest_left(self, done: shapely.Geometry, least: float) -> float:
        """
        Concrete in the largest that is not all done, m³.

        Parameters
        ----------
        done : shapely geometry
        least : float
            Area from which on something is left of one, m².
        """
        left = [
            self.volumes[name]
            for name, zone in self.zones.items()
            if shapely.area(shapely.difference(zone, done)) > least
        ]
        return max([*left, self.unnamed])


def measure_rooms(named: Mapping[str, shapely.Geometry], model: PourModel) -> Rooms:
    """
    Measure the smallest places of a pour that have a name.

    Parameters
    ----------
    named : mapping of str to shapely geometry
        Panels and pours.
    model : PourModel
    """
    least = NOTHING * model.zone.area
    inside = {name: shapely.intersection(zone, model.zone) for name, zone in named.items()}
    zones = {name: zone for name, zone in inside.items() if zone.area > least}
    rooms = {
        name: zone
        for name, zone in zones.items()
        if not any(
            other.area < zone.area - least
            and shapely.area(shapely.difference(other, zone)) <= least
            for other in zones.values()
        )
    }
    whole, _ = model.measure(shapely.union_all(list(rooms.values())))
    return Rooms(
        rooms,
        {name: model.measure(zone)[0] for name, zone in rooms.items()},
        max(model.volume - whole, 0.0),
    )
