"""Rechecks: shots taken after the base was reworked retire the old ones around them."""

from dataclasses import dataclass, replace

import numpy as np
import shapely

from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import verb_of
from gradevol.site.survey import Survey


@dataclass(frozen=True, slots=True)
class Epochs:
    """
    A survey whose reworked part was shot again.

    Attributes
    ----------
    survey : Survey
        The shots that count: what was not retired, and the later ones.
    first : Survey
        The first epoch, whole, about the same origin.
    retired : (r,) array of int
        Shots of `first` that no longer count.
    later : (k,) array of int
        Shots of `survey` that are rechecks.
    """

    survey: Survey
    first: Survey
    retired: IntArray
    later: IntArray


def apply_rechecks(
    first: Survey, later: Survey, *, radius: float | None = None, outline: FloatArray | None = None
) -> Epochs:
    """
    Retire old shots around later ones, or within an outline.

    Parameters
    ----------
    first, later : Survey
        Before and after the base was reworked.
    radius : float, optional
        Old shots nearer than this to a later one are retired, m.
    outline : (m, 2) array of float, optional
        Old shots within it are retired; about the first survey's origin, m.

    Raises
    ------
    GeometryError
        If no old shot is near the later ones: they would stand beside what they replace; or if
        the later ones are the first once more.
    """
    later = later.about(first.origin)
    if _are_among(later.points, first.points):
        raise GeometryError(
            "Every shot of base.rechecks stands among the first shots too, at the same elevation: "
            "name the file of the later shots."
        )
    is_old = _is_reworked(first.points, later.points, radius, outline)
    if not is_old.any():
        raise GeometryError(
            "base.rechecks retires no shot: the later shots are not near any of the first. Check "
            "their coordinates, or give a larger radius."
        )
    if is_old.all() and not _make_surface(later.points):
        raise GeometryError(
            f"base.rechecks retires all {len(is_old)} first shots, and the {len(later.points)} "
            "later ones alone make no surface: give a smaller radius or outline, in the job's unit."
        )
    kept = np.flatnonzero(~is_old)
    joined = _join(first, kept, later)
    names = tuple(first.name(int(index)) for index in np.flatnonzero(is_old))
    note = Note(
        "rechecks-applied",
        f"{len(later.points)} later shots replace {len(names)} of the first: "
        f"{escape(', '.join(names[:20]))}{' and more' if len(names) > 20 else ''}.",
        points=names,
    )
    return Epochs(
        survey=replace(
            joined,
            notes=(
                *first.notes,
                *later.notes,
                note,
                *_note_outside(later, outline),
                *_note_same_ids(first, kept, later),
            ),
        ),
        first=first,
        retired=np.flatnonzero(is_old),
        later=np.arange(len(kept), len(joined.points)),
    )


def _make_surface(points: FloatArray) -> bool:
    """Whether points lie on no one line, to a millimetre."""
    plan = points[:, :2] - points[:, :2].mean(axis=0)
    return len(plan) > 2 and float(np.linalg.svd(plan, compute_uv=False)[-1]) > 0.001


def _are_among(points: FloatArray, others: FloatArray) -> bool:
    """Whether each of some points is one of others, to a tenth of a millimetre."""
    known = {tuple(row) for row in np.round(others, 4).tolist()}
    return all(tuple(row) in known for row in np.round(points, 4).tolist())


def _note_outside(later: Survey, outline: FloatArray | None) -> list[Note]:
    """Note later shots outside of the outline, which stand beside the old ones there."""
    if outline is None:
        return []
    area = shapely.Polygon(outline)
    outside = np.flatnonzero(~shapely.intersects_xy(area, *later.points[:, :2].T))
    if len(outside) == 0:
        return []
    names = tuple(later.name(int(index)) for index in outside)
    text = (
        f"{len(names)} of the later shots {verb_of(len(names), 'lie')} outside of "
        "base.rechecks.outline, where the first shots were kept beside them: "
        f"{escape(', '.join(names[:20]))}{' and more' if len(names) > 20 else ''}. Draw the "
        "outline around all that was reworked."
    )
    return [Note("rechecks-outside", text, points=names[:20])]


def _note_same_ids(first: Survey, kept: IntArray, later: Survey) -> list[Note]:
    """Note ids that stand for a later shot and for a first one that still counts."""
    if not first.ids or not later.ids:
        return []
    both = sorted({first.name(int(index)) for index in kept} & set(later.ids))
    if not both:
        return []
    more = " and more" if len(both) > 20 else ""
    text = (
        "Point ids stand for a later shot and for a first one that was kept: "
        f"{escape(', '.join(both[:20]))}{more}. Where the answer names one, look at its place."
    )
    return [Note("duplicate-ids", text, points=tuple(both[:20]))]


def _is_reworked(
    old: FloatArray, new: FloatArray, radius: float | None, outline: FloatArray | None
) -> BoolArray:
    if outline is not None:
        area = shapely.Polygon(outline)
        return shapely.intersects_xy(area, old[:, 0], old[:, 1])
    if radius is None:
        raise ValueError("rechecks need a radius or an outline")
    return shapely.dwithin(shapely.points(old[:, :2]), shapely.MultiPoint(new[:, :2]), radius)


def _join(first: Survey, kept: IntArray, later: Survey) -> Survey:
    """One survey of kept and later shots; a column that one of them lacks is blank there."""

    def column(name: str) -> tuple[str, ...]:
        old, new = getattr(first, name), getattr(later, name)
        if not old and not new:
            return ()
        old = old or ("",) * len(first.points)
        return (*(old[index] for index in kept), *(new or ("",) * len(later.points)))

    # digits of a rod reading and of an elevation are not looked at as one
    is_alike = first.is_read_down == later.is_read_down
    return replace(
        first,
        points=np.concatenate([first.points[kept], later.points]),
        ids=column("ids"),
        codes=column("codes"),
        setups=column("setups"),
        misclosures={**first.misclosures, **later.misclosures},
        readings=column("readings") if is_alike else (),
    )
