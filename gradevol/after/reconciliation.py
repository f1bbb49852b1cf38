"""The reconciliation: the account, what makes its rest unsure, the slab as built."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.after.account import Account, draw_up_account
from gradevol.after.as_built import AsBuilt, look_at
from gradevol.after.cores import Correction, Predicted, predict_cores
from gradevol.after.errors import Cause, covariance_of, list_causes
from gradevol.after.finished import Finished
from gradevol.after.ground import Ground
from gradevol.after.poured import Poured, find_poured
from gradevol.after.yields import Yield, measure_yield
from gradevol.files.cores import Core
from gradevol.files.tickets.table import Tickets
from gradevol.ground.arrays import FloatArray
from gradevol.job.terms import SmallPour, Terms
from gradevol.measures.acceptance import Acceptance

#: The tickets can't be all where they are short by more standard deviations, and loads, than these:
#: a judgement, no source.
_SURE, _LOADS = 3.0, 0.5


@dataclass(frozen=True, slots=True)
class Settling:
    """
    What makes the unresolved row unsure, and what would be left without it.

    Attributes
    ----------
    kind : str
        Of `Cause`, or the key of a row.
    sigma : float
        One standard deviation that it adds to what is unresolved, m³.
    left : float
        What that would be without it, m³.
    """

    kind: str
    sigma: float
    left: float


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """
    What was found after the pour, m.

    Attributes
    ----------
    settling : tuple of Settling
        The largest first.
    as_built : AsBuilt or None
        None where neither the top was shot nor cores are given.
    """

    account: Account
    measured: Yield
    poured: Poured
    loads: int
    causes: tuple[Cause, ...]
    settling: tuple[Settling, ...]
    as_built: AsBuilt | None = None

    @property
    def lacking(self) -> float:
        """By how much the tickets are too short to fill the slab, m³; 0 where they may be all."""
        rest, ticketed = (self.account.row(key) for key in ("unresolved", "ticketed"))
        least = max(_SURE * rest.sigma, _LOADS * ticketed.volume / self.loads)
        return -rest.volume if -rest.volume > least else 0.0


def reconcile(
    tickets: Tickets,
    ground: Ground,
    *,
    finished: Finished | None = None,
    cores: Sequence[Core] = (),
    terms: Terms | None = None,
    small: Sequence[SmallPour] = (),
    parts: Sequence[str] = (),
    tests: Sequence[Acceptance] = (),
    path: Path | None = None,
) -> Reconciliation:
    """
    Reconcile what was ticketed with what was drawn and measured.

    Parameters
    ----------
    tickets : Tickets
    ground : Ground
    finished : Finished, optional
        The finished top, where it was shot.
    cores : sequence of Core
        About the job's origin, on the slab.
    terms : Terms, optional
        The job's order.
    small : sequence of SmallPour
    parts : sequence of str
        Names of parts of the slab.
    tests : sequence of Acceptance
    path : Path, optional
        Of the tickets, for errors.

    Raises
    ------
    InputError
        If a load went where the job has no pour.
    """
    causes = list_causes(ground, finished)
    correction = Correction(np.zeros(2), covariance_of(causes), 0)
    predicted: tuple[Predicted, ...] = ()
    if cores:
        predicted, correction = predict_cores(cores, causes, ground, finished)
    poured = find_poured(tickets.loads, small, parts=parts, path=path)
    measured = measure_yield(tickets.loads)
    account = draw_up_account(
        tickets.loads,
        poured=poured,
        measured=measured,
        concrete=ground.concrete,
        slab=ground.slab,
        flush_sides=ground.flush_sides,
        zone=ground.zone,
        terms=terms,
        over=finished.volume if finished else 0.0,
        moved=correction.moved,
        covariance=correction.covariance,
        is_top_shot=finished is not None,
    )
    return Reconciliation(
        account=account,
        measured=measured,
        poured=poured,
        loads=len(tickets.loads),
        causes=causes,
        settling=_list_settling(account, causes, correction.covariance),
        as_built=look_at(ground, finished, predicted, tests, causes=causes, correction=correction),
    )


def _list_settling(
    account: Account, causes: tuple[Cause, ...], covariance: FloatArray
) -> tuple[Settling, ...]:
    """List what makes the unresolved row unsure: independent parts, whose squares add up."""
    both: dict[str, float] = {}
    for cause in causes:
        both[cause.kind] = both.get(cause.kind, 0.0) + (cause.base + cause.top) ** 2
    # cores have told something of base and top together: each part of that is as much less
    before = sum(both.values())
    left = float(covariance.sum()) / before if before > 0 else 0.0
    parts = {kind: square * left for kind, square in both.items()}
    for key in ("yield", "returned", "small_pours", "edges", "spill"):
        parts[key] = account.row(key).sigma ** 2
    whole = sum(parts.values())
    found = [
        Settling(kind, float(np.sqrt(square)), float(np.sqrt(max(whole - square, 0.0))))
        for kind, square in parts.items()
        if square > 0
    ]
    return tuple(sorted(found, key=lambda each: (-round(each.sigma, 9), each.kind)))
