"""Slab and top of a job: their files read, and all put about the survey's origin."""

from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import numpy as np

from gradevol.files import Files, read_edge, read_faces, read_ring, read_shots
from gradevol.files.globe import FARTHEST
from gradevol.files.names import is_of_forms
from gradevol.files.sources import Cloud, CodedOutline, OutlineFile, Shots, SurfaceFile
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError, InputError
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.job import Job, TopDesign, TopFile, TopLines, TopPanels, TopShots
from gradevol.job.shot_names import names_of, setups_of
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import merge_shots
from gradevol.site.survey import DATUM_SIGMA, FOOT_SIGMA, SHOT_SIGMA, Survey
from gradevol.site.top import Between, Design, Faces, Measured, Panel, Panels, move_design
from gradevol.site.voids import place_void

#: What a survey is taken to be, where the job does not state it.
_ASSUMED = ("sigma", "datum_sigma", "foot_sigma", "foot_high")


def place_survey(survey: Survey, job: Job) -> Survey:
    """
    Give a survey the accuracy that the job states, or its method's default and its reader's.

    Raises
    ------
    InputError
        If the survey or the job holds a number that no place on Earth has.
    """
    base = job.base
    for part, what in ((job.slab, "slab"), (job.top, "top")):
        refuse_absurd(part, what, job.path)
    refuse_absurd((survey.points, survey.origin), "the survey", job.path)
    shot = SHOT_SIGMA.get(survey.method)
    datum = float(np.hypot(DATUM_SIGMA.get(survey.method, 0.0), survey.datum_sigma))
    # who states what a setup shares has said all: the rod's foot is a part of it
    foot = FOOT_SIGMA.get(survey.method, 0.0) if base.datum_sigma is None else 0.0
    return replace(
        _lower(survey, base.foot_high),
        sigma=base.sigma if base.sigma is not None else shot or 0.0,
        datum_sigma=base.datum_sigma if base.datum_sigma is not None else datum,
        foot_sigma=base.foot_sigma if base.foot_sigma is not None else foot,
        stated=frozenset(name for name in _ASSUMED if getattr(base, name) is not None),
    )


def _lower(survey: Survey, foot_high: float | None) -> Survey:
    """Put the base where it is, under a rod's foot that stood on the tops of the stone."""
    if not foot_high:
        return survey
    return replace(survey, points=survey.points - [0, 0, foot_high], foot_high=foot_high)


def refuse_absurd(part: object, what: str, path: Path) -> None:
    """Refuse a part of a job, and all it holds, with numbers too large to be a place or a size."""
    if isinstance(part, tuple):
        for item in part:
            refuse_absurd(item, what, path)
    elif is_dataclass(part) and not isinstance(part, type):
        for held in fields(part):
            refuse_absurd(getattr(part, held.name), f"{what}.{held.name}", path)
    elif isinstance(part, float | np.ndarray):
        largest = float(np.abs(part).max(initial=0.0))
        if largest > FARTHEST:
            raise InputError(
                f"{what} holds a number of {{}}, and none on Earth is as large",
                remedy="Look for a slip of the decimal point, the exponent or the unit",
                path=path,
            ).measuring(Measure(largest, Kind.EXACT_LENGTH))


def _read_ring(ring: FloatArray | OutlineFile | CodedOutline, files: Files) -> FloatArray:
    """Corners of a ring, m; refuses what no place on Earth has."""
    corners = read_ring(ring, files)
    _refuse_absurd_outline(corners, ring)
    return corners


def _refuse_absurd_outline(part: object, source: FloatArray | OutlineFile | CodedOutline) -> None:
    if isinstance(source, OutlineFile):
        refuse_absurd(part, "the outline", source.path)


def find_edge(job: Job, files: Files) -> FloatArray | None:
    """
    Corners of the slab, about which a cloud or a surface must show the base.

    Returns
    -------
    (m, 2) array of float or None
        m. None where the base is shots: all of them are read.
    """
    if not isinstance(job.base.source, Cloud | SurfaceFile):
        return None
    ring, _, _ = read_edge(job.slab.edge, files)  # its holes are openings
    _refuse_absurd_outline(ring.places, job.slab.edge)
    return ring.places


def find_marks(job: Job, files: Files) -> FloatArray | None:
    """Places of control shots on tops, (m, 2), m; None where the job has none."""
    control = job.base.control
    if control is None or control.on == "base":
        return None
    shots = read_shots(control.shots, files)
    return shots.points[:, :2] + shots.origin[:2]


def read_control(job: Job, files: Files, origin: FloatArray) -> Survey | None:
    """
    Read the control shots of a cloud, about an origin; None where the job has none.

    Raises
    ------
    InputError
        If the control can't be read.
    """
    control = job.base.control
    if control is None:
        return None
    shots = read_shots(control.shots, files)
    refuse_absurd(shots.points, "base.control", job.path)
    return shots.about(origin)


def read_rechecks(job: Job, files: Files) -> Survey | None:
    """
    Read a job's rechecks; None where the job has none.

    Raises
    ------
    InputError
        If they can't be read.
    """
    rechecks = job.base.rechecks
    if rechecks is None:
        return None
    shots = read_shots(rechecks.shots, files)
    refuse_absurd(shots.points, "base.rechecks", job.path)
    return _lower(shots, job.base.foot_high)


def place_slab(job: Job, files: Files, origin: FloatArray) -> Slab:
    """
    Read a slab's outlines and put it about an origin.

    Parameters
    ----------
    job : Job
    files : Files
        What the run has opened.
    origin : (3,) array of float
        The survey's, m.

    Raises
    ------
    InputError
        An outline's file can't be used.
    GeometryError
        Its rings don't make a slab.
    """
    design, plan = job.slab, origin[:2]
    ring, holes, notes = read_edge(design.edge, files)
    ring = replace(ring, starts=ring.starts or design.side_starts)
    _refuse_absurd_outline((ring.places, holes), design.edge)
    if design.side_names and len(design.side_names) != ring.n_sides:
        raise GeometryError(
            f"slab.sides names {len(design.side_names)} sides, but the edge has {ring.n_sides}: "
            "name each side once, from corner 1 on; an arc is one side."
        )
    openings = (*(_read_ring(given, files) for given in design.openings), *holes)
    slab = Slab(
        edge=ring.places - plan,
        side_starts=ring.starts,
        notes=notes,
        openings=tuple(opening - plan for opening in openings),
        thickness=design.thickness,
        least_thickness=design.least_thickness,
        base_high=design.base_high,
        base_low=design.base_low,
        thickenings=tuple(_place_thickening(part, plan) for part in design.thickenings),
        side_names=design.side_names,
        opening_names=design.opening_names,
    )
    return replace(slab, voids=tuple(place_void(part, slab, origin) for part in design.voids))


def _place_thickening(part: Thickening, plan: FloatArray) -> Thickening:
    return replace(
        part,
        along=None if part.along is None else part.along - plan,
        outline=None if part.outline is None else part.outline - plan,
    )


def place_parts(job: Job, files: Files, origin: FloatArray) -> list[tuple[str, FloatArray]]:
    """
    Read the edges of the parts that are poured on their own, and put them about an origin.

    Raises
    ------
    InputError
        An outline's file can't be used.
    """
    return [(part.name, _read_ring(part.edge, files) - origin[:2]) for part in job.parts]


def place_top(design: TopDesign, files: Files, origin: FloatArray) -> Design:
    """
    Read a top's files and put it about an origin.

    Parameters
    ----------
    design : TopDesign
        As the job describes it.
    files : Files
        What the run has opened.
    origin : (3,) array of float
        The survey's, m.

    Raises
    ------
    InputError
        A file can't be used.
    """
    match design:
        case TopShots(shots):
            survey = read_shots(shots, files)
            refuse_absurd((survey.points, survey.origin), "the top", shots.paths[0])
            survey = survey.about(origin)
            points, place, notes = merge_shots(survey)
            return Measured(
                points,
                (*survey.notes, *notes),
                setups_of(survey, place, len(points)),
                names_of(survey, place, len(points)),
                survey.misclosures,
            )
        case TopLines(first, second):
            lines = [_place_line(line, files, origin) for line in (first, second)]
            return Between(
                lines[0][0],
                lines[1][0],
                names=(lines[0][1], lines[1][1]),
                forms=(_is_form(first), _is_form(second)),
                notes=(*lines[0][2], *lines[1][2]),
            )
        case TopFile(file):
            points, faces = read_faces(file, files)
            refuse_absurd(points, "the top", file.path)
            return Faces(points - origin, faces)
        case TopPanels(panels):
            return Panels(
                tuple(
                    Panel(
                        _read_ring(panel.edge, files) - origin[:2],
                        place_top(panel.design, files, origin),
                    )
                    for panel in panels
                )
            )
    return move_design(design, origin)


def _is_form(line: FloatArray | Shots) -> bool:
    """Whether a line was shot on a form, by its codes."""
    if not isinstance(line, Shots) or not line.codes:
        return False
    return all(map(is_of_forms, line.codes))


def _place_line(
    line: FloatArray | Shots, files: Files, origin: FloatArray
) -> tuple[FloatArray, tuple[str, ...], tuple[Note, ...]]:
    """Points of a line about an origin, m, in the order of the file; their ids; notes."""
    if not isinstance(line, Shots):
        return line - origin, (), ()
    survey = read_shots(line, files)
    refuse_absurd((survey.points, survey.origin), "the top", line.paths[0])
    survey = survey.about(origin)
    step = np.hypot(*np.diff(survey.points[:, :2], axis=0).T)
    if (step <= ONE_PLACE).any():
        at = int(np.argmax(step <= ONE_PLACE))
        raise InputError(
            f"shots {survey.name(at)} and {survey.name(at + 1)} of {line.key} are at one place, "
            "and a line passes once through each of its points",
            remedy="Leave one of them out, or give it another description",
            path=line.paths[0],
        )
    return survey.points, tuple(map(survey.name, range(len(survey.points)))), survey.notes
