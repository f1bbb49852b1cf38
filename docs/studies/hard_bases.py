"""Thirteen kinds of gravel base, and seven ways to shoot them: what ``hard.py`` tries.

A kind and its sizes are what machines leave: common practice, no source. None was changed after
the method had been tried on it.
"""

from collections.abc import Callable

import numpy as np

from gradevol.ground.arrays import FloatArray

#: A departure of the base from its design as a function of easting and northing, m.
Base = Callable[[FloatArray, FloatArray], FloatArray]

INCH, FOOT = 0.0254, 0.3048
#: The slab, 40 by 60 ft, m.
SIZE = np.array([40, 60]) * FOOT
#: Standard deviation of a base's departures, in; of the kinds that have parts, of the whole.
SPREAD = (0.3, 0.9)
KINDS = (
    "smooth", "short-range", "anisotropic", "ruts", "trench", "waves", "ridges", "fractal",
    "lanes", "perfect", "half rough", "dish", "low at forms",
)  # fmt: skip
DESIGNS = (
    "grid 5 ft", "grid 8 ft", "grid 10 ft", "random", "edges and centre", "12 shots", "200 shots",
)  # fmt: skip
#: Cosines that a random field is made of.
_COSINES = 60


def make_wave(
    rng: np.random.Generator, reach: float, smoothness: float = 1.5, *, ratio: float = 1.0,
    bearing: float = 0.0,
) -> Base:  # fmt: skip
    """Make a random field of unit variance and Matérn covariance, `ratio` times as long one way."""
    heavy = rng.chisquare(2 * smoothness, _COSINES) / (2 * smoothness)
    turns = rng.standard_normal((_COSINES, 2)) / np.sqrt(heavy)[:, None] / reach / [ratio, 1]
    cos, sin = np.cos(bearing), np.sin(bearing)
    return _sum_cosines(rng, turns @ np.array([[cos, sin], [-sin, cos]]), np.ones(_COSINES))


def make_fractal(rng: np.random.Generator) -> Base:
    """Make a field as rough at every length from 1 ft to the slab's: a self-affine surface."""
    rough = rng.uniform(0.3, 0.7)
    length = np.exp(rng.uniform(np.log(FOOT), np.log(2 * SIZE.max()), 2 * _COSINES))
    way = rng.uniform(0, np.pi, 2 * _COSINES)
    turns = 2 * np.pi / length[:, None] * np.column_stack([np.cos(way), np.sin(way)])
    return _sum_cosines(rng, turns, length**rough)


def _sum_cosines(rng: np.random.Generator, turns: FloatArray, height: FloatArray) -> Base:
    phase = rng.uniform(0, 2 * np.pi, len(turns))

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        at = np.multiply.outer(east, turns[:, 0]) + np.multiply.outer(north, turns[:, 1])
        found: FloatArray = np.cos(at + phase) @ height * np.sqrt(2 / np.square(height).sum())
        return found

    return level


# one kind after another: no part of it is used twice
def invent(rng: np.random.Generator, kind: str) -> Base:  # noqa: PLR0911, PLR0912, PLR0915
    """Invent a base of a kind; what the machine left runs along the slab, or across it."""
    spread = rng.uniform(*SPREAD) * INCH
    if kind in ("ruts", "trench", "low at forms"):  # what is there beside them
        spread = rng.uniform(0.1, 0.3) * INCH
    rest = make_wave(rng, rng.uniform(2, 6), rng.choice([1.5, 2.5]))
    axis = int(rng.random() < 0.7)  # what is along the longer side is across the shorter
    slew = np.radians(rng.normal(0, 1.0))

    def across(east: FloatArray, north: FloatArray) -> FloatArray:
        off = np.stack([north, east])[axis], np.stack([east, north])[axis]
        found: FloatArray = off[0] * np.cos(slew) - off[1] * np.sin(slew)
        return found

    wide = SIZE[1 - axis]
    match kind:
        case "smooth":
            return _scale(make_wave(rng, rng.uniform(4, 10), 2.5), spread)
        case "short-range":
            return _scale(make_wave(rng, rng.uniform(0.4, 1.0)), spread)
        case "anisotropic":
            way = rng.uniform(0, np.pi) if rng.random() < 0.5 else np.pi / 2 * axis + slew
            ratio = rng.uniform(3, 8)
            return _scale(make_wave(rng, rng.uniform(0.6, 1.8), ratio=ratio, bearing=way), spread)
        case "ruts":
            passes = rng.uniform(0, wide, rng.integers(1, 4))
            gauge, width = rng.uniform(1.6, 2.0), rng.uniform(0.8, 1.3) * FOOT
            deep = rng.uniform(0.7, 1.3) * INCH
            tracks = np.concatenate([passes - gauge / 2, passes + gauge / 2])
            return _add(rest, spread, lambda e, n: -deep * _band(across(e, n), tracks, width))
        case "trench":
            middle, width = rng.uniform(0.1, 0.9, 1) * wide, rng.uniform(0.8, 1.5) * FOOT
            off = rng.choice([-1, 1]) * rng.uniform(0.7, 1.3) * INCH
            return _add(rest, spread, lambda e, n: off * _band(across(e, n), middle, width))
        case "waves":
            length, phase = rng.uniform(4, 8) * FOOT, rng.uniform(0, 2 * np.pi)
            bend, part = make_wave(rng, 8.0, 2.5), rng.uniform(0.5, 0.9)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                turn = 2 * np.pi * across(east, north) / length + phase + bend(east, north) / 2
                waves = np.sqrt(2 * part) * np.cos(turn)
                return spread * (waves + np.sqrt(1 - part) * rest(east, north))

            return level
        case "ridges":
            tops = [
                (rng.uniform([0, 0], SIZE), rng.uniform(0, np.pi), rng.uniform(0.3, 0.8),
                 rng.uniform(2, 6))
                for _ in range(rng.integers(2, 6))
            ]  # fmt: skip

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                total = 0.4 * rest(east, north)
                for place, way, width, length in tops:
                    right, up = east - place[0], north - place[1]
                    along = right * np.cos(way) + up * np.sin(way)
                    aside = up * np.cos(way) - right * np.sin(way)
                    total += 2 * np.exp(-((along / length) ** 2 + (aside / width) ** 2) / 2)
                return total

            return _scale(level, spread)
        case "fractal":
            return _scale(make_fractal(rng), spread)
        case "lanes":
            lane = rng.uniform(6, 10) * FOOT
            start = rng.uniform(-lane, 0)
            heights = rng.standard_normal(int(wide / lane) + 4)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                at = np.clip((across(east, north) - start) / lane + 0.5, 0, len(heights) - 1.001)
                left = np.floor(at).astype(int)
                step = np.clip((at - left - 0.5) * lane / (0.5 * FOOT) + 0.5, 0, 1)  # blade's spill
                rise = heights[left] + (heights[left + 1] - heights[left]) * step
                return rise + 0.4 * rest(east, north)

            return _scale(level, spread)
        case "perfect":
            return lambda east, _: np.zeros_like(east)
        case "half rough":
            rough = make_wave(rng, rng.uniform(0.6, 1.5))

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                along = (north if axis else east) / SIZE[axis]
                share = 1 / (1 + np.exp(-(along - 0.5) / 0.02))
                return 0.3 * rest(east, north) + 1.4 * share * rough(east, north)

            return _scale(level, spread)
        case "dish":
            sag, middle = rng.choice([-1, 1]), rng.uniform(0.4, 0.6, 2) * SIZE

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                away = ((east - middle[0]) / SIZE[0]) ** 2 + ((north - middle[1]) / SIZE[1]) ** 2
                return sag * 4 * away + 0.15 * rest(east, north)

            return _scale(level, spread)
        case "low at forms":
            deep, width = rng.uniform(0.7, 1.5) * INCH, rng.uniform(1.0, 2.5) * FOOT

            def fall(east: FloatArray, north: FloatArray) -> FloatArray:
                away = np.minimum(
                    np.minimum(east, SIZE[0] - east), np.minimum(north, SIZE[1] - north)
                )
                return -deep * np.clip(1 - away / width, 0, 1)

            return _add(rest, spread, fall)
    raise ValueError(kind)


def _band(off: FloatArray, middles: FloatArray, width: float) -> FloatArray:
    """One within bands of a width, nought without; their sides lean over a quarter foot."""
    away = np.abs(off[..., None] - middles).min(axis=-1)
    return np.clip((width / 2 - away) / (0.25 * FOOT) + 0.5, 0, 1)


def _add(rest: Base, spread: float, feature: Base) -> Base:
    return lambda east, north: spread * rest(east, north) + feature(east, north)


def _scale(level: Base, spread: float) -> Base:
    """Give a base the standard deviation asked for, and leave its mean."""
    east, north = (grid.ravel() for grid in np.meshgrid(*(np.linspace(0, s, 40) for s in SIZE)))
    size = spread / level(east, north).std()
    return lambda east, north: size * level(east, north)


def lay_out(rng: np.random.Generator, design: str) -> FloatArray:
    """Lay shots out as a design asks, (n, 2), m."""
    if design.startswith("grid"):
        step = float(design.split()[1]) * FOOT
        # the first row a foot off the forms or half a spacing: both are taught
        first = FOOT if rng.random() < 0.5 else step / 2
        lines = [np.arange(first, side - 0.4 * FOOT, step) for side in SIZE]
        lines = [
            np.append(line, side - FOOT) if side - line[-1] > 0.75 * step else line
            for line, side in zip(lines, SIZE, strict=True)
        ]
        lattice = np.stack(np.meshgrid(*lines), -1).reshape(-1, 2)
        return lattice + rng.uniform(-0.05, 0.05, lattice.shape)
    if design == "random":
        return rng.uniform([0, 0], SIZE, (60, 2))
    if design == "edges and centre":
        around = 2 * SIZE.sum()
        at = (np.arange(26) + rng.uniform()) / 26 * around
        corner = np.cumsum([0, SIZE[0], SIZE[1], SIZE[0], SIZE[1]])
        inset = 0.5 * FOOT
        east = np.interp(at, corner, [0, SIZE[0], SIZE[0], 0, 0]).clip(inset, SIZE[0] - inset)
        north = np.interp(at, corner, [0, 0, SIZE[1], SIZE[1], 0]).clip(inset, SIZE[1] - inset)
        centre = SIZE / 2 + rng.normal(0, 0.12, (6, 2)) * SIZE
        return np.vstack([np.column_stack([east, north]), centre])
    counts = {"12 shots": (3, 4), "200 shots": (12, 17)}[design]
    cells = np.stack(np.meshgrid(*(np.arange(count) for count in counts)), -1).reshape(-1, 2)
    spots = (cells + rng.uniform(0.1, 0.9, cells.shape)) / counts * SIZE
    return spots[rng.permutation(len(spots))[:200]]


def lay_out_by_eye(rng: np.random.Generator, base: Base) -> FloatArray:
    """
    Lay out sixty shots as a crew does that looks for what is high and low, (n, 2), m.

    A third of them stand on the highest and a third on the lowest of four places looked at each.
    """
    looked = rng.uniform([0, 0], SIZE, (60, 4, 2))
    level = base(looked[..., 0].ravel(), looked[..., 1].ravel()).reshape(60, 4)
    pick = np.concatenate([level[:20].argmax(1), level[20:40].argmin(1), np.zeros(20, np.intp)])
    return looked[np.arange(60), pick]
