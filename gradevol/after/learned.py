"""What a job teaches the next one: its factors, each with one standard deviation."""

import math
from dataclasses import dataclass

from gradevol.after.account import Account
from gradevol.after.ground import Ground
from gradevol.after.reconciliation import Reconciliation


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """
    What a job teaches the next one.

    Attributes
    ----------
    job : str
        Which job it is: its folder and file.
    modelled : float
        Concrete in place as a check had it, m³.
    factor, sigma : float
        What was ticketed into the slab over that, and one standard deviation of it: by how far the
        survey, and what went elsewhere, are not sure. Small pours and what was returned are not in
        it; what was spilt or short is.
    yield_, yield_sigma : float or None
        Volume by weight over volume as ticketed.
    base_low, base_low_sigma : float
        How far the base lay below the drawing on the mean, m.
    top_high, top_high_sigma : float or None
        How far the finished top stood above it, m; None where it was not shot.
    unresolved, unresolved_sigma : float
        What no row of the account explains, a share of the concrete in place.
    """

    job: str
    title: str
    date: str
    loads: int
    modelled: float
    factor: float
    sigma: float
    yield_: float | None
    yield_sigma: float | None
    base_low: float
    base_low_sigma: float
    top_high: float | None
    top_high_sigma: float | None
    unresolved: float
    unresolved_sigma: float


def learn(found: Reconciliation, ground: Ground, *, job: str, title: str, date: str) -> Learned:
    """
    Draw a job's factors out of its account.

    Parameters
    ----------
    found : Reconciliation
    ground : Ground
    job, title, date : str
        Which job it is, and what it is called.
    """
    account, measured = found.account, found.measured
    modelled, area = ground.concrete.volume, ground.area
    base, top, rest = (account.row(key) for key in ("base", "top", "unresolved"))
    is_top_shot = top.basis == "measured"
    factor, sigma = measure_factor(account, modelled)
    return Learned(
        job=job,
        title=title,
        date=date,
        loads=found.loads,
        modelled=modelled,
        factor=factor,
        sigma=sigma,
        yield_=measured.ratio,
        yield_sigma=None if measured.ratio is None else measured.sigma,
        base_low=base.volume / area,
        base_low_sigma=base.sigma / area,
        top_high=top.volume / area if is_top_shot else None,
        top_high_sigma=top.sigma / area if is_top_shot else None,
        unresolved=rest.volume / modelled,
        unresolved_sigma=rest.sigma / modelled,
    )


def measure_factor(account: Account, modelled: float) -> tuple[float, float]:
    """
    Concrete ticketed into the slab per concrete modelled, and one standard deviation of it.

    Not what stays in a pump: the order of the next job has that as a line of its own.
    """
    elsewhere = [account.row(key) for key in ("returned", "small_pours")]
    into = account.row("ticketed").volume - sum(row.volume for row in elsewhere) - account.pump
    factor = into / modelled
    unsure = [row.sigma / modelled for row in elsewhere]
    return factor, math.hypot(*unsure, factor * account.row("base").sigma / modelled)
