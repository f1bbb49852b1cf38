"""Control shots that leave the others, and what a cloud's shift would be without them."""

import numpy as np

from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import verb_of
from gradevol.site.slab import Slab
from gradevol.site.survey import Alone, Survey

#: A control shot is doubtful where it leaves the middle of at least so many by this many robust
#: standard deviations, and by this, m. Common practice, no source.
_ENOUGH = 4
_LIMIT = 4.5
_NO_NOISE = 0.03
#: One that leaves the others by less is told where they agree to this, m, or so many times better,
#: and the volume hangs on it by this share. Common practice, no source.
_AGREE = 0.002
_MOVED = 0.01


def note_doubtful(difference: FloatArray, control: Survey) -> list[Note]:
    """
    Note the few shots that leave the others: a mean with them in it is no shift of the cloud.

    Parameters
    ----------
    difference : (n,) array of float
        Control less cloud, m; not-a-number off it.
    control : Survey

    Returns
    -------
    list of Note
        Code ``control-doubtful``.
    """
    on, left = _leave_middle(difference)
    far = np.abs(left) > max(_LIMIT * robust_spread(left), _NO_NOISE)
    if len(on) < _ENOUGH or not far.any():
        return []
    names = [control.name(int(index)) for index in on[far]]
    said = ", ".join(f"{escape(name)} by {{}}" for name in names)
    text = (
        f"Of {len(on)} control shots {len(names)} {verb_of(len(names), 'disagree')} with the "
        f"others: {said}. Look for a misread or another bench mark before you rely on the scan's "
        "shift: they are in its average."
    )
    places = tuple((float(e), float(n)) for e, n in control.points[on[far], :2])
    measures = tuple(Measure(float(value), Kind.LEVEL) for value in left[far])
    return [Note("control-doubtful", text, measures, points=tuple(names), places=places)]


def find_alone(difference: FloatArray, control: Survey) -> Alone | None:
    """Find the one shot that leaves all others, which agree; parameters as of `note_doubtful`."""
    on, left = _leave_middle(difference)
    if len(on) < _ENOUGH:
        return None
    at = on[np.argmax(np.abs(left))]
    others = difference[on[on != at]]
    off = float(difference[at] - others.mean())
    if abs(off) <= _LIMIT * max(float(others.std(ddof=1)), _AGREE):
        return None
    east, north = control.points[at, :2].tolist()
    return Alone(control.name(int(at)), (east, north), -off / len(on))


def _leave_middle(difference: FloatArray) -> tuple[IntArray, FloatArray]:
    """Which shots lie on the cloud, and how far each leaves the middle of them, m."""
    on = np.flatnonzero(np.isfinite(difference))
    return on, difference[on] - np.median(difference[on])


def remark_on_control(survey: Survey, slab: Slab, volume: float) -> tuple[Note, ...]:
    """
    Remark on one control shot on which the volume hangs.

    Returns
    -------
    tuple of Note
        Code ``control-hangs-on-one``.
    """
    if survey.shift is None or not survey.shift.is_applied or (alone := survey.shift.alone) is None:
        return ()
    change = -alone.shift * slab.area
    if abs(change) <= _MOVED * volume:
        return ()
    text = (
        f"Control shot {escape(alone.name)} leaves the others, which agree. Without it the cloud "
        f"would stand {{}} {'higher' if alone.shift > 0 else 'lower'}, and the slab take {{}} "
        f"{'more' if change > 0 else 'less'}: shoot it again."
    )
    measures = (Measure(abs(alone.shift), Kind.LEVEL), Measure(abs(change), Kind.VOLUME))
    return (
        Note("control-hangs-on-one", text, measures, points=(alone.name,), places=(alone.place,)),
    )
