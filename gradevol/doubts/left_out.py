"""Shots that their description leaves out, and that stand on the base all the same."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.files import Files, read_shots
from gradevol.files.names import is_wanted
from gradevol.files.sources import BaseSource, Shots
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.errors import GradevolError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of, verb_of
from gradevol.measures.base import BaseSurface
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

#: No farther from the base than this is on it, m. Common practice, no source.
_ON = 0.03
#: A description of which so many shots, and most, stand off the base is none of the base.
_LEAST, _MOST_ON = 3, 0.2
#: More shots than this are not held against their descriptions: their text is let go of.
MOST = 5_000


def remark_on_left_out(
    source: BaseSource, survey: Survey, base: BaseSurface, slab: Slab, files: Files
) -> tuple[Note, ...]:
    """
    Remark on shots that are left out by a description whose other shots stand off the base.

    Returns
    -------
    tuple of Note
        Code ``code-of-base``: a shot among those of the forms that stands as low as the base.
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
    inside = np.flatnonzero(shapely.intersects_xy(slab.outline, places[:, 0], places[:, 1]))
    left = [at for at in inside.tolist() if not is_wanted(every.codes[at], source.codes)]
    if not left:
        return ()
    codes = np.array([every.codes[at] for at in left], str)
    off = places[left, 2] - nearest_level(base.surface.corners, places[left, :2])
    notes = []
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
        notes.append(Note("code-of-base", escape(text), points=names[:20]))
    return tuple(notes)
