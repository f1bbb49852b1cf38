"""``fix_points.csv``: the worst place of each spot, to set out in the field."""

from pathlib import Path
from typing import Any

from gradevol.writers.cells import compose_rows


def compose_fix_points(view: dict[str, Any]) -> str:
    """
    Write the worst place of each spot as points: number, northing, easting, elevation, description.

    Parameters
    ----------
    view : dict
        From `present`.

    Returns
    -------
    str
        A header row and one point a spot, in the job's unit of length; no other lines, for field
        computers take none. Points are called FIX and the spot's rank in the fix list, so that
        they overwrite no shot; a spot whose worst place is an earlier one's has no point of its
        own. The elevation is the design base's, so that an instrument that sets the point out
        shows the cut or fill itself; the description says what to do and from which elevation,
        ``CUT 0.10 FROM 99.52``, and RESHOOT where the spot rests on a suspect shot.
    """
    thickness = view["slab"]["thickness"]
    digits = 3 if view["units"]["length"] == "m" else 2
    rows: list[list[str]] = []
    told: set[tuple[float, ...]] = set()
    for kind, spots in (
        ("thin", view["thin"]["spots"]),
        ("high", view["grading"].get("high_spots", [])),
        ("low", view["grading"].get("low_spots", [])),
    ):
        for spot in spots:
            east, north, level = at = tuple(spot["at"])
            if at in told:
                continue
            told.add(at)
            move = thickness - spot["worst"] if kind == "thin" else spot["worst"]
            word, meant = ("FILL", level + move) if kind == "low" else ("CUT", level - move)
            place = (f"{value:z.3f}" for value in (north, east, meant))
            what = f"{word} {move:z.{digits}f} FROM {level:z.{digits}f}"
            first = "RESHOOT " if "reshoot" in spot else ""
            rows.append([f"FIX{spot['rank']}", *place, first + what])
    return compose_rows("PNEZD", rows)


def write_fix_points(path: Path, view: dict[str, Any]) -> None:
    """Write `compose_fix_points` to a file; plain ASCII, for field computers."""
    path.write_text(compose_fix_points(view), encoding="ascii", newline="\n")
