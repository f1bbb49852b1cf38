"""Where control stands on a cloud: a tilt or a bow shows only where it is looked for."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note

#: Control that spreads less than this share of the cloud's own spread, some way, does not see it
#: tilt that way. No shot within so many standard deviations of the cloud's middle, none sees it
#: sag. Ours, no source.
_WIDE, _MIDDLE = 0.3, 1.2


@dataclass(frozen=True, slots=True)
class Spread:
    """
    How control is spread over a cloud.

    Attributes
    ----------
    share : float
        Its spread over the cloud's, the way in which it is least.
    is_amid : bool
        Whether a shot stands in the middle of the cloud.
    """

    share: float
    is_amid: bool

    @property
    def unseen(self) -> float:
        """Share of what a cloud's height is usually unsure by that this control leaves open."""
        return max(0.0, 1 - self.share / _WIDE)


def measure_spread(control: FloatArray, cloud: FloatArray) -> Spread:
    """
    Measure how control shots are spread over a cloud.

    Parameters
    ----------
    control : (n, 2) array of float
        Those that stand on the cloud, m.
    cloud : (p, 2) array of float
        m.
    """
    off = cloud - cloud.mean(axis=0)
    values, axes = np.linalg.eigh(off.T @ off / len(off))
    if values[0] <= 0:
        return Spread(1.0, is_amid=True)
    placed = (control - cloud.mean(axis=0)) @ axes / np.sqrt(values)
    within = placed - placed.mean(axis=0)
    least = np.linalg.eigvalsh(within.T @ within / len(within))[0]
    is_amid = bool(np.hypot(*placed.T).min() <= _MIDDLE)
    return Spread(float(np.sqrt(max(least, 0.0))), is_amid)


def note_spread(spread: Spread, datum: float) -> Iterator[Note]:
    """
    Note control that leaves a tilt or a bow unseen.

    Parameters
    ----------
    spread : Spread
    datum : float
        What the height of the whole cloud is taken as sure to, m.

    Yields
    ------
    Note
        Code ``control-one-sided``.
    """
    if spread.unseen > 0:
        text = (
            "The control shots stand close together or nearly on a line: they do not show whether "
            "the scan is tilted or bowed elsewhere, so its height is taken as sure to no better "
            "than {}. Shoot control at the other end and the other side of the slab as well."
        )
        yield Note("control-one-sided", text, (Measure(datum, Kind.SOME_LEVEL),))
    elif not spread.is_amid:
        text = (
            "No control shot stands in the middle of the scan: one that sags or bows between its "
            "ends, as a drone's may by an inch, shows only there, and is in no margin. Shoot one."
        )
        yield Note("control-one-sided", text)
