"""``set_out.csv``: places with the elevation of the design base, to set out in the field."""

from pathlib import Path

from gradevol.answer.setting_out import Stakes
from gradevol.ground.arrays import FloatArray
from gradevol.out.tables.cells import compose_rows


def compose_set_out(stakes: Stakes, places: FloatArray, *, unit: str, metres: float) -> str:
    """
    Write stakes as points: number, northing, easting, elevation, description.

    Parameters
    ----------
    stakes : Stakes
    places : (n, 3) array of float
        The same places with the elevation of the design base, in the unit.
    unit : str
        ``m``, ``ft`` or ``us-ft``.
    metres : float
        In one of the unit.

    Returns
    -------
    str
        A header row and one point a stake, ASCII. Points are called SO and the shot's id, so that
        they overwrite no shot; SO and a number where ids are missing, repeated or not ASCII. The
        description says what to do and from which elevation, as `fix_points` does: ``CUT 0.10
        FROM 99.52``, RESHOOT before it at a suspect shot; ``OK`` where the base is on grade.
    """
    digits = 3 if unit == "m" else 2
    plain = len(set(stakes.names)) == len(stakes.names) and all(
        name.isascii() and name.isprintable() for name in stakes.names
    )
    names = stakes.names if stakes.names and plain else range(1, len(places) + 1)
    rows = []
    for name, (east, north, design), off, move, is_suspect in zip(
        names,
        places.tolist(),
        ((stakes.base - stakes.design) / metres).tolist(),
        stakes.moves,
        stakes.is_suspect.tolist(),
        strict=True,
    ):
        word = f"{'CUT' if off > 0 else 'FILL'} {move} FROM {design + off:z.{digits}f}"
        place = (f"{value:z.3f}" for value in (north, east, design))
        first = "RESHOOT " if is_suspect else ""
        rows.append([f"SO{name}", *place, first + (word if move else "OK")])
    return compose_rows("PNEZD", rows)


def write_set_out(
    path: Path, stakes: Stakes, places: FloatArray, *, unit: str, metres: float
) -> None:
    """Write `compose_set_out` to a file; plain ASCII, for field computers."""
    text = compose_set_out(stakes, places, unit=unit, metres=metres)
    path.write_text(text, encoding="ascii", newline="\n")
