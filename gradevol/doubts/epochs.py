"""Rechecks that stand off the first shots by one step, or beside one that they ought to replace."""

import numpy as np

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.spread import robust_spread
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import first_of, list_of
from gradevol.site.rechecks import Epochs
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface, merge_shots
from gradevol.site.thickening import drawn_depth
from gradevol.site.top import Top

#: Later shots that are off the first base by more than this, m, and by so many times what they
#: differ in, are off by one step. Common practice, no source.
LEAST_STEP, STEP_TIMES = 0.01, 3.0
#: One that is off their step by so many times that does not share it. Common practice, no source.
APART_TIMES = 4.5
#: Fewer later shots say nothing.
LEAST_SHOTS = 4
#: A crew that means to shoot one place again stands within this of it, m: 8 in (common practice, no
#: source).
_SHOT_AGAIN = 0.2


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


def remark_on_outlived(epochs: Epochs | None, slab: Slab, top: Top) -> tuple[Note, ...]:
    """
    Remark on earlier shots that still count beside a later one of the same place, and differ.

    Returns
    -------
    tuple of Note
        Code ``rechecks-beside``: a first shot that no radius reached, or one of an earlier round.
    """
    if epochs is None:
        return ()
    from scipy.spatial import cKDTree  # noqa: PLC0415

    survey, plan = epochs.survey, epochs.survey.points[:, :2]
    pairs = cKDTree(plan).query_pairs(_SHOT_AGAIN, output_type="ndarray")
    # the later of two stands after the other, as do its rounds in the order of their files
    pairs = np.unique(np.sort(pairs, axis=1), axis=0)
    pairs = pairs[pairs[:, 1] >= epochs.later[0]]
    sunk = drawn_depth(slab, plan, of=["yes", "departure"])
    off = survey.points[:, 2] - nearest_level(top.surface.corners, plan) + sunk
    apart = np.abs(np.diff(off[pairs])[:, 0])
    # three standard deviations of a difference, as of shots at one place
    is_told = apart > max(3 * np.sqrt(2) * survey.sigma, 0.001)
    is_told &= np.hypot(*np.diff(plan[pairs], axis=1)[:, 0].T) > 0.001
    if not is_told.any():
        return ()
    pairs, apart = pairs[is_told], apart[is_told]
    names = [[escape(survey.name(int(index))) for index in pair] for pair in pairs]
    is_first = pairs[:, 0] < epochs.later[0]  # which alone a radius retires
    text = (
        "Earlier shots still count beside later ones of the same place, and differ by up to {}: "
        f"{first_of([f'{old} beside {new}' for old, new in names])}. If the base was worked on in "
        "between, they tell of ground that is gone: "
        f"{'give base.rechecks a larger radius or outline, or ' * bool(is_first.any())}"
        "take the earlier ones out of their file."
    )
    if not is_first.all():
        text += " If both are of one round and the base steps there, that is fine."
    points = tuple(dict.fromkeys(survey.name(int(index)) for index in pairs[:, 0]))
    worst = (Measure(float(apart.max()), Kind.LEVEL),)
    return (Note("rechecks-beside", text, worst, points=points[:20]),)
