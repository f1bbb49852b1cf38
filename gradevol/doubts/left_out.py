"""Shots that their description leaves out: on the base all the same, or on forms off the top."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from gradevol.files import Files, read_shots
from gradevol.files.names import is_of_forms, is_wanted
from gradevol.files.sources import BaseSource, Shots
from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.spread import spread_about_median
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GradevolError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import count_of, first_of, verb_of
from gradevol.measures.base import BaseSurface
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.survey import Survey

#: No farther from the base than this is on it, m. Common practice, no source.
_ON = 0.03
#: A description of which so many shots, and most, stand off the base is none of the base.
_LEAST, _MOST_ON = 3, 0.2
#: Shots on forms are nearer to the slab's edge than this, m. So many tell where they stand off the
#: top by more than this, m, and by three standard errors. Common practice, no source.
_BESIDE, _FEWEST, _OFF = 0.3, 3, 0.012
#: More shots than this are not held against their descriptions: their text is let go of.
MOST = 5_000


def remark_on_left_out(
    source: BaseSource,
    survey: Survey,
    base: BaseSurface,
    slab: Slab,
    files: Files,
    *,
    top: Surface,
) -> tuple[Note, ...]:
    """
    Remark on shots that are left out by a description, and what they say of base and top.

    Returns
    -------
    tuple of Note
        Code ``code-of-base``: a shot among those of the forms that stands as low as the base; and
        ``forms-off-top``: the forms stand off the design top, all by about the same.
    """
    if not isinstance(source, Shots) or not source.codes or len(survey.ids) > MOST:
        return ()
    try:
        every = read_shots(replace(source, codes=()), files)
    except GradevolError:  # what is left out need be no shot
        return ()
    if not every.codes:
        return ()
    places = every.points + (every.origin - survey.origin)
    return (
        *_find_base(source, every, places, base, slab),
        *_compare_forms(source, every, places, slab, top),
    )


def _find_base(
    source: Shots, every: Survey, places: FloatArray, base: BaseSurface, slab: Slab
) -> Iterator[Note]:
    inside = np.flatnonzero(shapely.intersects_xy(slab.outline, places[:, 0], places[:, 1]))
    left = [at for at in inside.tolist() if not is_wanted(every.codes[at], source.codes)]
    if not left:
        return
    codes = np.array([every.codes[at] for at in left], str)
    off = places[left, 2] - nearest_level(base.surface.corners, places[left, :2])
    for code in dict.fromkeys(codes.tolist()):
        own = codes == code
        is_on = own & (np.abs(off) < _ON)
        is_off = own & (np.abs(off) > slab.thickness / 2)
        if not 0 < is_on.sum() <= _MOST_ON * own.sum() or is_off.sum() < max(
            _LEAST, own.sum() - is_on.sum()
        ):
            continue
        names = tuple(every.name(left[at]) for at in np.flatnonzero(is_on))
        text = (
            f"{count_of(len(names), 'shot')} {verb_of(len(names), 'stand')} on the base, but "
            f"{verb_of(len(names), 'are')} left out as {code} ({first_of(names, 6)}), and all "
            f"other {code} shots are well off it: is the description right?"
        )
        yield Note("code-of-base", escape(text), points=names[:20])


def _compare_forms(
    source: Shots, every: Survey, places: FloatArray, slab: Slab, top: Surface
) -> list[Note]:
    """Hold shots on the forms against the top: the slab is struck off to where they stand."""
    away = shapely.distance(slab.outline.boundary, shapely.points(places[:, :2]))
    forms = [
        at
        for at in np.flatnonzero(away < _BESIDE).tolist()
        if is_of_forms(every.codes[at]) and not is_wanted(every.codes[at], source.codes)
    ]
    if len(forms) < _FEWEST:
        return []
    over = places[forms, 2] - nearest_level(top.corners, places[forms, :2])
    step, error = float(np.median(over)), spread_about_median(over) / len(over) ** 0.5
    if abs(step) < max(_OFF, 3 * error):
        return []
    text = (
        f"{count_of(len(forms), 'shot')} on the forms {verb_of(len(forms), 'stand')} {{}} "
        f"{'above' if step > 0 else 'below'} the drawn top, which is {{}} "
        f"{'more' if step > 0 else 'less'} concrete than said here: check bench mark, "
        "instrument height and top before you cut or order. If they are right, the forms are off "
        "the drawing: set them, or draw the top as they stand."
    )
    measures = (Measure(abs(step), Kind.LEVEL), Measure(abs(step) * slab.area, Kind.VOLUME))
    names = tuple(every.name(at) for at in forms[:20])
    return [Note("forms-off-top", text, measures, points=names)]
