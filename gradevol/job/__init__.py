"""The job: one TOML file that says what was measured, what is drawn, and what is asked."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from gradevol.files.tickets.columns import TicketLayout
from gradevol.ground.units import Units
from gradevol.ground.words import legible
from gradevol.job.acceptance import read_tests
from gradevol.job.base import Base, read_base
from gradevol.job.keys import TABLES
from gradevol.job.keys.whole import JOB
from gradevol.job.order import read_terms
from gradevol.job.placing import Placing, read_layout, read_placing
from gradevol.job.pours import PartDesign, read_pours
from gradevol.job.sides import side_of, sides_of
from gradevol.job.slab import SlabDesign, read_slab_design
from gradevol.job.table import JobFile, Table
from gradevol.job.terms import SmallPour, Terms
from gradevol.job.toml import read_toml
from gradevol.job.top import (
    PanelDesign,
    TopDesign,
    TopFile,
    TopLines,
    TopPanel,
    TopPanels,
    TopShots,
    read_runoff,
    read_top_design,
)
from gradevol.measures.acceptance import PUBLISHED, Acceptance
from gradevol.measures.drainage import Runoff
from gradevol.site.metadata import Credits, Marks

__all__ = [
    "Base",
    "Job",
    "PanelDesign",
    "SlabDesign",
    "TopDesign",
    "TopFile",
    "TopLines",
    "TopPanel",
    "TopPanels",
    "TopShots",
    "read_job",
]


@dataclass(frozen=True, slots=True, repr=False, eq=False)  # arrays have no one answer to ==
class Job:
    """
    A job as its file describes it: in metres, paths resolved, no data file read.

    Attributes
    ----------
    path : Path
        The job file.
    title : str
        For the head of every sheet; the file's name where the job does not say.
    interval : float
        Level of the intervals reported.
    unit : str
        Unit of bare numbers, a key of `units.METRES`.
    units : Units
        Units of the answer.
    base : Base
    slab : SlabDesign
    top : TopDesign
    top_sigma : float or None
        One standard deviation of the finished top's mean level about the design, m; None where
        the job does not say.
    order : Terms or None
        What an order and work on the base are worked out from; None without an [order].
    runoff : Runoff
        What it says of water on the top.
    pours : tuple of PartDesign or SmallPour
        Parts of the slab that are poured on their own, and small pours elsewhere.
    credits : Credits
        Who measured the base, when, with what.
    tests : tuple of Acceptance
        What cores of the finished slab are held against.
    marks : {"hundredths", "inches"} or None
        How cut and fill are marked, unless in millimetres; None where the readings decide.
    placing : Placing
        What it says of the day of the pour.
    tickets : TicketLayout
        What it says of the headings of delivery tickets.
    defaults : mapping of str to object
        What held where it leaves a key out, by the key's name, as one would write it.
    """

    path: Path
    title: str
    interval: float
    unit: str
    units: Units
    base: Base
    slab: SlabDesign
    top: TopDesign
    top_sigma: float | None = None
    order: Terms | None = None
    pours: tuple[PartDesign | SmallPour, ...] = ()
    runoff: Runoff = field(default_factory=Runoff)
    credits: Credits = field(default_factory=Credits)
    tests: tuple[Acceptance, ...] = PUBLISHED
    marks: Marks | None = None
    placing: Placing = field(default_factory=Placing)
    tickets: TicketLayout = field(default_factory=TicketLayout)
    defaults: Mapping[str, object] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"<Job {self.path}: {self.title!r}, in {self.unit}>"

    @property
    def name(self) -> str:
        """Which job it is among others: its folder and file, and the part that is poured."""
        part = f": {self.placing.pour}" if self.placing.pour else ""
        return legible(f"{self.path.parent.name}/{self.path.name}{part}")

    @property
    def own_title(self) -> str:
        """Its title, and the part that is poured."""
        return ": ".join(filter(None, (self.title, self.placing.pour)))

    @property
    def parts(self) -> tuple[PartDesign, ...]:
        """Parts of the slab that are poured on their own."""
        return tuple(pour for pour in self.pours if isinstance(pour, PartDesign))

    @property
    def small_pours(self) -> tuple[SmallPour, ...]:
        """Small pours elsewhere, in order of priority."""
        return tuple(pour for pour in self.pours if isinstance(pour, SmallPour))


def read_job(path: str | os.PathLike[str]) -> Job:
    """
    Read a job file.

    Parameters
    ----------
    path : str or path-like
        A TOML file; the paths in it are relative to its folder.

    Returns
    -------
    Job

    Raises
    ------
    InputError
        If it is not TOML, a key is not known, or a value cannot be used.
    """
    path = Path(path).resolve()
    values = read_toml(path)
    unit = Table(JobFile(path, "m", TABLES), JOB, "", values).read("units")
    job = Table(JobFile(path, unit, TABLES), JOB, "", values)
    notation = job.read("base").read("notation")
    job = replace(job, file=replace(job.file, notation=notation))
    base, slab = read_base(job.read("base")), read_slab_design(job)
    top, top_sigma = read_top_design(job)
    order, survey = job.read("order"), job.read("survey")
    return job.fill(
        Job,
        path=path,
        unit=unit,
        units=Units.of_job(unit),
        base=base,
        slab=slab,
        top=top,
        top_sigma=top_sigma,
        order=order and read_terms(order),
        pours=read_pours(job),
        runoff=read_runoff(job, sides=sides_of(slab.n_sides, slab.side_names)),
        credits=survey.fill(Credits) if survey else Credits(),
        tests=read_tests(job, thickness=slab.thickness),
        marks=_read_marks(job),
        placing=read_placing(job),
        tickets=read_layout(job, side=side_of(slab.n_sides, slab.side_names)),
        defaults=job.file.defaults,
    )


def _read_marks(job: Table) -> Marks | None:
    """Read sheet.marks; a job in inches is marked in inches unless it says otherwise."""
    sheet: Table | None = job.read("sheet")
    marks: Marks | None = None if sheet is None else sheet.read("marks")
    if sheet is not None and marks is not None and job.file.is_metric:
        raise sheet.error(
            f"{sheet.called('marks')} is {marks!r}, but marks of a metric job are in millimetres",
            "Leave it out",
        )
    return marks or ("inches" if job.file.unit == "in" else None)
