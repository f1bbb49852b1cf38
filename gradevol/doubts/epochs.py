"""Rechecks that stand off the first shots by one step: two instrument heights, not one rework."""

import numpy as np

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.spread import robust_spread
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import list_of
from gradevol.site.rechecks import Epochs
from gradevol.site.surface import build_surface, merge_shots

#: Later shots that are off the first base by more than this, m, and by so many times what they
#: differ in, are off by one step. Common practice, no source.
LEAST_STEP, STEP_TIMES = 0.01, 3.0
#: One that is off their step by so many times that does not share it. Common practice, no source.
APART_TIMES = 4.5
#: Fewer later shots say nothing.
LEAST_SHOTS = 4


def remark_on_epochs(epochs: Epochs | None) -> tuple[Note, ...]:
    """
    Remark on later shots that are all off the first by about the same.

    Returns
    -------
    tuple of Note
        Code ``epochs-step``, with the few that do not share the step.
    """
    if epochs is None or len(epochs.later) < LEAST_SHOTS:
        return ()
    later = epochs.survey.points[epochs.later]
    try:
        before = build_surface(merge_shots(epochs.first)[0])
    except GeometryError:
        return ()
    off = later[:, 2] - nearest_level(before.corners, later[:, :2])
    step = float(np.median(off))
    spread = robust_spread(off - step)
    if abs(step) < max(LEAST_STEP, STEP_TIMES * max(spread, epochs.survey.sigma)):
        return ()
    left = off - step
    apart = np.abs(left) > max(LEAST_STEP, APART_TIMES * max(spread, epochs.survey.sigma))
    names = tuple(epochs.survey.name(int(index)) for index in epochs.later[apart])
    text = (
        f"The later shots stand {{}} {'above' if step > 0 else 'below'} the first base, "
        f"{'nearly ' if names else ''}all by about the same: was it all cut or filled alike, "
        "or were they taken from another instrument height or bench mark? "
        "Compare them on ground that nobody touched."
    )
    if names:
        said = [
            f"{escape(name)} ({{}} {'above' if up > 0 else 'below'} that)"
            for name, up in zip(names, left[apart], strict=True)
        ]
        text += f" Not so {list_of(said)}: a misread, or a place that was reworked otherwise?"
    measures = tuple(Measure(abs(float(each)), Kind.LEVEL) for each in (step, *left[apart]))
    return (Note("epochs-step", text, measures, points=names),)
