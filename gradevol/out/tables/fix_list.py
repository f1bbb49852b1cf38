"""``fix_list.csv``: the work on the base, one line a place, in the order in which to do it."""

import math
from pathlib import Path
from typing import Any

from gradevol.answer.data.work_costs import list_costs
from gradevol.answer.data.work_lines import say_hauls
from gradevol.answer.result import Result
from gradevol.out.tables.cells import compose_rows, guard
from gradevol.plan.fixes.fix import Fix


def compose_fix_list(view: dict[str, Any], result: Result) -> str:
    """
    Write one row a line of work as comma-separated text.

    Parameters
    ----------
    view : dict
        From `present`: the work, its ranks and its places in words.
    result : Result
        The same result; its measures are said as a tape shows them.

    Returns
    -------
    str
        Ten rows at most. Thin places first, the thinnest before all; then what else must be put
        right; then what is shaved and what is filled, the largest volume first; last what is best
        left. Names of columns carry their
        units. `cut_or_fill` is at the worst place and `mean` over the place, each as a tape shows
        it and as a number;
        `thickness` is that at the worst place as the base lies. `material` says where cuttings go
        or come from, by rank and distance. Where a place rests on suspect shots, `do` says which
        to reshoot first. Columns of costs are there where the job gives costs.
    """
    length, area, volume = (name.replace("-", "_") for name in view["units"].values())
    costs = ("hours", "fix_cost", "pour_cost") if result.work.prices else ()
    header = (
        "rank",
        "kind",
        "do",
        "cut_or_fill",
        f"cut_or_fill_{length}",
        "mean",
        f"mean_{length}",
        "thickness",
        f"thickness_{length}",
        f"area_{area}",
        f"length_{length}",
        f"width_{length}",
        "bearing_deg",
        f"bank_volume_{volume}",
        "where",
        f"e_{length}",
        f"n_{length}",
        "must",
        "why",
        f"loose_volume_{volume}",
        "material",
        "shots",
        *costs,
    )
    rows = [
        _row(fix, shown, result) for fix, shown in zip(result.work.fixes, view["fix"], strict=True)
    ]
    return compose_rows(header, rows)


def write_fix_list(path: Path, view: dict[str, Any], result: Result) -> None:
    """
    Write `compose_fix_list` to a file.

    Where its text is not ASCII it starts with a byte-order mark: without one a spreadsheet may
    take UTF-8 for something else.
    """
    text = compose_fix_list(view, result)
    encoding = "utf-8" if text.isascii() else "utf-8-sig"
    path.write_text(text, encoding=encoding, newline="\n")


def _row(fix: Fix, shown: dict[str, Any], result: Result) -> list[str]:
    units = result.units
    fine, coarse = (3, 2) if units.is_metric else (2, 1)
    near = "" if fix.is_shot or not fix.shots else "near "
    return [
        str(shown["rank"]),
        fix.kind,
        guard(shown["do"]),
        units.say_thickness(fix.worst),
        f"{units.to_length(fix.worst):z.{fine}f}",
        units.say_thickness(fix.mean),
        f"{units.to_length(fix.mean):z.{fine}f}",
        guard(units.say_thickness(fix.thickness, down=True)),  # -2 in where the base is above
        f"{_round_down(units.to_length(fix.thickness), fine):z.{fine}f}",
        f"{shown['area']:z.{coarse}f}",
        f"{shown['length']:z.1f}",
        f"{shown['width']:z.1f}",
        f"{shown['bearing']:.0f}",
        f"{shown['volume']:z.3f}",
        guard(shown["where"]),
        *(f"{value:z.3f}" for value in shown["at"][:2]),
        "yes" if fix.is_must else "",
        " ".join(fix.reasons),
        f"{shown['loose_volume']:z.3f}",
        say_hauls(fix, result).replace("³", "3"),
        guard(near + " ".join(shown["shots"])),
        *(list_costs(shown.get("cost", {})) if result.work.prices else ()),
    ]


def _round_down(value: float, digits: int) -> float:
    """Round towards less, as thickness is told everywhere; what is whole but for noise stays."""
    return math.floor(value * 10**digits + 1e-6) / 10**digits
