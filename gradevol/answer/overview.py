"""Several jobs side by side: one line of each."""

from dataclasses import dataclass

from gradevol.answer.compose import Answer
from gradevol.answer.tree.result import ResultTree

#: Columns of the table, in the order of `Overview.cells`.
COLUMNS = (
    "job",
    "title",
    "volume",
    "low",
    "high",
    "volume_unit",
    "order",
    "thin_area",
    "area_unit",
    "suspects",
    "exceeded",
    "problem",
)
NUMBERS = frozenset({"volume", "low", "high", "order", "thin_area"})
#: Between the orders of several pours.
_AND = " + "


@dataclass(frozen=True, slots=True)
class Overview:
    """
    One job in a table of several.

    Attributes
    ----------
    job : str
        What it is called there: its path, shortened.
    cells : tuple of str
        Under `COLUMNS`.
    shown : tuple of str
        The same for a screen: volume, its interval, order, thin area, suspects.
    exceeded : tuple of str
        Limits that the job states and the base exceeds.
    problem : str
        Why it could not be checked; empty where it was.
    """

    job: str
    cells: tuple[str, ...]
    shown: tuple[str, ...] = ()
    exceeded: tuple[str, ...] = ()
    problem: str = ""

    def plain(self) -> dict[str, str | float | None]:
        """The cells by name, numbers as numbers: null where there is none, several orders added."""
        named = zip(COLUMNS, self.cells, strict=True)
        return {name: _add_up(cell) if name in NUMBERS else cell for name, cell in named}


def compose_overview(job: str, answer: Answer) -> Overview:
    """
    Compose a job's line.

    Parameters
    ----------
    job : str
        What to call it.
    answer : Answer
    """
    tree = answer.tree
    concrete, units = tree.concrete, tree.units
    figures = (concrete.volume, *((ends.low, ends.high) if (ends := concrete.interval) else ()))
    suspects = " ".join(suspect.id for suspect in tree.survey.suspect)
    (told,) = answer.pick("volume")
    said = [told.find(key) for key in ("concrete.volume", "concrete.interval")]
    return Overview(
        job,
        cells=(
            job,
            tree.title,
            *([f"{figure:.10g}" for figure in figures] + ["", ""])[:3],
            units.volume,
            _order(tree),
            f"{tree.thin.area:.10g}",
            units.area,
            suspects,
            "; ".join(answer.exceeded),
            "",
        ),
        shown=(
            *(str((one.figure or one.short) if one else "") for one in said),
            _order(tree) or "-",
            f"{tree.thin.area:.0f} {units.area.replace('2', '²')}",
            suspects or "-",
        ),
        exceeded=answer.exceeded,
    )


def compose_failure(job: str, problem: str) -> Overview:
    """Compose the line of a job that could not be checked."""
    return Overview(job, cells=(job, *[""] * (len(COLUMNS) - 2), problem), problem=problem)


def _order(tree: ResultTree) -> str:
    """The volume to order, of all pours that are ordered by themselves where there are several."""
    if tree.order is not None:
        return f"{tree.order.volume:.10g}"
    ordered = [pour.order.volume for pour in tree.pours or () if pour.order is not None]
    return _AND.join(f"{volume:.10g}" for volume in ordered)


def _add_up(cell: str) -> float | None:
    return sum(map(float, cell.split(_AND))) if cell else None
