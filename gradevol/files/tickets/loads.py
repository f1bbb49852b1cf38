"""A load of concrete, as its delivery ticket and the crew tell of it."""

from dataclasses import dataclass

from gradevol.files.tickets.cells import Amount


@dataclass(frozen=True, slots=True)
class Load:
    """
    One load, or several that were booked as one.

    Attributes
    ----------
    line : int
        Of the file, from 1.
    number, ticket : str
        The load's number and the plant's; empty where not given.
    volume : float
        As ticketed, m³.
    batched, arrived, started, finished : float or None
        Hours after the midnight before the first of the last day, rising over the next; less than
        0 on days before it.
    day : int
        The day by the dates of the tickets, from 0.
    fronts : tuple of (int, float)
        Where the concrete had reached when the load was out: a side of the slab, from 1, and the
        tape along it from its end nearer to where placing began, m.
    points : tuple of (float, float)
        The same as a line of points: easting, northing, in the job's coordinates, m.
    done : tuple of str
        Panels or pours that were finished.
    went_to : tuple of str
        Where it went; empty: the slab. ``slab`` stands among them where it shared the load.
    returned, water_added, batch_weight, unit_weight : Amount or None
        m³, m³, kg, kg/m³.
    called : Amount or None
        What was called at the plant by then, beside what was released at once, m³.
    """

    line: int
    number: str
    ticket: str
    volume: float
    batched: float | None = None
    arrived: float | None = None
    started: float | None = None
    finished: float | None = None
    day: int = 0
    fronts: tuple[tuple[int, float], ...] = ()
    points: tuple[tuple[float, float], ...] = ()
    done: tuple[str, ...] = ()
    went_to: tuple[str, ...] = ()
    returned: Amount | None = None
    water_added: Amount | None = None
    batch_weight: Amount | None = None
    unit_weight: Amount | None = None
    called: Amount | None = None

    @property
    def stayed(self) -> float:
        """What of it did not go back, m³."""
        return self.volume - (self.returned.value if self.returned else 0.0)

    @property
    def times(self) -> list[float]:
        """Those that are known, in the order in which they come."""
        held = (self.batched, self.arrived, self.started, self.finished)
        return [time for time in held if time is not None]

    @property
    def name(self) -> str:
        """What to call it: its number, else its ticket's, else its line."""
        if self.number:
            return f"load {self.number}"
        return f"ticket {self.ticket}" if self.ticket else f"the load in line {self.line}"


@dataclass(frozen=True, slots=True)
class Called:
    """
    What was called at the plant beside what was released at once, told in a row of its own.

    Attributes
    ----------
    volume : float
        m³.
    went_to : tuple of str
        As of a load: the part of the slab that it is for.
    """

    volume: float
    went_to: tuple[str, ...] = ()
