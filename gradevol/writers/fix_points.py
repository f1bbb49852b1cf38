"""``fix_points.csv``: the worst place of each line of work, to set out in the field."""

from pathlib import Path
from typing import Any

from gradevol.writers.cells import compose_rows


def compose_fix_points(view: dict[str, Any]) -> str:
    """
    Write the worst places as points: number, northing, easting, elevation, description.

    Parameters
    ----------
    view : dict
        From `present`.

    Returns
    -------
    str
        A header row and one point a line of work that shaves or fills, in the job's unit of
        length; no other lines, for field computers take none. Points are called FIX and the rank
        in the fix list, so that they overwrite no shot. The elevation is the design base's, so
        that an instrument that sets the point out shows the cut or fill itself; the description
        says what to do and from which elevation, ``CUT 0.10 FROM 99.52``, and RESHOOT where the
        place rests on a suspect shot.
    """
    digits = 3 if view["units"]["length"] == "m" else 2
    rows: list[list[str]] = []
    for fix in view["fix"]:
        if fix["kind"] == "cover" or fix["call"] in ("leave", "pour"):
            continue  # what is cast in is lowered, not the base; or the base stays as it is
        east, north, level = fix["at"]
        word, sign = ("FILL", 1) if fix["kind"] == "low" else ("CUT", -1)
        place = (f"{value:z.3f}" for value in (north, east, level + sign * fix["worst"]))
        what = f"{word} {fix['worst']:z.{digits}f} FROM {level:z.{digits}f}"
        first = "RESHOOT " if "reshoot" in fix else ""
        rows.append([f"FIX{fix['rank']}", *place, first + what])
    return compose_rows("PNEZD", rows)


def write_fix_points(path: Path, view: dict[str, Any]) -> None:
    """Write `compose_fix_points` to a file; plain ASCII, for field computers."""
    path.write_text(compose_fix_points(view), encoding="ascii", newline="\n")
