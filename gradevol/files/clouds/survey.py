"""Point clouds: read in chunks, what is not base taken away, thinned to bins."""

from dataclasses import replace
from functools import partial
from itertools import islice
from pathlib import Path

import numpy as np

from gradevol.files.clouds.chunks import Bounds, CloudFile
from gradevol.files.clouds.files import (
    choose_near,
    explain_far,
    find_extent,
    find_steps,
    open_cloud_files,
)
from gradevol.files.clouds.ground import WIDEST
from gradevol.files.clouds.las_points import LasCloud
from gradevol.files.clouds.marks import Keeper
from gradevol.files.clouds.overlap import watch_overlap
from gradevol.files.clouds.sinks import BaseFinder, BaseGatherer, Removal
from gradevol.files.clouds.stream import CloudStream, Reading, Tally
from gradevol.files.clouds.taken import refuse_taken
from gradevol.files.clouds.thinning import INCH_STEP, LEAST, STEP, finish_thinning, start_thinning
from gradevol.files.clouds.thinning_notes import note_choice, note_thinning
from gradevol.files.sources import MARGIN, SPACINGS, Cloud
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.cluster import Cluster
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.progress import Progress, quiet
from gradevol.ground.words import count_of, first_of, verb_of
from gradevol.site.survey import Survey

#: Ground, low and high noise: LAS Specification 1.4 R15, table "ASPRS standard point classes".
GROUND = 2
NOISE = (7, 18)


def read_near(
    cloud: Cloud,
    edge: FloatArray,
    *,
    marks: FloatArray | None = None,
    progress: Progress = quiet,
    cluster: Cluster | None = None,
) -> Survey:
    """
    Read the points of a cloud's files over a slab and a margin about it.

    The spacing is that of the points found there: what a header says of extents and count, one
    stray point makes useless. Where they lie far apart, they are read again with a wider margin.

    Parameters
    ----------
    cloud : Cloud
    edge : (m, 2) array of float
        Corners of the slab, m.
    marks, progress, cluster
        As for `read_cloud`.
    """
    (west, south), (east, north) = edge.min(axis=0).tolist(), edge.max(axis=0).tolist()
    slab = west, south, east, north
    read = partial(read_cloud, cloud, edge=edge, marks=marks, progress=progress, cluster=cluster)
    bounds = _widen(slab, MARGIN)
    survey = read(bounds=bounds)
    held = survey.grain.held if survey.grain is not None else 1.0
    area = (bounds[2] - bounds[0]) * (bounds[3] - bounds[1])
    spacing = float(np.sqrt(area / (len(survey.points) * held)))
    if spacing * SPACINGS > MARGIN:
        survey = read(bounds=_widen(slab, SPACINGS * spacing))
    refuse_taken(survey, edge, WIDEST)
    return survey


def _widen(bounds: Bounds, margin: float) -> Bounds:
    west, south, east, north = bounds
    return west - margin, south - margin, east + margin, north + margin


def read_cloud(
    cloud: Cloud,
    *,
    bounds: Bounds | None = None,
    edge: FloatArray | None = None,
    marks: FloatArray | None = None,
    progress: Progress = quiet,
    cluster: Cluster | None = None,
) -> Survey:
    """
    Read the points of a cloud's files.

    Withheld points are left out, and noise (classes 7 and 18) unless `cloud.classes` names it.

    Parameters
    ----------
    cloud : Cloud
        The files, and how to read them. Where it states no cell, `thin_points` chooses it.
    bounds : (float, float, float, float), optional
        West, south, east, north, m: points outside are left out. Files that declare to lie
        outside are not read, of a cloud-optimised file only the nodes that meet it.
    edge : (m, 2) array of float, optional
        Corners of the slab, m: points on it are not averaged with those beside it.
    marks : (m, 2) array of float, optional
        Places about which all kept points stay with the survey, as they were read, m.
    progress : callable, optional
        Called with a label and the share of points read, 0 to 1.
    cluster : Cluster, optional
        Whose workers read; what they find is the same, bit for bit.

    Returns
    -------
    Survey
        One point a bin, at the mean place and mean elevation of its points; or every point. It
        depends on the order of neither points nor files, but for rounding. `read` is how many
        points were read, `removed` where points were taken away that are not base.

    Raises
    ------
    InputError
        If a file is damaged, cut short or in a unit that the job contradicts, or no point is left.
    """
    opened, empty = open_cloud_files(cloud)
    files = choose_near(opened, bounds, cloud.unit)
    stream = CloudStream(files, cloud, progress, cluster)
    is_kept = _kept_classes(cloud.classes)
    finder, is_classified = None, False
    if cloud.ground is True or (cloud.ground == "auto" and not cloud.classes):
        finder = BaseFinder()
        stops_at = GROUND if cloud.ground == "auto" else None
        stream.read(Reading(is_kept, bounds, finder, stops_at), (0.0, 0.5))
        is_classified = stops_at is not None and bool(stream.tally.classes[GROUND])
    if is_classified:
        is_kept, finder = np.arange(256) == GROUND, None
    ground = finder.find() if finder else None
    step = STEP if cloud.unit in {"m", "mm"} else INCH_STEP
    gatherer = BaseGatherer(
        start_thinning(
            cloud.cell, find_steps(files), step=step, expected=find_extent(files, bounds)
        ),
        None if ground is None else Removal(ground),
        None if marks is None else Keeper(marks),
        watch_overlap(files, bounds),
    )
    if finder and finder.held is not None:
        stream.read_again(finder.held, gatherer, span=(0.5, 1.0))
    else:
        stream.read(Reading(is_kept, bounds, gatherer), (0.5 if finder else 0.0, 1.0))
    tally, removal, keeper = stream.tally, gatherer.removal, gatherer.keeper
    if tally.kept == 0:
        raise _explain_none(tally, is_kept, files, bounds, cloud.unit)
    thinned = finish_thinning(gatherer.gathering, cloud.cell, step=step, edge=edge)
    points = thinned.points
    grain = replace(thinned.grain, has_others=bool(_list_others(tally, is_kept)))
    base = tally.kept - (removal.count if removal else 0)
    notes = [
        note_thinning(base, len(points), grain),
        *([note_choice(grain, LEAST * step)] if cloud.cell is None else []),
        *_note_left_out(tally, is_kept, is_classified=is_classified),
        *_note_parts(opened, files, tally, empty),
        *dict.fromkeys(note for file in files for note in file.notes),
        *_note_boxes(files, tally),
        *(gatherer.overlap.tell([file.path.name for file in files]) if gatherer.overlap else []),
    ]
    removed = None
    if removal is not None and removal.count:
        removed = removal.places()
        notes.append(_note_removed(removal, tally.kept))
    survey = Survey.about_local_origin(
        points,
        method="point cloud",
        notes=tuple(notes),
        read=tally.read,
        grain=grain,
        errors=thinned.errors,
    )
    return replace(
        survey,
        removed=None if removed is None else removed - survey.origin[:2],
        about_marks=keeper.kept - survey.origin if keeper else None,
    )


def _kept_classes(classes: tuple[int, ...]) -> BoolArray:
    """Whether each class from 0 to 255 is kept."""
    number = np.arange(256)
    return np.isin(number, classes) if classes else ~np.isin(number, NOISE)


def _explain_none(
    tally: Tally, is_kept: BoolArray, files: list[CloudFile], bounds: Bounds | None, unit: str
) -> InputError:
    if tally.outside and bounds is not None:
        low, high = np.array(list(tally.ends.values()))[:, :, :2].swapaxes(0, 1)
        (west, south), (east, north) = low.min(axis=0).tolist(), high.max(axis=0).tolist()
        return explain_far(files, (west, south, east, north), bounds, unit)
    left_out = _say_left_out(tally, is_kept)
    return InputError(
        f"none of {tally.read:,} points is kept: {left_out or 'there are none over the slab'}",
        remedy="Name the classes of the base in base.classes",
        path=files[0].path if len(files) == 1 else None,
    )


def _note_left_out(tally: Tally, is_kept: BoolArray, *, is_classified: bool) -> list[Note]:
    if tally.kept == tally.read:
        return []
    text = (
        f"{tally.read - tally.kept:,} of {tally.read:,} points of the cloud were left out: "
        f"{_say_left_out(tally, is_kept)}."
    )
    if is_classified and np.delete(tally.classes, [GROUND, *NOISE]).any():
        text += " The cloud is classified, so its ground (class 2) was taken as the base."
    return [Note("cloud-left-out", text)]


def _list_others(tally: Tally, is_kept: BoolArray) -> list[int]:
    """Classes of points that were left out, but for noise."""
    left = np.flatnonzero((tally.classes > 0) & ~is_kept).tolist()
    return [number for number in left if number not in NOISE]


def _say_left_out(tally: Tally, is_kept: BoolArray) -> str:
    said = [f"{tally.withheld:,} withheld"] if tally.withheld else []
    noise = sum(int(tally.classes[number]) for number in NOISE if not is_kept[number])
    if noise:
        said.append(f"{noise:,} noise (classes 7 and 18)")
    if others := _list_others(tally, is_kept):
        names = ", ".join(map(str, others))
        said.append(f"{int(tally.classes[others].sum()):,} of other classes ({names})")
    if tally.outside:
        said.append(f"{tally.outside:,} off the slab and the margin around it")
    return ", ".join(said)


def _note_parts(
    opened: list[CloudFile], files: list[CloudFile], tally: Tally, empty: list[Path]
) -> list[Note]:
    """Say which files, and what of a cloud-optimised one, were not read."""
    notes = []
    if empty:
        text = (
            f"{count_of(len(empty), 'file')} of the cloud {verb_of(len(empty), 'hold')} no points: "
            f"{escape(first_of([path.name for path in empty], 5))}. Export again what should have "
            "some."
        )
        notes.append(Note("cloud-files-empty", text))
    near = set(map(id, files))
    skipped = [file.path.name for file in opened if id(file) not in near]
    if skipped:
        names = ", ".join(islice(skipped, 5)) + (" and others" if len(skipped) > 5 else "")
        text = (
            f"{len(skipped)} of {len(opened)} files are off the slab by their own extents, and "
            f"were not read: {escape(names)}."
        )
        notes.append(Note("cloud-files-off", text))
    whole = sum(file.whole for file in files if file.whole is not None)
    read = sum(tally.by_file.get(at, 0) for at, file in enumerate(files) if file.whole is not None)
    if read < whole:
        text = (
            f"Of {whole:,} points of a cloud-optimised file only the {read:,} in nodes that meet "
            "the slab and its margin were unpacked."
        )
        notes.append(Note("cloud-part", text))
    return notes


def _note_boxes(files: list[CloudFile], tally: Tally) -> list[Note]:
    """Note points beyond the box of their file."""
    ends = [(file, tally.ends[at]) for at, file in enumerate(files) if at in tally.ends]
    return [note for file, own in ends if isinstance(file, LasCloud) for note in file.note_box(own)]


def _note_removed(removal: Removal, kept: int) -> Note:
    rise, drop, were = (verb_of(removal.count, verb) for verb in ("rise", "drop", "were"))
    return Note(
        "cloud-not-base",
        f"{removal.count:,} of {kept:,} points ({100 * removal.count / kept:.2f} %) {rise} or "
        f"{drop} abruptly off the base, as people, forms, stakes, reinforcing and low strays do, "
        f"and {were} taken away; points within {{}} of the lowest in squares of {{}} were kept. "
        "Look at their marks on plan.png. Reinforcing and forms lower than that pass for base.",
        (
            Measure(removal.ground.band, Kind.THICKNESS),
            Measure(removal.ground.cell, Kind.THICKNESS),
        ),
    )
