"""What a job says of the day of the pour: where placing begins, how fast, which headings."""

from dataclasses import dataclass

from gradevol.files.tickets.columns import FrontColumn, TicketLayout
from gradevol.job.declarations import Kind
from gradevol.job.pours import PartDesign
from gradevol.job.table import Table


@dataclass(frozen=True, slots=True)
class Placing:
    """
    The day of the pour: the keys of [placing].

    Attributes
    ----------
    start : int or str or None
        The side where placing begins, from 1, or its name; None where the job does not say.
    rate : float or None
        m³ an hour.
    released : float or None
        What was released at once, m³.
    carries : bool
        Whether small pours are offered what is left over.
    pour : str
        The part that is poured; empty: all of the slab.
    front_sigma : float or None
        One standard deviation of where a front is, m.
    panels : tuple of PartDesign
        Panels by name, for a column `done`.
    """

    start: int | str | None = None
    rate: float | None = None
    released: float | None = None
    carries: bool = True
    pour: str = ""
    front_sigma: float | None = None
    panels: tuple[PartDesign, ...] = ()


def read_placing(job: Table) -> Placing:
    """
    Read [placing].

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table = job.read("placing")
    if table is None:
        return Placing()
    panels = tuple(panel.fill(PartDesign) for panel in table.read("panel") or ())
    return table.fill(Placing, panels=panels)


def read_layout(job: Table, *, side: Kind) -> TicketLayout:
    """
    Read [tickets].

    Parameters
    ----------
    job : Table
    side : Kind
        How a side of the slab is told (`side_of`).

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table = job.read("tickets")
    if table is None:
        return TicketLayout()
    headings = {name: table.read(name) for name in table.values if name != "front"}
    fronts = tuple(
        FrontColumn(front.read("heading"), front.read("side", side), front.read("from") == "far")
        for front in table.read("front") or ()
    )
    return TicketLayout(headings, fronts)
