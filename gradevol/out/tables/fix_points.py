"""``fix_points.csv``: the worst place of each line of work, and next shots, to set out."""

from pathlib import Path
from typing import Any

from gradevol.out.tables.cells import compose_rows


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
        place rests on a suspect shot. Next shots follow by their names, NEXT and a number, with the
        elevation of the design base too: ``SHOOT FOR THIN``, ``SHOOT FOR VOLUME``.
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
    planned = view.get("next_shots", {})
    for what in ("thin", "volume"):
        for shot in planned.get(what, []):
            east, north, level = shot["at"]
            place = (f"{value:z.3f}" for value in (north, east, level))
            rows.append([shot["name"], *place, f"SHOOT FOR {what.upper()}"])
    return compose_rows("PNEZD", rows)


def write_fix_points(path: Path, view: dict[str, Any]) -> None:
    """Write `compose_fix_points` to a file; plain ASCII, for field computers."""
    path.write_text(compose_fix_points(view), encoding="ascii", newline="\n")
