"""One job's account among several: what a line of the table is made of."""

from dataclasses import dataclass

from gradevol.after.trends import Part, list_parts
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.learned import list_cells
from gradevol.ground.units import Units


@dataclass(frozen=True, slots=True)
class JobAccount:
    """
    One job's account, or why there is none.

    Attributes
    ----------
    job : str
        What it is called in the table: its path, shortened.
    title : str
    units : Units or None
    loads : int
    neat, ticketed : float
        As drawn, and on the tickets, m³.
    parts : tuple of Part
        Where the difference went.
    is_whole : bool
        Whether its tickets can be all: else no trend rests on it, and nothing is learned of it.
    learned : tuple of str
        Its row of a file of learned factors.
    tickets : tuple of str
        The plant's numbers of its loads.
    problem : str
        Why it could not be reconciled; empty where it was.
    """

    job: str
    title: str = ""
    units: Units | None = None
    loads: int = 0
    neat: float = 0.0
    ticketed: float = 0.0
    parts: tuple[Part, ...] = ()
    is_whole: bool = False
    learned: tuple[str, ...] = ()
    tickets: tuple[str, ...] = ()
    problem: str = ""

    @property
    def over(self) -> float:
        """Ticketed beyond what was drawn, a share of that."""
        return self.ticketed / self.neat - 1


def take_account(job: str, done: Reconciled) -> JobAccount:
    """Take of a reconciliation what a table of several jobs needs."""
    account = done.found.account
    return JobAccount(
        job=job,
        title=done.title,
        units=done.units,
        loads=done.found.loads,
        neat=account.row("neat").volume,
        ticketed=account.row("ticketed").volume,
        parts=list_parts(account, done.found.causes),
        is_whole=not done.found.lacking,
        learned=list_cells(done.learned),
        tickets=tuple(load.ticket for load in done.tickets.loads),
    )
