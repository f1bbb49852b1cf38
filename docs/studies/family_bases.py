"""Families of floors for ``families.py``: a base, the shots on it, the slab; all invented, in feet.

They were written from what may lie on a site, by who had not written the method, and none was
changed after the method had been tried on it. Sizes are common practice, no source.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import shapely
from hard_bases import Base, make_wave

from gradevol.ground.arrays import FloatArray

INCH = 1 / 12
#: Standard deviation of a base that is even but for one thing, and of one that is not, in.
EVEN, UNEVEN = (0.1, 0.3), (0.3, 0.8)
#: Spacings of grids, ft.
STEPS = (5.0, 6.0, 8.0, 10.0)
FAMILIES = (
    "smooth", "ruts along rows", "ruts at 17 degrees", "ruts at 45 degrees", "ruts in arcs",
    "soft corner", "hump between shots", "washboard", "step", "trench", "tilted, curled at forms",
    "patchy gravel", "string lines", "string lines, ruts along", "denser half", "L-shaped",
    "U-shaped", "thickened edges", "narrow walk", "6 to 12 shots", "6 to 12 in rows",
)  # fmt: skip


@dataclass
class Floor:
    """
    A slab, its base and its shots, ft.

    The base's departure from its design is positive where it is high; `tables` are the job's more.
    """

    family: str
    corners: FloatArray
    step: float
    rows: tuple[FloatArray, FloatArray]
    base: Base = field(repr=False)
    plan: FloatArray = field(repr=False)
    tables: str = ""

    @property
    def outline(self) -> shapely.Polygon:
        """The slab."""
        return shapely.Polygon(self.corners)


def invent_floor(rng: np.random.Generator, family: str) -> Floor:
    """Invent a floor of a family."""
    size = np.array([rng.uniform(36, 70), rng.uniform(24, 44)])
    if family == "narrow walk":
        size = np.array([rng.uniform(60, 120), rng.uniform(4, 6)])
    corners = size * np.array(_SHAPES.get(family, _SHAPES["rectangle"]), float)
    step = float(rng.choice(STEPS))
    first = rng.choice([0.5, 1.0, step / 2], 2)
    rows = (_space(size[0], first[0], step), _space(size[1], first[1], step))
    floor = Floor(family, corners, step, rows, lambda e, _: np.zeros_like(e), np.zeros((0, 2)))
    spread = rng.uniform(*(EVEN if family in _FEATURES else UNEVEN)) * INCH
    is_rough = family in _ROUGH
    ground = make_wave(
        rng, rng.uniform(*((3, 12) if is_rough else (6, 18))), 1.5 if is_rough else 2.5
    )
    feature = _FEATURES[family](rng, floor) if family in _FEATURES else None
    shift = rng.uniform(-0.4, 0.4) * INCH

    def base(east: FloatArray, north: FloatArray) -> FloatArray:
        level = shift + spread * ground(east, north)
        return level if feature is None else level + feature(east, north)

    floor.base = base
    floor.plan = _lay_out(rng, floor)
    if family == "thickened edges":
        floor.tables = (
            f'[[thickening]]\nsides = [1, 2, 3, 4]\nwidth = "1 ft"\ndepth = "{rng.choice([4, 6])} '
            f'in"\nside_slope = {rng.choice([0, 1])}\nsurveyed = "departure"\n'
        )
    return floor


_SHAPES: dict[str, list[list[float]]] = {
    "rectangle": [[0, 0], [1, 0], [1, 1], [0, 1]],
    "L-shaped": [[0, 0], [1, 0], [1, 0.5], [0.5, 0.5], [0.5, 1], [0, 1]],
    "U-shaped": [
        [0, 0], [1, 0], [1, 1], [0.65, 1], [0.65, 0.4], [0.3, 0.4], [0.3, 1], [0, 1]
    ],
}  # fmt: skip
_ROUGH = ("denser half", "L-shaped", "U-shaped", "narrow walk", "6 to 12 shots", "6 to 12 in rows")


def _space(side: float, first: float, step: float) -> FloatArray:
    """Rows along a side, the last no farther off the far form than most of a step."""
    at = np.arange(first, side - 0.3, step)
    if not len(at):
        return np.array([side / 2])
    return np.append(at, side - first) if side - at[-1] > max(0.75 * step, first + 1) else at


def _lay_out(rng: np.random.Generator, floor: Floor) -> FloatArray:
    """Shots as the family has them: on a grid, strayed by 0.1 ft, where it says nothing."""
    size = floor.corners.max(axis=0)
    if floor.family == "denser half":
        plan = np.vstack([rng.random((40, 2)) * [0.5, 1], [0.5, 0] + rng.random((8, 2)) * [0.5, 1]])
        return _keep(floor, plan * size)
    if floor.family == "6 to 12 shots":
        count = int(rng.integers(6, 13))
        across = 3 if count < 9 else 4
        counts = np.array([across, -(-count // across)])
        plan = (_pair(*(np.arange(n) + 0.5 for n in counts)) / counts)[:count]
        return _keep(floor, (plan + rng.uniform(-0.4, 0.4, plan.shape) / counts) * size)
    if floor.family == "6 to 12 in rows":
        counts = [(2, 3), (3, 3), (4, 3), (2, 4)][rng.integers(4)]
        return _keep(floor, _pair(*(np.linspace(0.04, 0.96, n) for n in counts)) * size)
    rows = floor.rows
    if floor.family.startswith("string lines"):
        inset, count = rng.uniform(0.5, 3, 2), int(rng.integers(3, 6))
        along = np.arange(rng.uniform(0.5, 2), size[0], rng.uniform(2, 4))
        rows = along, np.linspace(inset[0], size[1] - inset[1], count)
    if floor.family == "narrow walk":
        lines = [[size[1] / 2], [0.5, size[1] - 0.5], [0.5, size[1] / 2, size[1] - 0.5]]
        rows = np.arange(rng.uniform(0.5, 3), size[0], rng.uniform(4, 8)), lines[rng.integers(3)]
    plan = _pair(*rows)
    if floor.family == "thickened edges":  # none in the beams
        plan = plan[(plan > 2.5).all(axis=1) & (plan < size - 2.5).all(axis=1)]
    return _keep(floor, plan + rng.uniform(-0.1, 0.1, plan.shape))


def _pair(east: FloatArray | list[float], north: FloatArray | list[float]) -> FloatArray:
    return np.stack(np.meshgrid(east, north), -1).reshape(-1, 2)


def _keep(floor: Floor, plan: FloatArray) -> FloatArray:
    """Leave out what lies beside the slab; to the hundredth, as it is booked."""
    plan = np.round(plan, 2)
    return plan[shapely.contains_xy(floor.outline, *plan.T)]


def _across(rng: np.random.Generator, degrees: float | None = None) -> Callable[..., FloatArray]:
    """How far places lie across a direction: along rows, a degree or so off, where not given."""
    way = np.radians(rng.choice([0, 90]) + rng.normal(0, 0.7) if degrees is None else degrees)
    return lambda e, n: n * np.cos(way) - e * np.sin(way)


def _band(off: FloatArray, half: float) -> FloatArray:
    """One within half a width, nought without; the sides lean over 0.15 ft."""
    return np.clip((half - np.abs(off)) / 0.15 + 0.5, 0, 1)


def _pick_across(
    rng: np.random.Generator, floor: Floor, across: Callable[..., FloatArray]
) -> float:
    """Somewhere across a direction, not at the forms."""
    corners = across(*floor.corners.T)
    return float(corners.min() + rng.uniform(0.1, 0.9) * np.ptp(corners))


def _make_ruts(degrees: float | None) -> Callable[[np.random.Generator, Floor], Base]:
    def make(rng: np.random.Generator, floor: Floor) -> Base:
        across = _across(rng, degrees)
        middles = [_pick_across(rng, floor, across) for _ in range(rng.integers(1, 4))]
        gauge, half, deep = rng.uniform(5, 6.5), rng.uniform(0.4, 0.65), rng.uniform(0.6, 1.4)
        tracks = np.add.outer(middles, [-gauge / 2, gauge / 2]).ravel()
        return lambda e, n: (
            -deep * INCH * _band(np.abs(across(e, n)[..., None] - tracks).min(-1), half)
        )

    return make


def _make_arcs(rng: np.random.Generator, floor: Floor) -> Base:
    count, gauge = int(rng.integers(1, 4)), rng.uniform(5, 6.5)
    middles = rng.uniform(-0.2, 1.2, (count, 2)) * floor.corners.max(axis=0)
    radii = np.add.outer(rng.uniform(15, 40, count), [0, gauge])
    half, deep = rng.uniform(0.4, 0.65), rng.uniform(0.6, 1.4) * INCH

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        away = np.hypot(east[..., None] - middles[:, 0], north[..., None] - middles[:, 1])
        off = np.abs(away[..., None] - radii).min(axis=(-2, -1))
        return -deep * _band(off, half)

    return level


def _make_soft_corner(rng: np.random.Generator, floor: Floor) -> Base:
    corner = floor.corners[rng.integers(4)]
    reach, deep = rng.uniform(5, 14), rng.uniform(1, 2.5) * INCH
    return lambda e, n: -deep * np.exp(-((e - corner[0]) ** 2 + (n - corner[1]) ** 2) / reach**2)


def _make_hump(rng: np.random.Generator, floor: Floor) -> Base:
    """Midway between four shots, narrower than they are apart."""
    at = [rng.choice((each[1:] + each[:-1]) / 2) for each in floor.rows]
    width, high = rng.uniform(0.2, 0.35) * floor.step, rng.uniform(0.8, 1.6) * INCH
    return lambda e, n: high * np.exp(-((e - at[0]) ** 2 + (n - at[1]) ** 2) / (2 * width**2))


def _make_washboard(rng: np.random.Generator, floor: Floor) -> Base:
    across, bend = _across(rng), make_wave(rng, 25, 2.5)
    turn = 2 * np.pi / (rng.uniform(0.35, 0.95) * floor.step)
    phase, high = rng.uniform(0, 2 * np.pi), rng.uniform(0.2, 0.5) * INCH
    return lambda e, n: high * np.cos(turn * across(e, n) + phase + bend(e, n) / 2)


def _make_step(rng: np.random.Generator, floor: Floor) -> Base:
    across = _across(rng)
    at, high = _pick_across(rng, floor, across), rng.choice([-1, 1]) * rng.uniform(0.5, 1.3) * INCH
    return lambda e, n: high * np.clip((across(e, n) - at) / 0.3 + 0.5, 0, 1)


def _make_trench(rng: np.random.Generator, floor: Floor) -> Base:
    across = _across(rng)
    at, high = _pick_across(rng, floor, across), rng.choice([-1, 1]) * rng.uniform(0.6, 1.4) * INCH
    half = rng.uniform(0.4, 1)
    return lambda e, n: high * _band(across(e, n) - at, half)


def _make_curl(rng: np.random.Generator, floor: Floor) -> Base:
    size = floor.corners.max(axis=0)
    falls = rng.normal(0, 0.6, 2) * INCH * 2 / size
    curl, wide = rng.normal(0, 0.8) * INCH, rng.uniform(1, 3)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        away = np.minimum(np.minimum(east, size[0] - east), np.minimum(north, size[1] - north))
        tilt = falls[0] * (east - size[0] / 2) + falls[1] * (north - size[1] / 2)
        return tilt + curl * np.clip(1 - away / wide, 0, 1) ** 1.5

    return level


def _make_patches(rng: np.random.Generator, _: Floor) -> Base:
    patches, high = make_wave(rng, rng.uniform(1, 3), 2.5), rng.uniform(*UNEVEN) * INCH
    return lambda e, n: high * np.tanh(2 * patches(e, n))


#: What lies on the even base of a family.
_FEATURES: dict[str, Callable[[np.random.Generator, Floor], Base]] = {
    "ruts along rows": _make_ruts(None),
    "ruts at 17 degrees": _make_ruts(17),
    "ruts at 45 degrees": _make_ruts(45),
    "ruts in arcs": _make_arcs,
    "soft corner": _make_soft_corner,
    "hump between shots": _make_hump,
    "washboard": _make_washboard,
    "step": _make_step,
    "trench": _make_trench,
    "tilted, curled at forms": _make_curl,
    "patchy gravel": _make_patches,
    "string lines, ruts along": _make_ruts(0),
}
