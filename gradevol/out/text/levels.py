"""Reduced levels: the page as text, and the shots as a table that a job takes."""

import textwrap
from pathlib import Path
from typing import Any

from gradevol.ground.words import count_of
from gradevol.out.tables.cells import compose_rows, guard
from gradevol.out.whole import write_text

_COLUMNS = 78
_HEADS = ("point", "BS", "IS", "FS", "HI", "observed", "corr.", "final")
_KEYS = ("backsight", "intermediate", "foresight", "instrument", "observed")
#: Decimals to which levels are booked at least; common practice, no source.
_LEAST_DECIMALS = {"m": 3, "mm": 0, "ft": 2, "us-ft": 2, "in": 2}


def compose_levels(view: dict[str, Any], decimals: int) -> str:
    """
    Write the reduced page as text.

    Parameters
    ----------
    view : dict
        From `present_levels`.
    decimals : int
        Most decimals of its readings.

    Returns
    -------
    str
        The rows, then for each leg the arithmetic check, the misclosure, what is allowed and how
        it was shared out.
    """
    unit = view["units"]["length"]
    digits = max(decimals, _LEAST_DECIMALS[unit])
    finer = _digits_of_final(view, digits)
    lines = [f"Reduced levels, {unit}", "", *_table(view, digits, finer)]
    for leg in view["legs"]:
        lines += ["", *_leg(leg, view["adjustment"], unit, digits, finer)]
    for check in view["checks"]:
        text = (
            f"Check on {check['point']} (intermediate sight): observed "
            f"{check['observed']:.{digits}f} - known {check['known']:.{digits}f} = "
            f"{check['difference']:+z.{digits}f} {unit}. It adjusts nothing."
        )
        lines += ["", *textwrap.wrap(text, _COLUMNS)]
    for note in view["notes"]:
        lines += ["", *textwrap.wrap(f"Note: {note['text']}", _COLUMNS)]
    return "\n".join(lines) + "\n"


def compose_level_shots(view: dict[str, Any]) -> str:
    """
    Write final elevations as a table of points with its unit in the header, as `base.shots` takes.

    A row of a page that has eastings and northings is left out if it has none: without them it
    is no shot. So are later backsights on a point, for they observe nothing.
    """
    unit = view["units"]["length"]
    places = ("easting", "northing") if _has_places(view) else ()
    lengths = (*places, "elevation")
    header = (
        "point",
        *(f"{name}_{unit}" for name in lengths),
        "description",
        "setup",
        f"observed_{unit}",
        "adjustment",
    )
    rows = [
        (
            guard(row["point"]),
            *(f"{row[name]:z.4f}" for name in lengths),
            guard(row.get("description", "")),
            str(row["setup"]),
            f"{row['observed']:z.4f}",
            row["adjustment"],
        )
        for row in _choose_shots(view)
    ]
    return compose_rows(header, rows)


def write_level_shots(path: Path, view: dict[str, Any]) -> str:
    """Write `compose_level_shots` to a file; return in words what is in it."""
    write_text(path, compose_level_shots(view))
    said = f"{len(_choose_shots(view))} points"
    if not _has_places(view):
        return f"{said}, without easting and northing: a job needs these to take them as shots"
    missing = list(dict.fromkeys(row["point"] for row in view["rows"] if "easting" not in row))
    return f"{said}; left out for want of a place: {', '.join(missing)}" if missing else said


def _has_places(view: dict[str, Any]) -> bool:
    return any("easting" in row for row in view["rows"])


def _choose_shots(view: dict[str, Any]) -> list[dict[str, Any]]:
    has_places = _has_places(view)
    seen: set[str] = set()
    shots = []
    for row in view["rows"]:
        only_back = "foresight" not in row and "intermediate" not in row
        if (only_back and row["point"] in seen) or (has_places and "easting" not in row):
            continue
        seen.add(row["point"])
        shots.append(row)
    return shots


def _digits_of_final(view: dict[str, Any], digits: int) -> int:
    """One digit more than the readings, where a share of a misclosure needs it."""
    corrections = [row["correction"] for row in view["rows"]]
    is_enough = all(abs(value - round(value, digits)) < 2e-6 for value in corrections)
    return digits if is_enough else digits + 1


def _table(view: dict[str, Any], digits: int, finer: int) -> list[str]:
    adjusted = view["adjustment"] != "none"
    grid = [list(_HEADS if adjusted else _HEADS[:-2])]
    for row in view["rows"]:
        cells = [f"{row[key]:z.{digits}f}" if key in row else "" for key in _KEYS]
        if adjusted:
            cells += [f"{row['correction']:+z.{finer}f}", f"{row['elevation']:z.{finer}f}"]
        grid.append([row["point"], *cells])
    widths = [max(map(len, column)) for column in zip(*grid, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if at else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in grid
    ]


def _leg(leg: dict[str, Any], adjustment: str, unit: str, digits: int, finer: int) -> list[str]:
    count = leg["setups"]
    length = f", {leg['length']:.10g} {unit} of sights" if "length" in leg else ""
    is_left = leg["foresights"] < count  # the instrument was taken up without a foresight
    stretch = f"From {leg['start']} on" if is_left else f"{leg['start']} to {leg['end']}"
    texts = [f"{stretch}: {count_of(count, 'setup')}{length}"]
    if leg["foresights"]:
        texts.append(
            f"Arithmetic: sum of BS {leg['sum_backsights']:.{digits}f} - sum of FS "
            f"{leg['sum_foresights']:.{digits}f} = {leg['rise']:+z.{digits}f} = last "
            f"{leg['observed']:.{digits}f} - first {leg['first']:.{digits}f}. It does not test "
            "intermediate sights, nor any reading."
        )
    if not leg["closed"]:
        texts.append(
            "Not closed: these elevations hang on one bench mark, and a slip in a reading would "
            "not show. Close on a point whose elevation is known."
        )
        return _indent(texts)
    misclosure = leg["misclosure"]
    texts.append(
        f"Misclosure: observed {leg['observed']:.{digits}f} - known {leg['known']:.{digits}f} = "
        f"{misclosure:+z.{digits}f} {unit}"
    )
    texts += [_say_limit(limit, misclosure, unit, finer) for limit in leg["limits"]] or [
        "Allowed: no rule was given (--per-setup, --per-root-km or --accuracy)."
    ]
    if adjustment == "none":
        texts.append("Adjustment: none; the elevations are as observed.")
    elif adjustment == "setups":
        texts.append(
            f"Adjustment: by setups, {-misclosure / count:+z.{digits + 1}f} {unit} for each setup "
            "so far."
        )
    else:
        texts.append(
            f"Adjustment: by distance, {-misclosure:+z.{digits}f} {unit} in proportion to the "
            "length of sights so far."
        )
    return _indent(texts)


def _say_limit(limit: dict[str, Any], misclosure: float, unit: str, digits: int) -> str:
    rule = limit["rule"]
    if "allowed" not in limit:
        return (
            f"Allowed: not known by {rule}, for the lengths of sight are not known (columns "
            "'BS distance' and 'FS distance')."
        )
    allowed = f"{limit['allowed']:.{digits + 1}f} {unit} ({rule})"
    if limit["exceeded"]:
        return (
            f"Allowed: {allowed}. EXCEEDED: {abs(misclosure):.{digits}f} {unit} is more. An "
            "adjustment only spreads a mistake: find it, or level again."
        )
    return f"Allowed: {allowed}. Within it."


def _indent(texts: list[str]) -> list[str]:
    head, *rest = texts
    return [
        *textwrap.wrap(head, _COLUMNS),
        *(
            line
            for text in rest
            for line in textwrap.wrap(text, _COLUMNS, initial_indent="  ", subsequent_indent="    ")
        ),
    ]
