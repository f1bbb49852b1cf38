"""Before a pour: the ruler to print, and what a page needs to follow the day by itself."""

from dataclasses import dataclass, replace
from typing import Any

from gradevol.after.fronts import Edge, sides_beside
from gradevol.after.page_data import list_file_columns, list_page_data
from gradevol.after.progress import set_noise, set_prior
from gradevol.after.ruler import Ruler, measure_ruler
from gradevol.ground.notes import Note
from gradevol.job import Job
from gradevol.plan.order.expected import Expected
from gradevol.runs.pour import Stand, remark


def lay_ruler(job: Job, stand: Stand) -> tuple[Ruler, tuple[str, str]] | None:
    """
    Measure the ruler of a pour.

    Parameters
    ----------
    job : Job
    stand : Stand
        From `pour.stand_on`.

    Returns
    -------
    Ruler, (str, str)
        And what stands at the sides along which its tapes lie; None where the job does not say
        where placing begins.
    """
    if stand.start is None:
        return None
    slab = stand.model.slab
    ruler = measure_ruler(
        stand.model,
        Edge(slab, stand.start),
        # about the volume that order and page state: on paper one figure stands for all day
        replace(set_prior(stand.model, stand.expected, stand.terms), off=0.0),
        set_noise(job.placing, stand.terms, thickness=slab.thickness),
        step=1.0 if job.units.is_metric else 5 * 0.3048,
    )
    first, second = (
        slab.side_names[side - 1] if slab.side_names else f"corner {side} on"
        for side in ruler.sides
    )
    return ruler, (first, second)


@dataclass(frozen=True, slots=True)
class LaidPage:
    """
    What a page needs to follow a pour.

    Attributes
    ----------
    data : dict
        From `after.page_data`, in metres.
    expected : Expected
        The factor that the pour begins with.
    """

    data: dict[str, Any]
    expected: Expected
    notes: tuple[Note, ...]


def lay_page(job: Job, stand: Stand) -> LaidPage | None:
    """
    List what a page needs to follow a pour; parameters as of `lay_ruler`.

    Returns
    -------
    LaidPage or None
        None where no front can be told, for the job says neither where placing begins nor of
        panels or pours by name.
    """
    if stand.start is None and not stand.zones:
        return None
    model = stand.model
    data = list_page_data(
        model,
        stand.expected,
        start=stand.start,
        zones=stand.zones,
        terms=stand.terms,
        placing=job.placing,
        small=job.small_pours,
        released=stand.released,
        need=stand.need,
        is_metric=job.units.is_metric,
        level=job.interval,
    )
    sides = () if stand.start is None else sides_beside(stand.start, len(model.slab.paths))
    columns = list_file_columns(job.tickets, sides, unit=job.unit, is_metric=job.units.is_metric)
    names = model.slab.side_names
    for number, side in enumerate(data["sides"]):
        side["name"] = names[number] if names else ""
    taped = [column["side"] for column in columns if column["kind"] == "front"]
    asked = [] if stand.start is None else taped
    data |= {"columns": columns, "asked": asked, "title": job.title, "part": job.placing.pour}
    return LaidPage(data, stand.expected, tuple(remark(stand.expected)))
