"""Labels of a field sheet's rows and columns: the shots lie where they say."""

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.files.sheets.grid import Grid
from gradevol.files.tables.labels import are_labels, find_worked_out
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import list_of, show

#: Of so many lines one that leaves the middle of the next by this share of what lies between them,
#: three times as much as any other, may have a wrong label where all steps but the outermost are
#: even to this share. Common practice, no source.
_FEWEST_LINES, _UNEVEN, _EVEN = 6, 0.12, 0.25
#: The same beside the first and the last line: the rest of a spacing is not both.
_UNEVEN_BY_END, _EVEN_BY_END = 0.2, 0.15


def check_labels(grid: Grid) -> list[Finding]:
    """Find labels that stand twice, do not go one way, or are of no shots."""
    findings = []
    for what, labels in (("column", grid.columns), ("row", grid.row_labels)):
        twice = sorted({show(label) for label in labels if labels.count(label) > 1})
        if twice:
            text = f"More than one {what} is labelled {list_of(twice)}. Label each {what} once."
            findings.append(Finding("labels-twice", text))
        elif label := find_worked_out(labels):
            text = f"The {what} {show(label)} was worked out, not shot: take it off the sheet."
            findings.append(Finding("line-of-means", text))
        elif not are_labels(labels):
            steps = np.diff(grid.places(labels))
            if not (steps > 0).all() and not (steps < 0).all():
                text = (
                    f"The {what} labels do not go one way: {list_of(list(map(show, labels)))}. "
                    "Look for a wrong digit: each reading lies where its labels say."
                )
                findings.append(Finding("labels-not-in-order", text))
        elif at := _find_uneven(np.array(grid.places(labels))):
            text = (
                f"The {what} labelled {show(labels[at])} is not midway between "
                f"{show(labels[at - 1])} and {show(labels[at + 1])}, and all others nearly are "
                "between theirs. Look for a wrong digit: each reading lies where its labels say."
            )
            findings.append(Finding("label-uneven", text))
    return findings


def _find_uneven(places: FloatArray) -> int:
    """The one line that leaves an even spacing; 0, as of the ends themselves, where none does."""
    if len(places) < _FEWEST_LINES:
        return 0
    left, last = _leave_middle(places), len(places) - 2
    for at in (2 + int(np.argmax(left[1:-1])), 1, last):
        mended = places.copy()
        mended[at] = (places[at - 1] + places[at + 1]) / 2
        # the outermost line may well be nearer, at a form: it counts only beside the one in doubt
        counted = slice(at != 1, None if at == last else -1)
        steps = np.diff(mended)[counted]
        least, even = (_UNEVEN, _EVEN) if 1 < at < last else (_UNEVEN_BY_END, _EVEN_BY_END)
        is_even = np.abs(steps / np.median(steps) - 1).max() < even
        if is_even and left[at - 1] > max(least, 3 * _leave_middle(mended)[counted].max()):
            return at
    return 0


def _leave_middle(places: FloatArray) -> FloatArray:
    """How far lines are from midway between the next, as a share of those; but the ends."""
    off = places[1:-1] - (places[:-2] + places[2:]) / 2
    return np.abs(off / (places[2:] - places[:-2]))
