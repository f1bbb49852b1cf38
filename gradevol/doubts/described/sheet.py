"""A field sheet: readings by row and column, and what looks wrong in them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from gradevol.doubts.described.facts import (
    Fact,
    Group,
    Inventory,
    clean,
    describe_compared,
    settle_table,
)
from gradevol.doubts.finding import Finding
from gradevol.doubts.suspects import FEWEST
from gradevol.doubts.written.levels import check_digits, check_levels
from gradevol.doubts.written.neighbours import check_readings
from gradevol.doubts.written.points import Points
from gradevol.doubts.written.sheets import check_labels
from gradevol.files.globe import FARTHEST
from gradevol.files.sheets.grid import Grid, Reading, read_cells
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.text import count_decimals, is_number_like
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, first_of, list_of, printable, show

#: Bad cells that are told one by one.
_QUOTED = 5
#: An outermost line whose readings stand off the next by this much more than lines do, m, is in an
#: edge beam or on a form: it is not compared with the rest. Common practice, no source.
_STEP = 0.03


def describe_sheet(
    grid: Grid, *, unit: str | None, title: str, notation: str | None = None
) -> Inventory:
    """
    Describe a field sheet.

    Raises
    ------
    InputError
        If no cell of it is a reading.
    """
    cells = [[row[at].strip() if at < len(row) else "" for row in grid.rows] for at in grid.at]
    unit, fact, findings = settle_table(grid.table, cells, unit)
    said = Notation(notation, "--notation", is_open=unit is None)
    readings, faults = read_cells(grid, unit=unit or "m", letter="R", notation=said)
    findings += _tell_bad(faults)
    if not readings:
        why = _say_fault(faults[0]) if faults else "all cells are blank"
        raise InputError(
            f"it is a field sheet without a reading: {why}",
            remedy="Check that this is the right file",
            path=grid.table.path,
        )
    points = _place(grid, readings, unit)
    setups = points.part_setups()
    is_placed = all(map(is_number_like, (*grid.columns, *grid.row_labels)))
    apart = {name: _find_apart(grid, points, rows) for name, rows in setups.items()}
    for rows in setups.values():
        found = check_levels(points.take(rows))
        findings += [each for each in found if each.code != "steep-elevations" or is_placed]
    findings += [*check_digits(points), *check_labels(grid)]
    findings += check_readings(
        points, {name: [row for rows, _ in told.values() for row in rows]
                 for name, told in apart.items()}
    )  # fmt: skip
    is_compared = unit and max(map(len, setups.values())) >= FEWEST
    level = points.places[:, 2]
    return Inventory(
        name=grid.table.path.name,
        kind="sheet",
        title=f"a field sheet of {count_of(len(readings), 'reading')}, {title}",
        facts=(
            fact,
            *_describe_lines(grid),
            _describe_readings(grid, len(readings), len(faults)),
            Fact(
                "range",
                "Range",
                _say_range(points),
                {"low": clean(level.min()), "high": clean(level.max())},
            ),
            *describe_compared(points),
            *_describe_apart(points, apart),
            _say_use(grid, list(setups), is_placed=is_placed),
        ),
        findings=tuple(findings),
        looked_at="labels, readings, their digits" + (", neighbours" if is_compared else ""),
        groups=tuple(
            Group(name, len(rows), float(level[rows].min()), float(level[rows].max()))
            for name, rows in setups.items()
            if grid.setup_at is not None
        ),
        grouped_by="setups",
        digits=points.digits[2],
    )


def _place(grid: Grid, readings: Sequence[Reading], unit: str | None) -> Points:
    """Readings at the places of their labels, in the file's own numbers."""
    across, along = grid.places(grid.columns), grid.places(grid.row_labels)
    if max(map(abs, (*across, *along))) > FARTHEST / METRES["mm"]:
        raise InputError(
            "a label of its rows or columns is a number larger than any on Earth",
            remedy="Look for a slip of the decimal point or the exponent",
            path=grid.table.path,
        )
    own = METRES[unit or "m"]
    texts = tuple(reading.text for reading in readings)
    decimals = [len(text.partition(grid.table.decimal)[2]) for text in texts]
    digits = min(int(np.quantile(decimals, 0.9, method="higher")), 4)
    if any(not text.isascii() or set(text[1:]) & set("'\"/-") for text in texts):
        digits = 3  # fractions of an inch
    places = [
        (across[reading.column], along[reading.row], round(reading.value / own, 9))
        for reading in readings
    ]
    return Points(
        places=np.array(places, float),
        lines=tuple(reading.line for reading in readings),
        ids=tuple(reading.name for reading in readings),
        codes=(),
        setups=tuple(reading.setup for reading in readings),
        readings=texts,
        level="reading",
        digits=(2, 2, digits),
        unit=unit,
    )


def _say_range(points: Points) -> str:
    """Least and most reading, as they are written where each carries its own unit."""
    level, texts = points.places[:, 2], points.readings
    if texts and not points.unit and all(count_decimals(text) is None for text in texts):
        return f"{show(texts[int(level.argmin())])} to {show(texts[int(level.argmax())])}"
    return f"{points.say(level.min())} to {points.say(level.max())}"


def _say_fault(fault: InputError) -> str:
    return printable(f"line {fault.line}: {fault.problem}", "·")


def _tell_bad(faults: Sequence[InputError]) -> list[Finding]:
    if not faults:
        return []
    said = first_of(list(map(_say_fault, faults)), _QUOTED, mark="; ")
    are = "is no reading" if len(faults) == 1 else "are no readings"
    text = (
        f"{count_of(len(faults), 'cell')} {are}, and left out of all that is said here: {said}. "
        "Write one number, or leave the cell blank: a job stops at the first."
    )
    return [Finding("bad-cells", text)]


def _describe_lines(grid: Grid) -> Iterator[Fact]:
    for what, labels in (("row", grid.row_labels), ("column", grid.columns)):
        text = f"{len(labels):,}, labelled {show(labels[0])} to {show(labels[-1])}"
        value = {"count": len(labels), "first": labels[0], "last": labels[-1]}
        yield Fact(f"{what}s", f"{what.capitalize()}s", text, value)


def _describe_readings(grid: Grid, count: int, bad: int) -> Fact:
    total = len(grid.rows) * len(grid.at)
    blank = total - count - bad
    text = f"{count:,} in {total:,} cells" + (f", {blank:,} blank" if blank else "")
    return Fact("readings", "Readings", text, {"count": count, "blank": blank, "bad": bad})


def _find_apart(
    grid: Grid, points: Points, rows: Sequence[int]
) -> dict[str, tuple[list[int], float]]:
    """
    Find the outermost lines of one setup whose readings stand off the next line's.

    Returns
    -------
    dict
        By what to call each line: rows of the points, and how much more they read.
    """
    found: dict[str, tuple[list[int], float]] = {}
    if points.unit is None:
        return found
    for axis, what, labels in ((1, "row", grid.row_labels), (0, "column", grid.columns)):
        names = dict(zip(grid.places(labels), labels, strict=True))
        lines = np.unique(points.places[rows, axis])
        held: list[dict[float, int]] = [{} for _ in lines]
        for row in rows:
            line = int(np.searchsorted(lines, points.places[row, axis]))
            held[line][float(points.places[row, 1 - axis])] = row
        steps = [_step(points.places, one, two) for one, two in pairwise(held)]
        if len(steps) < 3 or np.isnan(steps).any():
            continue
        usual = float(np.median(steps))
        least = max(points.own(_STEP, 0.0), 6 * robust_spread(np.array(steps) - usual))
        for end, step in ((0, usual - steps[0]), (-1, steps[-1] - usual)):
            if abs(step) > least and len(held[end]) > 2:
                name = f"{what} {show(names[float(lines[end])])}"
                found[name] = (list(held[end].values()), step)
    return found


def _step(places: FloatArray, one: dict[float, int], two: dict[float, int]) -> float:
    """How much more a line reads than the one before, where both have a reading."""
    both = sorted(one.keys() & two.keys())
    off = [places[two[place], 2] - places[one[place], 2] for place in both]
    return float(np.median(off)) if off else float("nan")


def _describe_apart(
    points: Points, apart: dict[str, dict[str, tuple[list[int], float]]]
) -> list[Fact]:
    """Tell which lines were not compared with the others, and why."""
    said = [
        f"{name} reads {points.say(abs(step))} {'more' if step > 0 else 'less'} than the next"
        for lines in apart.values()
        for name, (_, step) in lines.items()
    ]
    if not said:
        return []
    text = f"{list_of(said)}: an edge beam or a form? Not compared with the rest"
    return [Fact("lines_apart", "Apart", text, said)]


def _say_use(grid: Grid, setups: Sequence[str], *, is_placed: bool) -> Fact:
    """How a job takes it."""
    name = show(grid.table.path.name)
    if grid.setup_at is not None:
        taken = f"[base.setups] for {list_of([show(setup) or '(none)' for setup in setups])}"
    else:
        taken = "base.instrument_height, or base.benchmark and base.backsight"
    labels = "are distances from" if is_placed else "only count: give base.spacing too, from"
    text = (
        f'base.rods = "{name}" where these are rod readings, with {taken}; base.depths = "{name}" '
        f"where they are depths below the string. Labels {labels} base.origin, rows along "
        "base.bearing"
    )
    return Fact("next", "In a job", text, text)
