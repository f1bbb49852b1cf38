"""Where things go on the sheet, in inches; letter paper at most, upright or across."""

from dataclasses import dataclass

#: Inches.
LONG, SHORT = 10.0, 7.5
MARGIN = 0.25
#: Around the map, for the numbers of sides and ticks.
RIM = 0.5
HEAD = 0.76
FOOT = 0.46
_GAP = 0.2
_LEAST_WIDTH = 5.6


@dataclass(frozen=True, slots=True)
class Layout:
    """
    Sheet, map and key.

    Attributes
    ----------
    width, height : float
        Of the sheet, in.
    scale : float
        Inches on paper to a metre on the ground.
    map_corner : (float, float)
        South-west corner of the map, in.
    blocks : tuple of (float, float)
        Upper left corner of each block of the key, in.
    """

    width: float
    height: float
    scale: float
    map_corner: tuple[float, float]
    blocks: tuple[tuple[float, float], ...]


def lay_out(ground: tuple[float, float], blocks: tuple[tuple[float, float], ...]) -> Layout:
    """
    Find the largest map that fits on the sheet with its key beside or below it.

    Parameters
    ----------
    ground : (float, float)
        Width and height of what the map shows, m.
    blocks : tuple of (float, float)
        Width and height of each block of the key, in.
    """
    tries = [
        place(ground, blocks, width, height)
        for width, height in ((SHORT, LONG), (LONG, SHORT))
        for place in (_beside, _below)
    ]
    most = max(layout.scale for layout in tries)
    good = [layout for layout in tries if layout.scale > 0.97 * most]
    return min(good, key=lambda layout: layout.width * layout.height)


def _beside(
    ground: tuple[float, float],
    blocks: tuple[tuple[float, float], ...],
    width: float,
    height: float,
) -> Layout:
    key_width = max(block[0] for block in blocks)
    key_height = sum(block[1] for block in blocks) + _GAP * (len(blocks) - 1)
    beside = key_width + _GAP + 2 * MARGIN + 2 * RIM
    above = HEAD + FOOT + 2 * RIM
    scale = min((width - beside) / ground[0], (height - above) / ground[1])
    wide, high = scale * ground[0], scale * ground[1]
    height = max(high + 2 * RIM, key_height) + HEAD + FOOT
    width = max(_LEAST_WIDTH, wide + beside)
    spare = width - wide - beside
    east = width - MARGIN - key_width
    tops = []
    at = height - HEAD
    for block in blocks:
        tops.append((east, at))
        at -= block[1] + _GAP
    corner = (MARGIN + RIM + spare / 2, height - HEAD - RIM - high)
    return Layout(width, height, scale, corner, tuple(tops))


def _below(
    ground: tuple[float, float],
    blocks: tuple[tuple[float, float], ...],
    width: float,
    height: float,
) -> Layout:
    key_width = sum(block[0] for block in blocks) + _GAP * (len(blocks) - 1)
    key_height = max(block[1] for block in blocks)
    beside = 2 * MARGIN + 2 * RIM
    above = HEAD + FOOT + 2 * RIM + key_height
    scale = min((width - beside) / ground[0], (height - above) / ground[1])
    wide, high = scale * ground[0], scale * ground[1]
    width = max(_LEAST_WIDTH, wide + beside, key_width + 2 * MARGIN)
    height = high + above
    spread = (width - 2 * MARGIN - key_width) / max(1, len(blocks) - 1)
    lefts = []
    at = MARGIN
    for block in blocks:
        lefts.append((at, FOOT + key_height))
        at += block[0] + _GAP + min(spread, 0.9)
    return Layout(width, height, scale, ((width - wide) / 2, FOOT + key_height + RIM), tuple(lefts))
