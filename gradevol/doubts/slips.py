"""Slips that people make, and which of them would explain a difference."""

import math
import re

from gradevol.ground.units import METRES

#: Chance that a suspect shot is a slip, before its difference is looked at; common practice, no
#: source: a slip in one survey of five, against one clean survey of twenty that is accused.
SLIP = 0.8
#: A slip is named where it is this many times as likely as uneven ground and all else together.
CLEARLY = 2.0
#: Ground beyond its limit: how fast larger differences become rarer, as in Student's t.
_RARER = 6.0
#: What stands in a reading in inches: ``4'-5 1/8"``, ``53⅛ in``, ``4-5-1/8``.
_IN_INCHES = re.compile(r"[\"\u201d\u2033/¼½¾⅛⅜⅝⅞]|in\b|\d-\d")
#: Slips of any other size: alike likely in each octave, from the limit to this, m.
_LARGEST = 3.0


def name_slip(
    difference: float,
    reading: str,
    unit: str,
    *,
    sigma: float,
    limit: float,
    is_read_down: bool = False,
) -> str:
    """
    Name the slip that explains a difference clearly better than uneven ground does.

    Parameters
    ----------
    difference : float
        Booked less expected, m.
    reading : str
        The elevation, rod reading or depth as it was written; empty where not known.
    unit : str
        Its unit, a key of `units.METRES`.
    sigma : float
        One standard deviation of the difference where the ground alone makes it, m.
    limit : float
        Differences beyond this are called suspect, m.
    is_read_down : bool
        Whether a larger reading is a lower place, as on a rod.

    Returns
    -------
    str
        In words; empty where none does.

    Notes
    -----
    Of what is no such slip half is ground, whose differences beyond `limit` grow rare with their
    sixth power; the other half is anything, of any size.
    """
    size = abs(difference)
    beyond = max(size / limit, 1.0)
    ground = _RARER / limit * beyond ** -(_RARER + 1)
    other = 1 / (size * math.log(max(_LARGEST / limit, math.e)))
    slips = list_slips(difference, reading, unit, is_read_down=is_read_down)
    found = [
        (math.exp(-(((difference - off) / sigma) ** 2) / 2), words)
        for off, words in slips
        if abs(difference - off) <= size / 2
    ]
    nearness, words = max(found, default=(0.0, ""))
    likely = nearness / (sigma * math.sqrt(2 * math.pi) * len(slips))
    # a slip has a sign; the others are as likely high as low
    unlike = (ground + other) / 2 / 2
    return words if SLIP * likely > CLEARLY * (1 - SLIP) * unlike else ""


def list_slips(
    difference: float, reading: str, unit: str, *, is_read_down: bool = False
) -> list[tuple[float, str]]:
    """List the slips that people make: by how much each puts a shot off, m, and its words."""
    way, side = ("high", 1) if difference > 0 else ("low", -1)
    sign = -1 if is_read_down else 1
    if unit in {"m", "mm"}:
        whole = ((1.0, "a metre"), (0.1, "a decimetre"))
    else:
        # a rod in feet and inches has no tenths
        in_inches = unit == "in" or _IN_INCHES.search(reading)
        part = (0.0254, "an inch") if in_inches else (0.03048, "a tenth of a foot")
        whole = ((0.3048, "a foot"), part)
    found = [(side * size, f"reads like {name} misread, too {way}") for size, name in whole]
    match = re.fullmatch(r"([+-]?)(\d+)(?:[.,](\d+))?", reading.strip())
    if match and unit in METRES:
        digits, decimals = match[2] + (match[3] or ""), len(match[3] or "")
        minus = match[1].removeprefix("+")
        grows = -sign if minus else sign  # which way its digits go
        value = int(digits) / 10**decimals * METRES[unit]
        if 0 < 2 * value < _LARGEST and not is_read_down:  # rods and depths have no sign
            words = f"reads like a minus sign {'put in' if minus else 'left out'}"
            found.append((grows * 2 * value, words))
        for at in range(len(digits) - 1):
            swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
            if swapped != digits:
                off = grows * (int(digits) - int(swapped)) / 10**decimals * METRES[unit]
                meant = f"{minus}{_show(swapped, decimals)}"
                found.append((off, f"reads like two digits changed places ({meant} meant)"))
        if match[3] and unit in {"ft", "us-ft"} and 0 < int(match[3]) < 12:
            off = grows * (int(match[3]) / 10**decimals - int(match[3]) / 12) * METRES[unit]
            meant = f"{minus}{match[2]} ft {int(match[3])} in"
            found.append((off, f"reads like inches booked as decimals ({meant} meant)"))
    return found


def _show(digits: str, decimals: int) -> str:
    return f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits
