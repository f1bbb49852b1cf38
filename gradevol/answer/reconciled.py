"""A job after its pour: all that was found, in metres."""

from collections.abc import Mapping
from dataclasses import dataclass

from gradevol.after.ground import Ground
from gradevol.after.learned import Learned
from gradevol.after.reconciliation import Reconciliation
from gradevol.answer.result import Result
from gradevol.files.tickets.table import Tickets
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.job.terms import Costs


@dataclass(frozen=True, slots=True)
class Reconciled:
    """
    A job after its pour.

    Attributes
    ----------
    result : Result
        The check of the base.
    ground : Ground
        What of it the account stands on: all of the slab, or the part that was poured.
    learned : Learned
        What the next job learns of it.
    costs : Costs or None
        At contract prices.
    past : tuple of mapping
        Rows of the file of learned factors by their headings, this job's among them; empty where
        none is named.
    """

    result: Result
    ground: Ground
    tickets: Tickets
    found: Reconciliation
    learned: Learned
    costs: Costs | None = None
    past: tuple[Mapping[str, str | float], ...] = ()

    @property
    def title(self) -> str:
        """The job's, with the part of the slab that was poured."""
        return self.learned.title

    @property
    def units(self) -> Units:
        """The units that it is told in."""
        return self.result.units

    @property
    def notes(self) -> tuple[Note, ...]:
        """Warnings of the tickets and of the finished top's shots."""
        built = self.found.as_built
        finished = built.finished if built is not None else None
        return (*self.tickets.notes, *(finished.notes if finished is not None else ()))

    def price(self, volume: float) -> float | None:
        """Contract price of a volume, m³; None where the job gives none."""
        return None if self.costs is None else self.costs.concrete * volume
