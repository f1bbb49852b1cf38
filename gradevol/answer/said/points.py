"""Points to set out: the worst place of each line of work, and the next shots."""

from collections.abc import Iterator, Sequence

import numpy as np

from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.next_shots import list_next
from gradevol.answer.setting_out import level_of_design
from gradevol.answer.statement import Statement, Topic, Weight

#: Number, northing, easting, elevation, description.
COLUMNS = ("P", "N", "E", "Z", "D")


def tell_points(result: Result) -> tuple[Topic, ...]:
    """
    Tell the points that a field computer sets out: ``fix_points.csv``.

    Returns
    -------
    tuple of Topic
        One table: a point a line of work that shaves or fills, called FIX and its rank, so that it
        overwrites no shot; then the next shots by their names. The elevation is the design base's,
        so that an instrument that sets the point out shows the cut or fill itself; the description
        says what to do and from which elevation, ``CUT 0.10 FROM 99.52``, RESHOOT before it where
        the place rests on a suspect shot; of next shots ``SHOOT FOR THIN``, ``SHOOT FOR VOLUME``,
        ``SHOOT FOR THIN AND VOLUME``.
        Where the rod's foot stands above the base (`base.foot_high`), elevations are under the rod.
    """
    statements = (*_tell_fixes(result), *_tell_next(result))
    return (Topic("points", "Points to set out", "Points", statements, COLUMNS),)


def _tell_fixes(result: Result) -> Iterator[Statement]:
    rounding, grade = Rounding(result.units, result.survey.origin), find_grade(result)
    digits = 3 if result.units.is_metric else 2
    for fix in result.work.fixes:
        if fix.kind == "cover" or fix.call in ("leave", "pour"):
            continue  # what is cast in is lowered, not the base; or the base stays as it is
        under_rod = (*fix.at[:2], fix.at[2] + result.survey.foot_high)
        (east, north, level), worst = rounding.place(under_rod), rounding.length(fix.worst)
        word, sign = ("FILL", 1) if fix.is_fill else ("CUT", -1)
        first = "RESHOOT " if fix.suspects else ""
        what = f"{first}{word} {grade.say_booked(fix.departure)} FROM {level:z.{digits}f}"
        yield _point(f"FIX{fix.rank}", (east, north, level + sign * worst), what, fix.at[:2])


def _tell_next(result: Result) -> Iterator[Statement]:
    rounding = Rounding(result.units, result.survey.origin)
    for name, what, at in list_next(result):
        (level,) = level_of_design(result, np.array([at]))
        place = rounding.place((*at, float(level) + result.survey.foot_high))
        yield _point(name, place, f"SHOOT FOR {' AND '.join(what).upper()}", at)


def _point(name: str, place: Sequence[float], what: str, at: tuple[float, float]) -> Statement:
    east, north, level = place
    cells = (name, *(f"{value:z.3f}" for value in (north, east, level)), what)
    return Statement(f"point.{name}", Weight.SPARE, name, place=at, mark=name, cells=cells)
