"""Squares of a cloud that are coarse against the slab, or against what was dug in its base."""

from collections.abc import Iterator

from gradevol.files.sources import Cloud
from gradevol.geometry.extent import measure_extent
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.job import Job
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey

#: Fewer squares than this across a slab show no surface: a third of it would lie beyond the middles
#: of the outermost. A judgement, no source.
_FEWEST = 3.0
#: A width and a square that differ by a smaller share are equal, as 12 in and 1 ft are.
_EQUAL = 1e-6
#: The largest square that is chosen where the job states none, m; half of the least place worth
#: work (common practice, no source).
COARSE = 0.51


def refuse_coarse_cell(job: Job, slab: Slab) -> None:
    """
    Refuse a stated `cell` that is no part of the slab, or wider than a trench it must show.

    Raises
    ------
    GeometryError
        With both sizes.
    """
    source = job.base.source
    if not isinstance(source, Cloud) or not source.cell:
        return
    cell = Measure(source.cell, Kind.TAPE)
    across = measure_extent(slab.edge)[1]
    if source.cell * _FEWEST > across * (1 + _EQUAL):
        raise GeometryError(
            "base.cell is {}, and the slab is {} across: fewer than three squares show no surface. "
            "Leave base.cell out, or write it with its unit."
        ).measuring(cell, Measure(across, Kind.TAPE))
    for part, width in _list_surveyed(slab):
        if source.cell > width * (1 + _EQUAL):
            raise GeometryError(
                f"base.cell is {{}}, and {escape(part.name)}, which the scan is said to show, is "
                "{} wide: a square's mean is neither its bottom nor the base beside it. Leave "
                "base.cell out, or write a smaller one."
            ).measuring(cell, Measure(width, Kind.TAPE))


def remark_on_cell(survey: Survey, slab: Slab) -> Iterator[Note]:
    """
    Remark on squares, stated or chosen, that level out what a crew would put right.

    Yields
    ------
    Note
        Code ``cell-coarse``; its first measure is the side of a square.
    """
    cell = survey.grain.cell if survey.grain is not None else 0.0
    if cell > COARSE:
        yield Note(
            "cell-coarse",
            "One mean stands for each square of {} of the scan: humps, ruts and thin spots "
            "narrower than that are levelled out, and the least thickness may be less than told. "
            "Leave base.cell out, or write a smaller one.",
            (Measure(cell, Kind.TAPE),),
        )
    for part, width in _list_surveyed(slab):
        if cell > width * (1 + _EQUAL):
            yield Note(
                "cell-coarse",
                f"Squares of {{}} of the scan are wider than {escape(part.name)}, {{}}, which it "
                "is said to show: the concrete in that is not sure. Write a smaller base.cell, or "
                "scan it again more closely.",
                (Measure(cell, Kind.TAPE), Measure(width, Kind.TAPE)),
            )


def _list_surveyed(slab: Slab) -> Iterator[tuple[Thickening, float]]:
    """Thickenings whose bottom the shots show, and how wide each is there, m."""
    for part in slab.thickenings:
        if part.surveyed != "no":
            drawn = part.outline
            yield part, part.width if drawn is None else measure_extent(drawn)[1]
