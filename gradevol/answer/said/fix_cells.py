"""The rows of the fix list as cells: the columns of ``fix_list.csv``."""

import math

from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.fix_costs import list_costs
from gradevol.answer.said.fixes import say_do, say_worst, say_worst_place, tell_hauls
from gradevol.plan.fixes.fix import Fix


def name_columns(result: Result) -> tuple[str, ...]:
    """
    Name the columns; those of numbers carry their units.

    `cut_or_fill` is at the worst place and `mean` over the place, each as a tape shows it and as a
    number; `thickness` is that at the worst place as the base lies. `material` says where cuttings
    go or come from, by rank and distance. Where a place rests on suspect shots, `do` says which to
    reshoot first. Columns of costs are there where the job gives costs.
    """
    units = result.units
    length, area, volume = (
        name.replace("-", "_") for name in (units.length, units.area, units.volume)
    )
    costs = ("hours", "fix_cost", "pour_cost") if result.work.prices else ()
    return (
        "rank", "kind", "do", "cut_or_fill", f"cut_or_fill_{length}", "mean", f"mean_{length}",
        "thickness", f"thickness_{length}", f"area_{area}", f"length_{length}", f"width_{length}",
        "bearing_deg", f"bank_volume_{volume}", "where", f"e_{length}", f"n_{length}", "must",
        "why", f"loose_volume_{volume}", "material", "shots", *costs,
    )  # fmt: skip


def list_cells(fix: Fix, result: Result) -> tuple[str, ...]:
    """List the cells of one row under `name_columns`."""
    units, rounding = result.units, Rounding(result.units, result.survey.origin)
    fine, coarse = (3, 2) if units.is_metric else (2, 1)
    near = "" if fix.is_shot or not fix.shots else "near "
    return (
        str(fix.rank),
        fix.kind,
        say_do(fix, result),
        say_worst(fix, result),
        f"{units.to_length(fix.worst):z.{fine}f}"
        if fix.kind == "cover"
        else find_grade(result).say_booked(fix.departure),
        units.say_thickness(fix.mean),
        f"{units.to_length(fix.mean):z.{fine}f}",
        units.say_thickness(fix.thickness, down=True),
        f"{_round_down(units.to_length(fix.thickness), fine):z.{fine}f}",
        f"{rounding.area(fix.area):z.{coarse}f}",
        f"{rounding.length(fix.length):z.1f}",
        f"{rounding.length(fix.width):z.1f}",
        f"{round(fix.bearing, 1) % 180:.0f}",
        f"{rounding.volume(fix.volume):z.3f}",
        say_worst_place(fix, result),
        *(f"{value:z.3f}" for value in rounding.place(fix.at[:2])),
        "yes" if fix.is_must else "",
        " ".join(fix.reasons),
        f"{rounding.volume(fix.volume * result.work.loose):z.3f}",
        str(tell_hauls(fix, result)).replace("³", "3"),
        near + " ".join(result.survey.name(index) for index in fix.shots),
        *(list_costs(fix, result) if result.work.prices else ()),
    )


def _round_down(value: float, digits: int) -> float:
    """Round towards less, as thickness is told everywhere; what is whole but for noise stays."""
    return math.floor(value * 10**digits + 1e-6) / 10**digits
