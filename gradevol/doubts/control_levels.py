"""Levels of a cloud at a control shot: of the base about it, or of the top that it stands on."""

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Radii about a control shot, m: the first that holds enough points of the cloud is taken. A plane
#: through them stands for the cloud, so that the scatter of single points is averaged out. Where
#: squares are too wide for that, so many of their sides: a dozen squares.
RADII = (0.1, 0.2, 0.4)
SIDES = 2.0
FEWEST = 6
#: Most of the radius by which the middle of those points may lie off the shot: farther, the shot
#: stands at the cloud's rim or beyond it.
_OFF_CENTRE = 0.3
#: About a mark's top, which may be as narrow as a form, 38 mm: radii, m. The layer whose mean is
#: its level is as thick as this, m, or so many times the scatter. So many points make one, and no
#: more than this share may stand above it.
TOP_RADII = (0.05, 0.1)
_LAYER, _SIGMAS = 0.02, 8.0
FEWEST_ON_TOP, _STRAYS = 3, 0.05


def find_level(cloud: FloatArray, place: FloatArray, radii: tuple[float, ...]) -> float | None:
    """Elevation of the cloud at a place by a plane through the points about it; None off it."""
    off = cloud[:, :2] - place
    distance = np.hypot(*off.T)
    for radius in radii:
        near = np.flatnonzero(distance <= radius)
        if len(near) < FEWEST:
            continue
        middle = off[near].mean(axis=0)
        if np.hypot(*middle) > _OFF_CENTRE * radius:
            continue
        level = cloud[near, 2].mean()
        design = off[near] - middle
        slope, _, rank, _ = np.linalg.lstsq(design, cloud[near, 2] - level, rcond=None)
        return float(level - slope @ middle) if rank == 2 else None
    return None


def thicken_layer(scatter: float) -> float:
    """How thick the layer of a top is, m, by the scatter of its points."""
    return max(_LAYER, _SIGMAS * scatter)


def find_top(level: FloatArray, layer: float) -> float | None:
    """Mean of the highest layer that holds some points; None where a few stand above it."""
    level = np.sort(level)[::-1]
    last = FEWEST_ON_TOP - 1
    is_top = level[: len(level) - last] - level[last:] <= layer
    first = int(np.argmax(is_top)) if is_top.any() else len(level)
    if first >= len(level) or first > _STRAYS * len(level):
        return None
    return float(level[(level <= level[first]) & (level >= level[first] - layer)].mean())
