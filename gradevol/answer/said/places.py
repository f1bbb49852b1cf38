"""Places: how a crew finds one, with what their own sides are called."""

from collections.abc import Sequence

from gradevol.ground.units import Units
from gradevol.measures.spots import Spots
from gradevol.site.locating import Taping, locate, name_side
from gradevol.site.slab import Slab


def say_where(taping: Taping, units: Units, side_names: Sequence[str] = ()) -> str:
    """
    Say how to tape a place.

    Parameters
    ----------
    taping : Taping
    units : Units
    side_names : sequence of str
        What stands at each side, from side 1 on; empty where not given.

    Returns
    -------
    str
        Such as ``12 ft 4 in from side 1 (south slab), 3 ft 0 in from side 4 (form)``. A distance
        too short to tape reads ``at side 4``. Beside an arc ``8 ft 4 in along side 2 from corner
        2, 3 ft 0 in off it``.
    """
    if taping.along is not None:
        return _say_along(*taping.along, units, side_names)
    if not taping.sides:
        corners = [(f"corner {number}", away) for number, away in taping.corners]
        if corners and _is_nothing(corners[0][1], units):
            corners = corners[:1]  # one corner is the place: a second tape says nothing
        return ", ".join(_say(name, away, units) for name, away in corners)
    return ", ".join(
        _say(name_side(number, side_names), away, units) for number, away in taping.sides
    )


def say_place(place: Sequence[float], slab: Slab, units: Units) -> str:
    """Say how to tape a place, easting and northing first, m; see `say_where`."""
    return say_where(locate((place[0], place[1]), slab), units, slab.side_names)


def _say_along(
    number: int, station: float, off: float, units: Units, side_names: Sequence[str]
) -> str:
    side, corner = name_side(number, side_names), f"corner {number}"
    is_on_it = _is_nothing(off, units)
    if _is_nothing(station, units):
        return f"at {corner}" if is_on_it else f"{units.say_tape(off)} off {side} at {corner}"
    along = f"{units.say_tape(station)} along {side} from {corner}"
    return along if is_on_it else f"{along}, {units.say_tape(off)} off it"


def say_unshot(spots: Spots, units: Units) -> str:
    """Say how much of some spots nobody shot, to follow their number; blank of none."""
    area = units.say_area(spots.unshot)
    return "" if area == units.say_area(0.0) else f", {area} of it where nobody shot"


def _say(what: str, away: float, units: Units) -> str:
    return f"at {what}" if _is_nothing(away, units) else f"{units.say_tape(away)} from {what}"


def _is_nothing(away: float, units: Units) -> bool:
    return units.say_tape(away) == units.say_tape(0.0)
