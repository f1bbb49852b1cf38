"""Trends: what comes back on one job after the other, and how sure that is."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gradevol.after.account import Account, Basis
from gradevol.after.errors import FOOT, Cause

#: What the jobs of a firm are compared by, whoever was on the crew: each with the rows it is of.
CAUSES = {
    "base": ("base",),
    "top": ("top",),
    "edges": ("edges",),
    "spill": ("spill",),
    "elsewhere": ("small_pours", "returned"),
    "yield": ("yield",),
    "unresolved": ("unresolved",),
}
#: Standard deviations from which on a mean is told as different from nothing.
_REAL = 2.0


@dataclass(frozen=True, slots=True)
class Part:
    """
    What one cause took on one job, as shares of what was drawn.

    Attributes
    ----------
    cause : str
        Mostly a key of `CAUSES`.
    share : float
        Negative where it gave concrete.
    sigma : float
        One standard deviation.
    shared : float
        What of that is the same on each job that is shot alike: how a rod's foot stands on stone.
    """

    cause: str
    share: float
    sigma: float
    shared: float
    basis: Basis

    @property
    def tells(self) -> bool:
        """Whether it was found out on that job, rather than assumed alike on each."""
        return self.basis != "assumed" and self.sigma > 0


@dataclass(frozen=True, slots=True)
class Trend:
    """
    The mean of one cause over jobs.

    Attributes
    ----------
    jobs : int
        Of which it is known.
    mean, sigma : float
        Weighted by how sure each job's is, and one standard deviation; shares of what was drawn.
    scatter : float
        How many times as much the jobs differ as they should by how sure each is; 1 or more.
    """

    cause: str
    jobs: int
    mean: float
    sigma: float
    scatter: float

    @property
    def is_real(self) -> bool:
        """Whether it is different from nothing."""
        return abs(self.mean) >= _REAL * self.sigma


def list_parts(account: Account, causes: Sequence[Cause]) -> tuple[Part, ...]:
    """List what each cause took on a job."""
    neat = account.row("neat").volume
    foot = [cause for cause in causes if cause.kind == FOOT]
    shared = {
        "base": sum(abs(cause.base) for cause in foot),
        "unresolved": sum(abs(cause.base + cause.top) for cause in foot),
    }
    parts = []
    for name, keys in CAUSES.items():
        rows = [row for row in map(account.row, keys) if row.volume or row.basis != "assumed"]
        rows = rows or [account.row(keys[0])]
        sigma = math.hypot(*(row.sigma for row in rows))
        parts.append(
            Part(
                cause=name,
                share=sum(row.volume for row in rows) / neat,
                sigma=sigma / neat,
                shared=min(shared.get(name, 0.0), sigma) / neat,
                basis=next((row.basis for row in rows if row.basis != "assumed"), "assumed"),
            )
        )
    return tuple(parts)


def find_trend(parts: Iterable[Part]) -> Trend | None:
    """
    Find the mean of one cause over jobs.

    Parameters
    ----------
    parts : iterable of Part
        Of one cause, a job each.

    Returns
    -------
    Trend or None
        None where fewer than two jobs tell of it.

    Notes
    -----
    Weights are the inverse squares of the standard deviations. Where the jobs differ more than
    these allow, what is theirs alone is widened by as much: the ratio of R. T. Birge, "The
    Calculation of Errors by the Method of Least Squares", Physical Review 40 (1932), 207 (from
    memory). What all jobs share does not become less by there being more of them.
    """
    told = [part for part in parts if part.tells]
    if len(told) < 2:
        return None
    weights = [1 / part.sigma**2 for part in told]
    whole = sum(weights)
    pairs = list(zip(weights, told, strict=True))
    mean = sum(weight * part.share for weight, part in pairs) / whole
    own = [max(part.sigma**2 - part.shared**2, 1e-4 * part.sigma**2) for part in told]
    off = sum((part.share - mean) ** 2 / alone for part, alone in zip(told, own, strict=True))
    scatter = max(math.sqrt(off / (len(told) - 1)), 1.0)
    alone = sum(weight**2 * each for weight, each in zip(weights, own, strict=True)) / whole**2
    shared = sum(weight * part.shared for weight, part in pairs) / whole
    sigma = math.hypot(scatter * math.sqrt(alone), shared)
    return Trend(told[0].cause, len(told), mean, sigma, scatter)
