"""Bases that are invented, or cut from the shapes of real land, and shots laid out on them."""

from collections.abc import Callable
from functools import cache

import numpy as np
from matplotlib.cbook import get_sample_data
from scipy.ndimage import map_coordinates

from gradevol.ground.arrays import FloatArray

#: A departure of the base from its design as a function of easting and northing, m.
Base = Callable[[FloatArray, FloatArray], FloatArray]

INCH = 0.0254
KINDS = ("smooth", "rough", "jagged", "ridges", "ruts", "corners", "planes", "terraces")
#: Elevation models that matplotlib ships as sample data: a fault in hills, about 80 m a cell, and a
#: coast with its sea floor, about 2.5 km a cell. What is taken of them is their shape alone.
LAND = {"hills": ("jacksboro_fault_dem.npz", "elevation"), "coast": ("topobathy.npz", "topo")}
LAYOUTS = ("regular", "random", "clustered")


def wave(rng: np.random.Generator, reach: float, smoothness: float) -> Base:
    """Make a random field of unit variance and Matérn covariance: a sum of 160 cosines."""
    heavy = rng.chisquare(2 * smoothness, 160) / (2 * smoothness)
    turns = rng.standard_normal((160, 2)) / np.sqrt(heavy)[:, None] / reach
    phase = rng.uniform(0, 2 * np.pi, 160)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        at = np.multiply.outer(east, turns[:, 0]) + np.multiply.outer(north, turns[:, 1])
        return np.sqrt(2 / 160) * np.cos(at + phase).sum(axis=-1)

    return level


def invent_base(rng: np.random.Generator, kind: str, size: FloatArray) -> Base:
    """Invent a base on a slab of `size` (2,), m, of no particular height."""
    if kind in LAND:
        return cut_from_land(rng, kind, size)
    if kind in ("smooth", "rough", "jagged"):
        smoothness = {"smooth": 2.5, "rough": 1.5, "jagged": 0.5}[kind]
        return wave(rng, float(np.exp(rng.uniform(np.log(1.5), np.log(12)))), smoothness)
    under = wave(rng, rng.uniform(3, 6), rng.choice([1.5, 2.5]))
    angle, across = rng.uniform(0, np.pi), rng.uniform(0.2, 0.8, 2) * size

    def turned(east: FloatArray, north: FloatArray) -> tuple[FloatArray, FloatArray]:
        right, up = east - across[0], north - across[1]
        cos, sin = np.cos(angle), np.sin(angle)
        return right * cos + up * sin, up * cos - right * sin

    match kind:
        case "ridges":
            ridges = [
                (rng.uniform([0, 0], size), rng.uniform(0, np.pi), rng.uniform(0.6, 2),
                 rng.uniform(2, 8), rng.uniform(0.5, 1.5))
                for _ in range(rng.integers(1, 4))
            ]  # fmt: skip

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                total = 0.35 * under(east, north)
                for middle, way, width, length, height in ridges:
                    right, up = east - middle[0], north - middle[1]
                    along = right * np.cos(way) + up * np.sin(way)
                    off = up * np.cos(way) - right * np.sin(way)
                    total += height * np.exp(-((along / length) ** 2 + (off / width) ** 2) / 2)
                return total

        case "ruts":
            gauge, width = rng.uniform(1.6, 2), rng.uniform(0.25, 0.5)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                off = turned(east, north)[1]
                pair = sum(np.exp(-(((off + s * gauge / 2) / width) ** 2)) for s in (-1, 1))
                return 0.6 * under(east, north) - 1.5 * pair

        case "corners":
            corner, reach = rng.integers(0, 2, 2) * size, rng.uniform(2, 6)
            deep = rng.uniform(1.5, 4)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                away = (east - corner[0]) ** 2 + (north - corner[1]) ** 2
                return 0.5 * under(east, north) - deep * np.exp(-away / (2 * reach**2))

        case "planes":
            fall = rng.standard_normal(2) / size

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                return fall[0] * east + fall[1] * north + 0.05 * under(east, north)

        case "terraces":
            steps = np.sort(rng.uniform(-0.5, 0.5, rng.integers(2, 5))) * size.max()
            heights = rng.standard_normal(len(steps))

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                along = turned(east, north)[0]
                total = 0.2 * under(east, north)
                for step, height in zip(steps, heights, strict=True):
                    total += height / (1 + np.exp(np.clip(-(along - step) / 0.15, -50, 50)))
                return total

        case _:
            raise ValueError(kind)
    return level


def cut_from_land(rng: np.random.Generator, kind: str, size: FloatArray) -> Base:
    """Cut a patch from an elevation model, turned any way, 25 to 60 cells to the longer side."""
    land = read_land(kind)
    cells = rng.uniform(25, 60) / size.max()
    angle = rng.uniform(0, 2 * np.pi)
    reach = cells * np.hypot(*size) / 2 + 1
    middle = rng.uniform(reach, np.array(land.shape) - 1 - reach)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        right, up = cells * (east - size[0] / 2), cells * (north - size[1] / 2)
        row = middle[0] + right * np.sin(angle) + up * np.cos(angle)
        column = middle[1] + right * np.cos(angle) - up * np.sin(angle)
        found: FloatArray = map_coordinates(land, [row, column], order=1, mode="nearest")
        return found

    return level


@cache
def read_land(kind: str) -> FloatArray:
    """Read an elevation model, (rows, columns), m."""
    name, key = LAND[kind]
    with np.load(get_sample_data(name, asfileobj=False)) as data:
        return np.asarray(data[key], float)


def lay_out(rng: np.random.Generator, layout: str, count: int, size: FloatArray) -> FloatArray:
    """Lay shots out over a slab, (n, 2), m; about `count`."""
    if layout == "regular":
        columns = max(3, round(np.sqrt(count * size[0] / size[1])))
        rows = max(3, round(count / columns))
        east, north = (
            np.linspace(0.03, 0.97, k) * s for k, s in zip((columns, rows), size, strict=True)
        )
        lattice = np.stack(np.meshgrid(east, north), -1).reshape(-1, 2)
        return lattice + rng.uniform(-0.05, 0.05, lattice.shape)
    if layout == "random":
        return rng.uniform([0, 0], size, (count, 2))
    middles = rng.uniform([0, 0], size, (max(3, count // 12), 2))
    spread = rng.normal(0, 0.12 * size.min(), (4 * count, 2))
    around = middles[rng.integers(0, len(middles), 4 * count)] + spread
    around = around[((around > 0) & (around < size)).all(axis=1)]
    return np.vstack([rng.uniform([0, 0], size, (count // 3, 2)), around])[:count]
