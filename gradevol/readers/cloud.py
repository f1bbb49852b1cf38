"""Point clouds: LAS and LAZ, in chunks, thinned to bins."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from gradevol._types import AnyArray, BoolArray, FloatArray
from gradevol.errors import InputError
from gradevol.notes import Kind, Measure, Note
from gradevol.readers.bins import thin_points
from gradevol.readers.las_header import LasHeader, read_las_header
from gradevol.readers.las_packing import telling_damage
from gradevol.readers.sources import Cloud
from gradevol.survey import Survey
from gradevol.units import METRES

#: Low and high noise: LAS Specification 1.4 R15, table "ASPRS standard point classes".
NOISE = (7, 18)

#: Points read at once, and bytes that they may take.
_CHUNK, _CHUNK_BYTES = 1_000_000, 128 * 1024 * 1024

#: A coordinate past this is none, m: 2.5 times round the Earth.
_FARTHEST = 1e8


@dataclass(frozen=True, slots=True)
class _Chunk:
    """Points kept of some read, m; how many were withheld, and how many of each class were not."""

    points: FloatArray
    withheld: int
    classes: AnyArray


def read_cloud(cloud: Cloud, *, progress: Callable[[str, float], None] | None = None) -> Survey:
    """
    Read the points of LAS and LAZ files.

    Withheld points are left out, and noise (classes 7 and 18) unless `cloud.classes` names it.

    Parameters
    ----------
    cloud : Cloud
        The files, and how to read them. Where it states no cell, `bins.thin_points` chooses it.
    progress : callable, optional
        Called with a label and the share of points read, 0 to 1.

    Returns
    -------
    Survey
        One point a bin, at the mean place and mean elevation of its points; or every point. It
        depends on the order of neither points nor files, but for rounding.

    Raises
    ------
    InputError
        If a file is damaged, cut short or in a unit that the job contradicts, or no point is left.
    """
    headers = [read_las_header(path) for path in cloud.paths]
    for header in headers:
        _check_unit(header, cloud.unit)
    total = sum(header.count for header in headers)
    withheld, classes = 0, np.zeros(256, np.intp)

    def read_all() -> Iterator[FloatArray]:
        nonlocal withheld, classes
        for header in headers:
            for chunk in _read_chunks(header, cloud):
                withheld += chunk.withheld
                classes = classes + chunk.classes
                done = withheld + int(classes.sum())
                if progress is not None:
                    progress(f"reading {header.path.name}", done / total)
                yield chunk.points

    points, cell = thin_points(read_all(), cloud.cell)
    is_kept = _kept_classes(cloud.classes)
    kept = int(classes[is_kept].sum())
    if kept == 0:
        raise InputError(
            f"none of {total:,} points is kept: {_say_left_out(withheld, classes, is_kept)}",
            remedy="Name the classes of the base in base.classes",
            path=cloud.paths[0] if len(cloud.paths) == 1 else None,
        )
    notes = [_note_thinning(kept, len(points), cell)]
    if kept < total:
        left_out = _say_left_out(withheld, classes, is_kept)
        text = f"{total - kept:,} of {total:,} points of the cloud were left out: {left_out}."
        notes.append(Note("cloud-left-out", text))
    notes += _note_units(headers, cloud.unit)
    return Survey.about_local_origin(points, method="point cloud", notes=tuple(notes))


def _check_unit(header: LasHeader, unit: str) -> None:
    declared = header.units.plan
    if declared is not None and declared != unit:
        raise InputError(
            f"the file says that its coordinates are in {declared}, the job that they are in "
            f"{unit}",
            remedy=f'If the file is right, write units = "{declared}" under [base]',
            path=header.path,
        )


def _kept_classes(classes: tuple[int, ...]) -> BoolArray:
    """Whether each class from 0 to 255 is kept."""
    number = np.arange(256)
    return np.isin(number, classes) if classes else ~np.isin(number, NOISE)


def _read_chunks(header: LasHeader, cloud: Cloud) -> Iterator[_Chunk]:
    """Kept points of one file, in metres; as many are read as it declares, or it is refused."""
    import laspy  # noqa: PLC0415

    wanted = laspy.DecompressionSelection
    plan = METRES[header.units.plan or cloud.unit]
    elevation = METRES[header.units.elevation or header.units.plan or cloud.unit]
    metres = np.array([plan, plan, elevation])
    is_kept = _kept_classes(cloud.classes)
    scale, offset = np.array(header.scale), np.array(header.offset)
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    count = 0
    with (
        telling_damage(header.path),
        laspy.open(
            header.path,
            laz_backend=laspy.LazBackend.LazrsParallel,
            decompression_selection=wanted.base() | wanted.Z | wanted.CLASSIFICATION | wanted.FLAGS,
            read_evlrs=False,
        ) as reader,
    ):
        at_once = max(1, min(_CHUNK, _CHUNK_BYTES // header.point_size))
        for read in reader.chunk_iterator(at_once):
            count += len(read)
            is_withheld = np.asarray(read.withheld, bool)
            classes = np.asarray(read.classification)
            mask = is_kept[classes] & ~is_withheld
            stored = [read.array[axis][mask] for axis in "XYZ"]
            if mask.any():
                ends = np.array([(axis.min(), axis.max()) for axis in stored], float).T
                ends = np.sort(ends * scale + offset, axis=0)
                _check_place(header, ends * metres)
                low, high = np.minimum(low, ends[0]), np.maximum(high, ends[1])
            points = np.empty((len(stored[0]), 3))
            for axis, values in enumerate(stored):
                points[:, axis] = (values * scale[axis] + offset[axis]) * metres[axis]
            yield _Chunk(
                points,
                int(is_withheld.sum()),
                np.bincount(classes[~is_withheld], minlength=256),
            )
    if count != header.count:
        raise InputError(
            f"the header declares {header.count:,} points, but {count:,} could be read",
            remedy="The file was cut short: copy or export it again",
            path=header.path,
        )
    _check_degrees(header, low[:2], high[:2])


def _check_place(header: LasHeader, ends: FloatArray) -> None:
    """Refuse points whose lowest and highest coordinates, (2, 3), m, are none."""
    if not (np.abs(ends) < _FARTHEST).all():
        spans = ", ".join(f"{low:g} to {high:g}" for low, high in ends.T)
        raise InputError(
            f"its points reach off the Earth: {spans} m",
            remedy="The scale or offset in its header is wrong: export it again",
            path=header.path,
        )


def _check_degrees(header: LasHeader, low: FloatArray, high: FloatArray) -> None:
    """Refuse a file that declares no system but is stored as degrees are: finely, and tiny."""
    extent = high - low
    is_like_degrees = (
        header.units.plan is None
        and max(header.scale[:2]) <= 1e-5  # 1 m on the ground
        and (np.abs([low, high]) <= [180, 90]).all()
        and (extent < 0.1).all()  # 10 km on the ground
        and (extent > 0).all()
    )
    if is_like_degrees:
        raise InputError(
            f"its coordinates look like degrees: {low[0]:.6f} to {high[0]:.6f} and {low[1]:.6f} "
            f"to {high[1]:.6f}",
            remedy="Export it in the projected or local coordinates of the job",
            path=header.path,
        )


def _note_thinning(kept: int, left: int, cell: float) -> Note:
    if cell == 0:
        return Note("cloud-bins", f"Each of the {kept:,} points of the cloud stands for itself.")
    return Note(
        "cloud-bins",
        f"The {kept:,} points of the cloud were gathered in {left:,} squares of {{}}; each stands "
        "for its points by their mean place and mean elevation.",
        (Measure(cell, Kind.THICKNESS),),
    )


def _say_left_out(withheld: int, classes: AnyArray, is_kept: BoolArray) -> str:
    said = [f"{withheld:,} withheld"] if withheld else []
    noise = sum(int(classes[number]) for number in NOISE if not is_kept[number])
    if noise:
        said.append(f"{noise:,} noise (classes 7 and 18)")
    others = [
        number for number in np.flatnonzero(classes) if not is_kept[number] and number not in NOISE
    ]
    if others:
        names = ", ".join(map(str, others))
        said.append(f"{int(classes[others].sum()):,} of other classes ({names})")
    return ", ".join(said)


def _note_units(headers: list[LasHeader], unit: str) -> list[Note]:
    """Say it where a file declares another unit for elevations than for the plan."""
    mixed = {(header.units.plan or unit, header.units.elevation) for header in headers}
    return [
        Note("cloud-units", f"The cloud says that it is in {plan} in plan and {z} in elevation.")
        for plan, z in sorted(mixed, key=str)
        if z not in {None, plan}
    ]
