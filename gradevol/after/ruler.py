"""The ruler: before a pour, what it takes up to each step of the front; with a pencil, the rest.

A front and a sum of tickets alone already make a forecast: what is ticketed beyond what the ruler
says, times the weight that stands beside it, is what the whole takes beyond what was expected.
"""

import math
from dataclasses import dataclass

import numpy as np

from gradevol.after.fronts import Edge, find_front, sides_beside
from gradevol.after.joint import Joint, Noise, Prior
from gradevol.after.model import PourModel
from gradevol.after.steps import Step, measure_grip
from gradevol.files.tickets.loads import Load

#: A front is a line across where its two sides are told; more rows than this find no room.
_MOST = 40


@dataclass(frozen=True, slots=True)
class Mark:
    """
    A step of the front.

    Attributes
    ----------
    tapes : (float, float)
        Along both sides from where placing begins, m.
    to_go : (float, float)
        From there to their far ends, m.
    behind, share, grip : float
        Modelled behind it, m³; of the area; what a metre of front is worth there, m³/m.
    needed, sigma : float
        To be ticketed up to it, and one standard deviation of that, m³.
    weight : float
        Of what is ticketed beyond that, how much the whole takes beyond what was expected.
    whole_sigma : float
        One standard deviation of the whole once that is known, m³.
    """

    tapes: tuple[float, float]
    to_go: tuple[float, float]
    behind: float
    share: float
    grip: float
    needed: float
    sigma: float
    weight: float
    whole_sigma: float


@dataclass(frozen=True, slots=True)
class Ruler:
    """
    What a pour takes up to each step of its front.

    Attributes
    ----------
    start : int
        The side where placing begins, from 1.
    sides : (int, int)
        Along which the tapes lie: the one before it and the one after it.
    marks : tuple of Mark
        In order; the last is the whole, or as far as those two sides reach.
    whole, whole_sigma : float
        Of the whole, as expected before the pour, m³.
    is_whole : bool
        Whether the last mark is the whole.
    """

    start: int
    sides: tuple[int, int]
    marks: tuple[Mark, ...]
    whole: float
    whole_sigma: float
    is_whole: bool


def measure_ruler(
    model: PourModel, edge: Edge, prior: Prior, noise: Noise, *, step: float
) -> Ruler:
    """
    Measure the ruler of a pour.

    Parameters
    ----------
    model : PourModel
    edge : Edge
    prior : Prior
    noise : Noise
    step : float
        From mark to mark, m; doubled until they find room.
    """
    sides = sides_beside(edge.start + 1, len(edge.lengths))
    lengths = [float(edge.lengths[side - 1]) for side in sides]
    while max(lengths) / step > _MOST:
        step *= 2
    stops = [*np.arange(step, max(lengths) - step / 10, step).tolist(), max(lengths)]
    marks = []
    for stop in stops:
        tapes = [min(stop, length) for length in lengths]
        front = find_front(edge, list(zip(sides, tapes, strict=True)))
        behind, share = model.measure(front.zone)
        grip = measure_grip(front, model) if share < 1 else 0.0
        marks.append((tapes, behind, share, grip))
    steps = [
        Step(Load(1, "", "", 0.0), 0.0, behind, share, grip) for _, behind, share, grip in marks
    ]
    seen = Joint(steps, prior, noise)
    true = Joint(steps, prior, Noise(0.0, 0.0, 0.0, noise.ticket, noise.load))
    variance = np.diag(seen.cov)
    weights = seen.with_total / variance
    left = seen.total_variance - seen.with_total * weights
    return Ruler(
        start=edge.start + 1,
        sides=sides,
        marks=tuple(
            Mark(
                tapes=(tapes[0], tapes[1]),
                to_go=(lengths[0] - tapes[0], lengths[1] - tapes[1]),
                behind=behind,
                share=share,
                grip=grip,
                needed=float(seen.mean[at]),
                sigma=math.sqrt(float(true.cov[at, at])),
                weight=float(weights[at]),
                whole_sigma=math.sqrt(max(float(left[at]), 0.0)),
            )
            for at, (tapes, behind, share, grip) in enumerate(marks)
        ),
        whole=prior.factor * prior.volume + prior.off + prior.pump,
        whole_sigma=math.sqrt(seen.total_variance),
        is_whole=marks[-1][2] >= 1 - 1e-9,
    )
