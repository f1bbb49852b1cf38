"""Point clouds that carry no classes: text (XYZ, PTS, ASC, CSV) and PLY without faces."""

from collections.abc import Sequence

import numpy as np

from gradevol.doubts.described.cloud_facts import check_spread, describe_spread
from gradevol.doubts.described.facts import (
    Asked,
    Fact,
    Inventory,
    describe_columns,
    say_text,
    settle_table,
    settle_unit,
    tell_bad_rows,
)
from gradevol.doubts.described.surface import check_steps
from gradevol.doubts.finding import Finding
from gradevol.doubts.written.points import FINE
from gradevol.files.clouds.tally import PointTally, tally_held, tally_text
from gradevol.files.clouds.text import TextCloud
from gradevol.files.drawings.polygons import Polygons
from gradevol.files.globe import FARTHEST
from gradevol.files.shots.written import count_digits
from gradevol.files.tables.cells import Fault
from gradevol.files.tables.table import Table
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of

#: No coordinate is as large in any unit: 100,000 km in millimetres.
_FARTHEST = FARTHEST / METRES["mm"]
_REMEDY = "A job takes them away where they rise abruptly; else cut them out."


def describe_text_cloud(asked: Asked, cloud: TextCloud) -> Inventory:
    """
    Describe a text file of points without ids, of any size.

    Raises
    ------
    InputError
        If it holds fewer points than it declares, was cut short, or holds none.
    """
    path, table = cloud.path, cloud.table
    named = dict(zip(cloud.columns, "ENZ", strict=True))
    letters = "".join(named.get(at, "-") for at in range(max(cloud.columns) + 1))
    cells = [_column(table, at) for at in sorted(cloud.columns)]
    _, fact, findings = settle_table(table, cells, asked.unit)
    tally, faults = tally_text(cloud, asked.tell)
    if tally.count == 0:
        fault = faults[0] if faults else Fault(table.lines[0], repr(""), "there are none")
        raise InputError(
            f"none of its rows is a point by the columns {letters}: {fault.quoted}: {fault.why}",
            remedy="Give the columns by --columns",
            path=path,
            line=fault.line,
        )
    said = "by the header" if table.header is not None else "as you say"
    if table.header is None and asked.columns is None:
        said = "no header: assumed, as XYZ files have them"
    counted = ", as many as declared" if cloud.declared is not None else ""
    if faults:
        findings += tell_bad_rows([fault.line for fault in faults], faults, letters)
        counted += f"; and {count_of(len(faults), 'bad row')}"
    value = {"count": tally.count, "declared": cloud.declared, "bad": len(faults)}
    facts = [
        fact,
        describe_columns(letters, said),
        Fact("points", "Points", f"{tally.count:,}{counted}", value),
    ]
    digits = [count_digits(_column(table, at), table.decimal) for at in cloud.columns]
    is_fine = min(digits[:2]) >= FINE
    words = say_text(table)
    return _compose(asked, tally, facts, findings, words=words, digits=digits, is_fine=is_fine)


def describe_ply_cloud(asked: Asked, mesh: Polygons) -> Inventory:
    """Describe the points of a PLY file that holds no faces."""
    if not (np.abs(mesh.points) < _FARTHEST).all():  # false for NaN, too
        raise InputError(
            "it holds numbers that are none, or larger than any on Earth",
            remedy="Export the points again",
            path=asked.file.path,
        )
    tally = tally_held(mesh.points, asked.tell)
    value = {"count": tally.count, "declared": tally.count, "bad": 0}
    text = f"{tally.count:,}, as many as declared"
    unit, fact, _ = settle_unit(None, "", asked.unit)
    return _compose(
        asked,
        tally,
        [fact, Fact("points", "Points", text, value)],
        check_steps(mesh, unit),
        words="PLY without faces",
        digits=(3, 3, 3),
        is_fine=True,
    )


def _compose(
    asked: Asked,
    tally: PointTally,
    facts: Sequence[Fact],
    findings: Sequence[Finding],
    *,
    words: str,
    digits: Sequence[int],
    is_fine: bool,
) -> Inventory:
    unit = facts[0].value
    if np.ptp(tally.box[:, 2]) == 0:
        text = f"All elevations are {tally.low[2]:g}: is this the column that was meant?"
        findings = [*findings, Finding("all-equal", text)]
    return Inventory(
        name=asked.file.path.name,
        kind="cloud",
        title=f"a point cloud of {count_of(tally.count, 'point')}, {words}",
        facts=(*facts, *describe_spread(tally, digits, unit, unit)),
        findings=(
            *findings,
            *check_spread(tally, unit, unit, is_fine=is_fine, remedy=_REMEDY),
        ),
        looked_at="rows, count, extents, degrees, elevations, stray points",
        digits=digits[2],
    )


def _column(table: Table, at: int) -> list[str]:
    return [row[at].strip() for row in table.rows if len(row) > at]
