"""What looks wrong in a file of points: each check is one rule, in one function."""

from collections import Counter, defaultdict
from collections.abc import Iterator

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.groups import check_groups
from gradevol.doubts.written.levels import check_digits, check_levels
from gradevol.doubts.written.neighbours import check_shots, say_not_compared
from gradevol.doubts.written.points import SAME_PLACE, Points, is_far_in_plan, looks_like_degrees
from gradevol.files.shots.staked import find_staked
from gradevol.files.tables.text import is_number_like
from gradevol.ground.words import count_of, list_of, show


def say_looked_at(points: Points) -> str:
    """What `check_points` looks at in these points."""
    held = ["rows", "ids" if points.ids else "", "codes" if points.codes else ""]
    held += ["places", f"{points.level}s", "their digits"]
    if points.unit and points.level == "elevation" and not say_not_compared(points):
        held.append("neighbours")
    return ", ".join(filter(None, held))


def check_points(points: Points) -> tuple[Finding, ...]:
    """Look for all that is known to go wrong with a file of points."""
    if len(points.places) < 3:
        text = f"It holds {count_of(len(points.places), 'shot')}: a base takes at least three."
        return (Finding("too-few", text),)
    checks = (
        _check_staked,
        _check_ids,
        _check_same_place,
        _check_degrees,
        _check_far_in_plan,
        _check_one_line,
        check_levels,
        check_digits,
        check_shots,
        check_groups,
        check_codes,
    )
    return tuple(finding for check in checks for finding in check(points))


def _check_staked(points: Points) -> list[Finding]:
    if not points.ids or not points.codes or points.level != "elevation":
        return []
    found = find_staked(points.ids, points.codes, points.places[:, 2], set(points.codes))
    if not found:
        return []
    text = (
        f"{count_of(len(found), 'point', 'are')} places to set out, with the elevation of the "
        f"design base: {list_of(found)}. No job takes them for shots."
    )
    return [Finding("set-out", text)]


def _check_ids(points: Points) -> list[Finding]:
    at: defaultdict[str, list[int]] = defaultdict(list)
    for row, name in enumerate(points.ids):
        if name:
            at[name].append(row)
    twice = {name: rows for name, rows in at.items() if len(rows) > 1}
    if not twice:
        return []
    shown = [
        f"{show(name)} (lines {list_of([str(points.lines[row]) for row in rows])})"
        for name, rows in twice.items()
    ]
    text = (
        f"{count_of(len(twice), 'id', 'stand')} for more than one shot: "
        f"{list_of(shown)}. All are kept; renumber them, or nobody can say which one is meant."
    )
    return [
        points.point_out("duplicate-ids", text, [row for rows in twice.values() for row in rows])
    ]


def _check_same_place(points: Points) -> list[Finding]:
    from scipy.spatial import cKDTree  # noqa: PLC0415

    plan = points.places[:, :2] - np.floor(points.places[:, :2].min(axis=0))
    if points.codes:  # a corner and the form over it are no two shots of one thing
        words = [code.casefold().split() for code in points.codes]
        things = [word[0].rstrip("0123456789") if word else "" for word in words]
        apart = np.unique(things, return_inverse=True)[1] * (1 + np.ptp(plan))
        plan = np.column_stack([plan, apart])
    away, near = cKDTree(plan).query(plan, 2)
    # the nearest of a point among several at its place may be itself: the other column is not
    itself = np.arange(len(plan))
    other = np.where(near[:, 0] == itself, near[:, 1], near[:, 0])
    reach = points.own(SAME_PLACE, 0.0) * (1 + 1e-6)
    rows = np.flatnonzero(away[:, 1] <= reach)
    if len(rows) == 0:
        return []
    level = points.places[:, 2]
    pairs = {tuple(sorted((int(row), int(other[row])))) for row in rows}
    shown = [
        f"{points.name(one)} and {points.name(two)} ({points.say(abs(level[one] - level[two]))})"
        for one, two in sorted(pairs)
    ]
    text = (
        f"{count_of(len(rows), 'shot')} share their place with another; their {points.level}s "
        f"differ: {list_of(shown)}. Shots at one place count as one, at their mean: leave out "
        "what a recheck has replaced."
    )
    return [points.point_out("same-place", text, rows)]


def _check_degrees(points: Points) -> list[Finding]:
    if not looks_like_degrees(points):
        return []
    e, n = points.places[0, :2]
    text = (
        f"The coordinates look like degrees of longitude and latitude ({e:.6f}, {n:.6f}), not "
        "distances east and north. Export them in site or projected coordinates."
    )
    return [Finding("looks-like-degrees", text)]


def _check_far_in_plan(points: Points) -> list[Finding]:
    rows = list(map(int, np.flatnonzero(is_far_in_plan(points))))
    if not rows:
        return []
    east, north = points.digits[:2]
    shown = [
        f"{points.name_with_code(row)} at E {points.places[row, 0]:.{east}f}, "
        f"N {points.places[row, 1]:.{north}f}"
        for row in rows
    ]
    is_zero = (points.places[rows, :2] == 0).any()
    zero = " A coordinate of exactly 0 was probably never measured." if is_zero else ""
    text = (
        f"{count_of(len(rows), 'shot', 'lie')} far from all others: "
        f"{list_of(shown)}.{zero} A control point belongs in a file of its own; else look for a "
        "wrong digit."
    )
    return [points.point_out("far-in-plan", text, rows)]


def _check_one_line(points: Points) -> list[Finding]:
    plan = points.places[:, :2] - points.places[:, :2].mean(axis=0)
    sizes = np.linalg.svd(plan, compute_uv=False) / np.sqrt(len(plan))
    if sizes[1] > max(1e-6 * sizes[0], points.own(SAME_PLACE, 0.0)):
        return []
    where = "one line" if sizes[0] > points.own(SAME_PLACE, 0.0) else "one place"
    text = f"All shots lie on {where}: they make no surface. Are two columns the same?"
    return [Finding("one-line", text)]


def check_codes(points: Points) -> Iterator[Finding]:
    """Descriptions that took in a number, or differ only by capitals or blanks."""
    alike: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for code in points.codes:
        if code:
            alike["".join(code.split()).casefold()][code] += 1
    moved = [row for row, code in enumerate(points.codes) if _begins_with_number(code)]
    if moved:
        named = [f"{show(points.codes[row])!r} (line {points.lines[row]})" for row in moved]
        text = (
            f"{count_of(len(moved), 'description', 'begin')} with a number: "
            f"{list_of(named)}. A comma too many earlier in the row has moved its numbers."
        )
        yield points.point_out("description-with-number", text, moved)
    several = [names for names in alike.values() if len(names) > 1]
    if not several:
        return
    shown = [
        list_of([f"{show(name)!r} ({count:,})" for name, count in names.most_common()])
        for names in several
    ]
    text = (
        f"Codes differ only by capitals or blanks: {'; '.join(shown)}. A job's patterns take "
        "capitals and small letters as one, but not blanks."
    )
    yield Finding("codes-alike", text)


def _begins_with_number(code: str) -> bool:
    first, comma, _ = code.partition(",")
    return bool(comma) and is_number_like(first)
