"""Where things go on the sheet: the map as large as the words around it let it be."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from gradevol.out.paper.paper import MARGIN, Frame
from gradevol.out.paper.type import Block

#: Around the slab, for the numbers of its sides and ticks, in.
RIM = 0.52
#: Below the map, for what is said of its marks, the bar of lengths and the arrow, in.
BELOW_MAP = 0.37
_GAP, _BETWEEN_BLOCKS = 0.15, 0.08
#: Widths of a column beside the map; the least of one below it, in.
_BESIDE = (*np.arange(1.3, 3.0, 0.05).tolist(), 3.2, 3.5, 3.8, 4.2)
_LEAST_COLUMN = 1.9
_MOST_COLUMNS = 4
_STEP = 0.02
#: Share of the largest map that a paper without words would have.
_MARGIN_TO_MARGIN = 0.97


class Place(NamedTuple):
    """Where a block goes: its number, and its left, top and width, in."""

    block: int
    left: float
    top: float
    wide: float


@dataclass(frozen=True, slots=True)
class Layout:
    """
    A sheet's parts.

    Attributes
    ----------
    width, height : float
        Of the paper, in.
    map : Frame
        Where the map is, with its rim.
    ground : (float, float)
        Width and height of what the map shows, m.
    scale : float
        Inches on paper to a metre on the ground.
    places : tuple of Place
        Of the blocks.
    """

    width: float
    height: float
    map: Frame
    ground: tuple[float, float]
    scale: float
    places: tuple[Place, ...]

    @property
    def corner(self) -> tuple[float, float]:
        """South-west corner of the ground shown, which is in the middle of the map, in."""
        wide, high = (self.scale * side for side in self.ground)
        left = self.map.left + (self.map.wide - wide) / 2
        return left, self.map.bottom + BELOW_MAP + (self.map.high - BELOW_MAP - high) / 2


class _Column(NamedTuple):
    left: float
    top: float
    wide: float
    high: float


def lay_out(
    paper: tuple[float, float],
    ground: tuple[float, float],
    blocks: Sequence[Block],
    *,
    head: float,
    least: float = 0.0,
) -> Layout | None:
    """
    Find the layout with the largest map, upright or across.

    Parameters
    ----------
    paper : (float, float)
        Short and long side, in.
    ground : (float, float)
        Width and height of what the map shows, m.
    blocks : sequence of Block
        The most important first.
    head : float
        Height of the head of the sheet, in.
    least : float
        Scale of the map, at least, in to a metre.

    Returns
    -------
    Layout or None
        None where there is no room for the blocks beside any map.
    """
    heights: dict[tuple[int, float], float] = {}

    def height_of(number: int, wide: float) -> float:
        known = (number, round(wide, 3))
        if known not in heights:
            block = blocks[number]
            heights[known] = block.measure(wide) if wide >= block.least else np.inf
        return heights[known]

    best: Layout | None = None
    short, long = paper
    for width, height in ((short, long), (long, short)):
        body = _body_of(width, height, head)
        for beside, below in _templates(body):
            strip = 0.0
            while (shown := _map_of(body, beside, strip)).high > 2 * RIM + BELOW_MAP:
                scale = _scale_of(shown, ground)
                if scale < least or scale <= (best.scale * 1.001 if best else 0.0):
                    break
                columns = _columns(body, beside, below, strip)
                filled = _fill(columns, len(blocks), height_of, strip)
                if isinstance(filled, tuple):
                    best = Layout(width, height, shown, ground, scale, filled)
                    break
                if not below or np.isinf(filled):
                    break
                strip += _STEP
                while strip < filled:  # too low for what has found no room
                    strip += _STEP
    return best


def find_half(paper: tuple[float, float], ground: tuple[float, float], *, head: float) -> float:
    """
    Find the scale at which the map with its rim has half of the paper.

    Parameters
    ----------
    paper, ground, head
        As for `lay_out`.

    Returns
    -------
    float
        in to a metre; of a slab so narrow that no map has half of the paper, the scale at which it
        reaches from margin to margin.
    """
    wide, high = ground
    # (scale wide + 2 RIM) (scale high + 2 RIM) is half of the paper
    linear, rest = 2 * RIM * (wide + high), 4 * RIM**2 - paper[0] * paper[1] / 2
    half = (np.sqrt(linear**2 - 4 * wide * high * rest) - linear) / (2 * wide * high)
    most = max(_scale_of(_body_of(*size, head), ground) for size in (paper, paper[::-1]))
    return float(min(half, _MARGIN_TO_MARGIN * most))


def _body_of(width: float, height: float, head: float) -> Frame:
    """All of a paper between the margins below the head, in."""
    return Frame(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - head)


def _scale_of(shown: Frame, ground: tuple[float, float]) -> float:
    """Scale of a map that fills a frame with its rim, in to a metre."""
    wide, high = shown.wide - 2 * RIM, shown.high - 2 * RIM - BELOW_MAP
    return min(wide / ground[0], high / ground[1])


def _templates(body: Frame) -> Iterator[tuple[float, int]]:
    """Widths of the column beside the map (0: none), and how many columns there are below it."""
    for beside in (0.0, *_BESIDE):
        room = body.wide - (beside + _GAP if beside else 0.0)
        for below in range(0 if beside else 1, _MOST_COLUMNS + 1):
            if below == 0 or (room - _GAP * (below - 1)) / below >= _LEAST_COLUMN:
                yield beside, below


def _map_of(body: Frame, beside: float, strip: float) -> Frame:
    wide = body.wide - (beside + _GAP if beside else 0.0)
    return Frame(body.left, body.bottom + strip, wide, body.high - strip)


def _columns(body: Frame, beside: float, below: int, strip: float) -> list[_Column]:
    """Columns in the order in which they are read, in."""
    columns = []
    room = body.wide
    if beside:
        left = body.left + body.wide - beside
        columns.append(_Column(left, body.top, beside, body.high))
        room -= beside + _GAP
    if below and strip:
        wide = (room - _GAP * (below - 1)) / below
        columns += [
            _Column(body.left + number * (wide + _GAP), body.bottom + strip, wide, strip)
            for number in range(below)
        ]
    return columns


def _fill(
    columns: Sequence[_Column],
    count: int,
    height_of: Callable[[int, float], float],
    strip: float,
) -> tuple[Place, ...] | float:
    """
    Put each block into the first column with room.

    Returns
    -------
    tuple of Place, or float
        Where one has none: how high the strip below the map is at least where it has, in. The
        column beside the map holds the same blocks however high the strip is.
    """
    used = [0.0] * len(columns)
    places = []
    for block in range(count):
        for number, column in enumerate(columns):
            high = height_of(block, column.wide)
            if used[number] + high <= column.high + 1e-9:
                places.append(Place(block, column.left, column.top - used[number], column.wide))
                used[number] += high + _BETWEEN_BLOCKS
                break
        else:
            below = [
                held for held, column in zip(used, columns, strict=True) if column.high == strip
            ]
            if not below:
                return 0.0
            mean = (sum(below) + high + _BETWEEN_BLOCKS) / len(below) - _BETWEEN_BLOCKS
            return max(mean, high) - 1e-6  # rounding
    return tuple(places)
