"""Where things go on the sheet: the map as large as the words around it let it be."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from gradevol.out.paper.paper import MARGIN, Frame
from gradevol.out.paper.type import Block

#: Around the slab, for the numbers of its sides and ticks, in.
RIM = 0.52
#: Below the map, for what is said of its marks, the bar of lengths and the arrow, in.
BELOW_MAP = 0.62
_GAP, _BETWEEN_BLOCKS = 0.2, 0.13
#: Widths of a column beside the map; the least of one below it, in.
_BESIDE = (2.35, 2.6, 2.9, 3.2, 3.5, 3.8, 4.2)
_LEAST_COLUMN = 2.3
_MOST_COLUMNS = 4
_STEP = 0.1


@dataclass(frozen=True, slots=True)
class Place:
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
    scale : float
        Inches on paper to a metre on the ground.
    places : tuple of Place
        Of the blocks.
    """

    width: float
    height: float
    map: Frame
    scale: float
    places: tuple[Place, ...]

    def corner_of(self, ground: tuple[float, float]) -> tuple[float, float]:
        """South-west corner of the ground shown (width, height, m) in the middle of the map, in."""
        wide, high = (self.scale * side for side in ground)
        left = self.map.left + (self.map.wide - wide) / 2
        return left, self.map.bottom + BELOW_MAP + (self.map.high - BELOW_MAP - high) / 2


@dataclass(frozen=True, slots=True)
class _Column:
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
        Share of the paper that the map with its rim has, at least.

    Returns
    -------
    Layout or None
        None where there is no room for the blocks beside any map.
    """
    heights: dict[tuple[int, float], float] = {}

    def height_of(number: int, wide: float) -> float:
        known = (number, round(wide, 3))
        if known not in heights:
            heights[known] = blocks[number].measure(wide)
        return heights[known]

    best: Layout | None = None
    short, long = paper
    for width, height in ((short, long), (long, short)):
        body = Frame(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - head)
        for beside, below in _templates(body):
            strip = 0.0
            while (shown := _map_of(body, beside, strip)).high > 2 * RIM + BELOW_MAP:
                if shown.wide * shown.high < least * width * height:
                    break
                scale = min(
                    (shown.wide - 2 * RIM) / ground[0],
                    (shown.high - 2 * RIM - BELOW_MAP) / ground[1],
                )
                if scale <= (best.scale * 1.001 if best else 0.0):
                    break
                columns = _columns(body, beside, below, strip)
                places = _fill(columns, len(blocks), height_of)
                if places is not None:
                    best = Layout(width, height, shown, scale, places)
                    break
                strip += _STEP
    return best


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
    columns: Sequence[_Column], count: int, height_of: Callable[[int, float], float]
) -> tuple[Place, ...] | None:
    """Put each block into the first column with room; None where one has none."""
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
            return None
    return tuple(places)
