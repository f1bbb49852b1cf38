"""Likely kernels: searched coarsely among all shapes, then finely about the likeliest."""

from dataclasses import dataclass, field

import numpy as np

from gradevol.geometry.neighbours import measure_apart
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.uncertainty.evidence import Shots, weigh
from gradevol.uncertainty.kernel import Kernel, list_even, list_lanes, list_streaked
from gradevol.uncertainty.kriging import Spectrum

#: Least and greatest range tried: shares of the shots' spacing and of half the extent.
_SHORTEST, _LONGEST = 0.5, 4.0
#: Ranges tried of each shape without a direction; of those with one, the three about the likeliest.
_RANGES = 6
#: Shares of noise in what the process varies over half the extent.
NOISES = np.geomspace(1e-4, 1e2, 13)
_SCALES = 5
#: Ranges about those likelier than this are halved, so often, so many of them at most.
_HALVED, _TIMES, _MOST_HALVED = 0.05, 2, 8
#: Shapes are searched with no more shots than this.
_SEARCHED = 150
#: Kernels less likely than this are left out, and all but so many.
_LEAST, _MOST = 0.01, 10
#: Noises whose chance is this many times less than the likeliest's are left out; its logarithm.
_UNLIKELY = 9.0
#: Places whose distances differ by no more than this are equally far, m.
_AS_FAR = 1e-6


@dataclass(frozen=True, slots=True)
class Likely:
    """
    A kernel that the shots leave likely.

    Attributes
    ----------
    spectrum : Spectrum
        Of the correlation between shots.
    noises : (float, float)
        Between what the shares of noise lie that are likely.
    log_share : float
        Chance beforehand of what it stands for among shapes and ranges; its logarithm.
    """

    kernel: Kernel
    spectrum: Spectrum
    noises: tuple[float, float]
    log_share: float


@dataclass(slots=True)
class _Tried:
    """A kernel with the evidence for it."""

    kernel: Kernel
    spectrum: Spectrum
    by_noise: FloatArray  # log chance
    width: float = 0.0  # of what it stands for in the logarithm of the range

    @property
    def log_chance(self) -> float:
        top = float(self.by_noise.max())
        return top + float(np.log(np.exp(self.by_noise - top).sum()))


@dataclass(slots=True)
class _Shape:
    """
    Kernels of one shape, by range; chance beforehand for a unit of the range's logarithm.

    Whole where all ranges that it may have were tried at first.
    """

    density: float
    step: float
    is_whole: bool = True
    tried: list[_Tried] = field(default_factory=list)

    def share_out(self) -> None:
        """Give each kernel its part of the ranges, half a step beyond the outermost included."""
        self.tried.sort(key=lambda each: each.kernel.reach)
        at = np.log([each.kernel.reach for each in self.tried])
        ends = np.concatenate(
            [[at[0] - self.step / 2], (at[1:] + at[:-1]) / 2, [at[-1] + self.step / 2]]
        )
        for each, width in zip(self.tried, np.diff(ends).tolist(), strict=True):
            each.width = width


def find_likely(shots: Shots, *, spacing: float, half: float, bearing: float) -> list[Likely]:
    """
    Find the kernels that shots leave likely.

    Parameters
    ----------
    shots : Shots
    spacing : float
        Mean spacing of the shots, m.
    half : float
        Half the extent, m.
    bearing : float
        One of the directions that are tried, radians from east.

    Returns
    -------
    list of Likely
        The likeliest ones of two roughnesses without a direction, of as many in four directions,
        and of lanes in two.
    """
    few = shots if len(shots.places) <= _SEARCHED else _take(shots, spread_out(shots))
    reaches = np.geomspace(_SHORTEST * spacing, _LONGEST * half, _RANGES)
    step = float(np.log(reaches[1] / reaches[0]))
    span = step * _RANGES
    shapes: list[_Shape] = []
    for kernels, chance in list_even(reaches):
        shapes.append(_Shape(chance / span, step))
        shapes[-1].tried = [_try(few, kernel, half) for kernel in kernels]
    smooth, rough = (np.array([each.log_chance for each in shape.tried]) for shape in shapes)
    middle = int(np.argmax(np.logaddexp(smooth, rough)))
    about = reaches[max(middle - 1, 0) : middle + 2]
    for kernels, chance in list_streaked(about, bearing):
        shapes.append(_Shape(chance / span, step, is_whole=False))
        shapes[-1].tried = [_try(few, kernel, half) for kernel in kernels]
    for kernels, chance in list_lanes(bearing):
        own = float(np.log(kernels[1].reach / kernels[0].reach))
        shapes.append(_Shape(chance / (own * len(kernels)), own))
        shapes[-1].tried = [_try(few, kernel, half) for kernel in kernels]
    if few is not shots:
        shapes = _keep(shapes, least=_LEAST, most=_MOST)
        for shape in shapes:
            shape.tried = [_try(shots, each.kernel, half) for each in shape.tried]
    for _ in range(_TIMES):
        _halve(shapes, shots, half)
    shapes = _keep(shapes, least=_LEAST, most=_MOST)
    return [
        Likely(
            each.kernel,
            each.spectrum,
            _bracket(each.by_noise),
            float(np.log(shape.density * each.width)),
        )
        for shape in shapes
        for each in shape.tried
    ]


def _try(shots: Shots, kernel: Kernel, half: float) -> _Tried:
    spectrum = Spectrum.of(kernel.between(shots.places, shots.places))
    made = weigh(shots, spectrum, varied=kernel.vary(half), noises=NOISES, steps=_SCALES)
    top = made.log_chance.max()
    return _Tried(
        kernel, spectrum, top + np.log(np.exp(made.log_chance - top).sum(axis=(0, 2)) + 1e-300)
    )


def _share(shapes: list[_Shape]) -> list[FloatArray]:
    """Chance of each kernel of each shape among all."""
    for shape in shapes:
        shape.share_out()
    logs = [
        np.array([each.log_chance + np.log(shape.density * each.width) for each in shape.tried])
        for shape in shapes
    ]
    top = max(float(each.max()) for each in logs)
    total = sum(float(np.exp(each - top).sum()) for each in logs)
    return [np.exp(each - top) / total for each in logs]


def _halve(shapes: list[_Shape], shots: Shots, half: float) -> None:
    """Try ranges midway between a likely one and its neighbours: the likeliest first."""
    wanted: dict[tuple[int, float], tuple[float, Kernel]] = {}
    for number, (shape, shares) in enumerate(zip(shapes, _share(shapes), strict=True)):
        for at, share in enumerate(shares.tolist()):
            if share < _HALVED:
                continue
            own = shape.tried[at].kernel
            for other in (at - 1, at + 1):
                if 0 <= other < len(shape.tried):
                    reach = float(np.sqrt(own.reach * shape.tried[other].kernel.reach))
                elif shape.is_whole:
                    continue
                else:
                    reach = own.reach * float(np.exp((other - at) * shape.step / 2))
                kernel = Kernel(reach, own.ratio, own.bearing, own.is_rough)
                key = (number, round(reach, 9))
                wanted[key] = (max(share, wanted.get(key, (0.0,))[0]), kernel)
    likeliest = sorted(wanted, key=lambda key: (-round(wanted[key][0], 6), key))[:_MOST_HALVED]
    for key in likeliest:
        shapes[key[0]].tried.append(_try(shots, wanted[key][1], half))


def _keep(shapes: list[_Shape], *, least: float, most: int) -> list[_Shape]:
    """Leave out kernels that are not likely; the parts that the others stand for stay."""
    shares = _share(shapes)
    every = np.sort(np.concatenate(shares))[::-1]
    limit = max(least, float(every[min(most, len(every)) - 1]))
    for shape, share in zip(shapes, shares, strict=True):
        shape.tried = [
            each for each, own in zip(shape.tried, share.tolist(), strict=True) if own >= limit
        ]
    return [shape for shape in shapes if shape.tried]


def _bracket(by_noise: FloatArray) -> tuple[float, float]:
    """Between what noises lie whose chance is not negligible: one step beyond them."""
    likely = np.flatnonzero(by_noise > by_noise.max() - _UNLIKELY)
    low, high = max(likely[0] - 1, 0), min(likely[-1] + 1, len(NOISES) - 1)
    return float(NOISES[low]), float(NOISES[high])


def spread_out(shots: Shots) -> IntArray:
    """
    Pick places far from one another, one by one: (`_SEARCHED`,).

    On a lattice many are equally far: the first is told by what was read about them, so that
    neither the order of the shots nor the axes of their coordinates nor rounding picks one.
    """
    middle = np.hypot(*(shots.places - shots.places.mean(axis=0)).T)
    apart = measure_apart(shots.places, shots.places)
    order = np.argsort(apart @ shots.readings, kind="stable")
    middle, apart = middle[order], apart[np.ix_(order, order)]
    picked = [int(np.argmax(middle <= middle.min() + _AS_FAR))]
    away = apart[picked[0]]
    while len(picked) < _SEARCHED:
        picked.append(int(np.argmax(away >= away.max() - _AS_FAR)))
        away = np.minimum(away, apart[picked[-1]])
    return order[picked]


def _take(shots: Shots, rows: IntArray) -> Shots:
    return Shots(shots.places[rows], shots.readings[rows], shots.functions[rows], shots.floor)
