"""The job: one TOML file that says what was measured, what is drawn, and what is asked."""

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from gradevol.files.tickets.columns import TicketLayout
from gradevol.ground.errors import InputError
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

_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
#: A line that only a job has: ``key = value``, or ``[table]``.
_JOB_LINE = re.compile(
    rb"""^(?:\xef\xbb\xbf)?[ \t]*(?:[\w."'-]+[ \t]*=|\[\[?[\w. \t]+\]\]?[ \t]*\r?(?:\#|$))""",
    re.MULTILINE,
)

#: ``.5`` or ``5.``, which are no numbers in TOML.
_BARE_POINT = re.compile(r"(?<![\w.])[-+]?\.\d|(?<![\w.])\d+\.(?!\d)")


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
    values = _read_toml(path)
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


def _read_toml(path: Path) -> dict[str, Any]:
    try:
        data = path.read_bytes()
        is_wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))  # UTF-16: refused below
        if data.strip() and not is_wide and not _JOB_LINE.search(data):
            raise InputError(
                "this is no job file: no line of it is a key with its value or a [table]",
                remedy=f"If it is data, `gradevol describe {path.name}` tells what it holds, and "
                "a job names it; `gradevol new DIR` writes a job to begin with",
                path=path,
            )
        text = data.decode("utf-8-sig")
        return tomllib.loads(text)
    except OSError as error:
        raise InputError(
            f"this job file cannot be read ({error.strerror})", remedy="Check its name", path=path
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            f"byte {error.start + 1} is not UTF-8 text",
            remedy="Save the job file as UTF-8",
            path=path,
        ) from error
    except RecursionError as error:
        raise InputError(
            "its lists are nested too deep", remedy="Check its brackets", path=path
        ) from error
    except ValueError as error:  # tomllib's own, and a number of thousands of digits
        raise _explain(str(error), path, text) from error


def _explain(message: str, path: Path, text: str) -> InputError:
    """Error for text that is not TOML, with its line."""
    line = None
    if match := _PLACE.search(message):
        line = int(match["line"]) if match["line"] else max(1, len(text.splitlines()))
        message = message[: match.start()]
    remedy = 'Text and lengths with marks stand between quotes: "6 in"'
    if message.startswith("Cannot declare"):
        remedy = "Head each table once, and put all its keys below that"
    elif message.startswith("Cannot overwrite"):
        remedy = "Write each key once: this one stands there twice, or as a table too"
    lines = text.splitlines()
    bare = re.sub(r'".*?"|#.*', "", lines[line - 1]) if line and line <= len(lines) else ""
    if re.search("[“”‘’]", bare):
        remedy = 'Write straight quotation marks, such as "6 in", not curly ones'
    elif re.search(r"[^\S \t]|\u200b|\ufeff", bare):
        remedy = "Type its blanks anew: one is no plain blank, as where text is pasted from a page"
    elif re.search(r"\]\s*,\s*\[", bare) and not re.search(r"=\s*\[\s*\[", bare):
        remedy = "Put one more pair of brackets about the corners: [[0, 0], [24, 0], [24, 30]]"
    elif re.search(r"\]\s*\[", bare.partition("=")[2]):
        remedy = "Put a comma between one corner and the next: [[0, 0], [24, 0], [24, 30]]"
    if "\\" in message or (line and line <= len(lines) and "\\" in lines[line - 1]):
        remedy = 'Write / in paths, and \\" for an inch mark between quotes'
    if line and line <= len(lines) and _BARE_POINT.search(re.sub(r'".*?"', "", lines[line - 1])):
        remedy = "A number has a digit on each side of its point: 0.5 for .5, 5.0 for 5."
    return InputError(f"this is not TOML: {message}", remedy=remedy, path=path, line=line)
