"""``fix_list.csv``: what to shave or fill, and where, in the order in which to do it."""

from pathlib import Path
from typing import Any

from gradevol.presentation_spots import rank_spots
from gradevol.result import Result
from gradevol.spots import Spot
from gradevol.writers.cells import compose_rows, guard


def compose_fix_list(view: dict[str, Any], result: Result) -> str:
    """
    Write one row a spot as comma-separated text.

    Parameters
    ----------
    view : dict
        From `present`: spots, their ranks and their places in words.
    result : Result
        The same result; its measures are said as a tape shows them.

    Returns
    -------
    str
        Thin spots first, the thinnest first; then high and then low ones, the largest first.
        Names of columns carry their units. `cut_or_fill` is at the worst place and `mean` over
        the spot, each as a tape shows it and as a number; `thickness` is that at the worst place
        as the base lies. `holds` names the ranks of thin spots that a high spot holds: its row
        is the wider work around them, so the volumes of the two are not to be added up. Where a
        spot rests on suspect shots, `do` says which to reshoot first.
    """
    length, area, volume = (name.replace("-", "_") for name in view["units"].values())
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
        "holds",
    )
    grading = view["grading"]
    shown = [
        *view["thin"]["spots"],
        *grading.get("high_spots", []),
        *grading.get("low_spots", []),
    ]
    rows = [_row(spot, one, result) for spot, one in zip(rank_spots(result), shown, strict=True)]
    return compose_rows(header, rows)


def write_fix_list(path: Path, view: dict[str, Any], result: Result) -> None:
    """
    Write `compose_fix_list` to a file.

    Where a side's name is not ASCII it starts with a byte-order mark: without one a spreadsheet
    may take UTF-8 for something else.
    """
    text = compose_fix_list(view, result)
    encoding = "utf-8" if text.isascii() else "utf-8-sig"
    path.write_text(text, encoding=encoding, newline="\n")


def _say_what_to_do(spot: Spot, shown: dict[str, Any]) -> str:
    verb = "fill" if spot.kind == "low" else "shave"
    reshoot = shown.get("reshoot")
    return f"reshoot {', '.join(reshoot)}; if right, {verb}" if reshoot else verb


def _row(spot: Spot, shown: dict[str, Any], result: Result) -> list[str]:
    units, design = result.units, result.slab.thickness
    fine, coarse = (3, 2) if units.is_metric else (2, 1)
    move = design - spot.worst if spot.kind == "thin" else spot.worst
    there = design + move if spot.kind == "low" else design - move
    return [
        str(shown["rank"]),
        spot.kind,
        guard(_say_what_to_do(spot, shown)),
        units.say_thickness(move),
        f"{units.to_length(move):z.{fine}f}",
        units.say_thickness(spot.mean),
        f"{units.to_length(spot.mean):z.{fine}f}",
        units.say_thickness(there, down=True),
        f"{units.to_length(there):z.{fine}f}",
        f"{shown['area']:z.{coarse}f}",
        f"{shown['length']:z.1f}",
        f"{shown['width']:z.1f}",
        f"{shown['bearing']:.0f}",
        f"{shown['volume']:z.3f}",
        guard(shown["where"]),
        *(f"{value:z.3f}" for value in shown["at"][:2]),
        " ".join(str(rank) for rank in shown.get("holds", [])),
    ]
