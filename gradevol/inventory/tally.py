"""A point cloud read once, in chunks, and nothing of it kept but counts."""

from dataclasses import dataclass, field

import numpy as np

from gradevol._types import AnyArray, FloatArray
from gradevol.errors import InputError
from gradevol.inventory.facts import Progress
from gradevol.readers.cloud import NOISE
from gradevol.readers.las_header import LasHeader
from gradevol.readers.las_packing import telling_damage

#: Points read at once, and bytes that they may take.
_CHUNK, _CHUNK_BYTES = 1_000_000, 128 * 1024 * 1024
#: Elevations kept to tell where most of them lie.
_SAMPLED = 200_000
#: The cells that density is counted in: at most so many a side, and so many points in each.
_MOST_CELLS, _IN_CELL = 512, 30


@dataclass(slots=True)
class Tally:
    """What was counted so far; it grows chunk by chunk while a file is read."""

    low: FloatArray
    high: FloatArray
    cells: AnyArray
    count: int = 0
    withheld: int = 0
    counts: AnyArray = field(default_factory=lambda: np.zeros(256, np.intp))
    lows: FloatArray = field(default_factory=lambda: np.full(256, np.inf))
    highs: FloatArray = field(default_factory=lambda: np.full(256, -np.inf))
    sampled: list[FloatArray] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Declared:
    """What the library reads from the header beside what `LasHeader` holds."""

    version: str
    point_format: int
    low: FloatArray
    high: FloatArray


def tally_points(header: LasHeader, progress: Progress) -> tuple[Declared, Tally]:
    """Count what there is, chunk by chunk; as many points as are declared, or it is refused."""
    import laspy  # noqa: PLC0415

    wanted = laspy.DecompressionSelection
    with (
        telling_damage(header.path),
        laspy.open(
            header.path,
            laz_backend=laspy.LazBackend.LazrsParallel,
            decompression_selection=wanted.base() | wanted.Z | wanted.CLASSIFICATION | wanted.FLAGS,
            read_evlrs=False,
        ) as reader,
    ):
        own = reader.header
        declared = Declared(
            str(own.version), int(own.point_format.id), np.array(own.mins), np.array(own.maxs)
        )
        tally = _start_tally(header.count)
        at_once = max(1, min(_CHUNK, _CHUNK_BYTES // header.point_size))
        for read in reader.chunk_iterator(at_once):
            raw = np.column_stack([read.array[axis] for axis in "XYZ"])
            places = raw * header.scale + header.offset
            _add(
                tally, declared, places, np.asarray(read.classification), np.asarray(read.withheld)
            )
            progress(f"reading {header.path.name}", tally.count / header.count)
    if tally.count != header.count:
        raise InputError(
            f"the header declares {header.count:,} points, but {tally.count:,} could be read",
            remedy="The file was cut short: copy or export it again",
            path=header.path,
        )
    return declared, tally


def _start_tally(count: int) -> Tally:
    side = max(1, min(_MOST_CELLS, int(np.sqrt(count / _IN_CELL))))
    return Tally(np.full(3, np.inf), np.full(3, -np.inf), np.zeros((side, side), bool))


def _add(
    tally: Tally, declared: Declared, places: FloatArray, classes: AnyArray, withheld: AnyArray
) -> None:
    if len(places) == 0:
        return
    tally.low = np.minimum(tally.low, places.min(axis=0))
    tally.high = np.maximum(tally.high, places.max(axis=0))
    level = places[:, 2]
    for number in np.unique(classes):
        own = level[classes == number]
        tally.counts[number] += len(own)
        tally.lows[number] = min(tally.lows[number], own.min())
        tally.highs[number] = max(tally.highs[number], own.max())
    tally.withheld += int(withheld.astype(bool).sum())
    share = max(1, len(places) * 4 // _SAMPLED)
    tally.sampled.append(level[~np.isin(classes, NOISE)][::share])
    side = len(tally.cells)
    span = declared.high[:2] - declared.low[:2]
    if np.isfinite(span).all() and (span > 0).all():
        with np.errstate(over="ignore", invalid="ignore"):
            at = np.floor((places[:, :2] - declared.low[:2]) / span * side)
        rows, columns = np.clip(at, 0, side - 1).astype(np.intp).T
        tally.cells[rows, columns] = True
    tally.count += len(places)


def find_most(tally: Tally) -> FloatArray:
    """Elevations between which all but 2 % of a sample lie, noise left out; else empty."""
    sampled = np.concatenate(tally.sampled) if tally.sampled else np.empty(0)
    return np.quantile(sampled, [0.01, 0.99]) if len(sampled) else sampled
