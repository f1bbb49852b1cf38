"""The need: concrete in place and what is lost beside it, line by line."""

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gradevol.ground.words import count_of
from gradevol.job.terms import Terms
from gradevol.measures.concrete import Concrete
from gradevol.plan.order.normal import Normal
from gradevol.uncertainty.mixture import Mixture

if TYPE_CHECKING:
    from gradevol.plan.order.expected import Expected

#: How little the allowances are relied on where the job does not say: one standard deviation, as
#: a share of them. A judgement, no source.
ALLOWANCE_DOUBT = 0.5


@dataclass(frozen=True, slots=True)
class Line:
    """
    One line of what is needed.

    Attributes
    ----------
    kind : str
        ``slab``, ``part``, ``waste``, ``settlement``, ``yield_short``, ``learned``, ``pump line``
        or ``pump hopper``.
    name : str
        What to call it.
    volume : float
        m³; negative where it displaces concrete.
    share : float or None
        The share of the volume in place that it is; None where it is none.
    """

    kind: str
    name: str
    volume: float
    share: float | None = None


@dataclass(frozen=True, slots=True)
class Need:
    """
    What is needed, m³.

    Attributes
    ----------
    lines : tuple of Line
        They add up to `mean`.
    in_place : float
        Concrete in place.
    survey_sd, allowance_sd : float or None
        One standard deviation of the volume in place and of the allowances; None where the first
        is not known.
    off : float
        How far the middle of the survey's distribution lies above the stated volume in place, m³.
    survey : Mixture or None
        That distribution itself, less the stated volume: few shots leave it a longer tail than a
        normal one has.
    jobs : int
        Earlier jobs that the allowances rest on.
    """

    lines: tuple[Line, ...]
    in_place: float
    mean: float
    survey_sd: float | None
    allowance_sd: float
    off: float = 0.0
    survey: Mixture | None = field(default=None, repr=False)
    jobs: int = 0

    @property
    def has_allowance(self) -> bool:
        """Whether anything is in it for waste, settlement or short yield."""
        return bool(self.jobs) or any(line.share for line in self.lines)

    @property
    def spread(self) -> Normal | None:
        """Distribution of the need; None where the survey's standard deviation is not known."""
        if self.survey_sd is None:
            return None
        return Normal(self.mean + self.off, math.hypot(self.survey_sd, self.allowance_sd))

    def find_range(self, level: float) -> tuple[float, float] | None:
        """
        Between what the need lies with a chance, m³: the stated one within, not under nought.

        None where the survey's standard deviation is not known.
        """
        if (spread := self.spread) is None:
            return None
        low, high = spread.quantile((1 - level) / 2), spread.quantile((1 + level) / 2)
        return min(max(low, 0.0), self.mean), max(high, self.mean)


def measure_need(
    concrete: Concrete,
    terms: Terms,
    *,
    survey_sd: float | None,
    off: float = 0.0,
    survey: Mixture | None = None,
    learned: "Expected | None" = None,
) -> Need:
    """
    Add up what is needed, line by line.

    Parameters
    ----------
    concrete : Concrete
        In place.
    terms : Terms
    survey_sd : float or None
        One standard deviation of the volume in place, m³; None where not known.
    off : float
        How far the middle of its distribution lies above it, m³.
    survey : Mixture, optional
        That distribution less the volume in place, m³.
    learned : Expected, optional
        The factor that earlier jobs lead one to expect: what it differs by from the allowances is a
        line of its own, and how sure it is goes before how sure they are.

    Returns
    -------
    Need
        Allowances are shares of the volume in place and add up; one that the job does not give is
        left out.
    """
    volume = concrete.volume
    lines = [Line("slab", "slab", concrete.slab)]
    lines += [Line("part", name, part) for name, part in concrete.parts if part != 0]
    shares = 0.0
    for kind, share in (
        ("waste", terms.waste),
        ("settlement", terms.settlement),
        ("yield_short", terms.yield_short),
    ):
        if share:
            lines.append(Line(kind, _ALLOWANCES[kind], share * volume, share))
            shares += share
    jobs = learned.jobs if learned is not None else 0
    if learned is not None and jobs:
        name = f"as {count_of(jobs, 'earlier job')} took"
        lines.append(Line("learned", name, (learned.mean - learned.stated) * volume))
    if terms.pump is not None:
        lines += [
            Line(kind, kind, held)
            for kind, held in (
                ("pump line", terms.pump.held_in_line),
                ("pump hopper", terms.pump.hopper),
            )
            if held > 0
        ]
    sigma = terms.sigma if terms.sigma is not None else ALLOWANCE_DOUBT * shares
    if learned is not None and jobs:
        sigma = learned.sigma
    return Need(
        lines=tuple(lines),
        in_place=volume,
        mean=sum(line.volume for line in lines),
        survey_sd=survey_sd,
        allowance_sd=sigma * max(volume, 0.0),
        off=off,
        survey=survey,
        jobs=jobs,
    )


_ALLOWANCES = {"waste": "waste", "settlement": "settlement", "yield_short": "short yield"}
