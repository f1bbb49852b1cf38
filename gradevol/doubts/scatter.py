"""Shots less sure than the tolerances they are held against: what is off may be their scatter."""

from collections.abc import Collection

from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.slab import Slab
from gradevol.site.survey import SURE, Survey

#: A limit nearer than so many standard deviations of a shot is passed by one shot in fifteen, that
#: way alone, on a base without a fault.
_PASSED = 1.5


def remark_on_scatter(survey: Survey, slab: Slab, kinds: Collection[str]) -> tuple[Note, ...]:
    """
    Remark on work that rests on shots less sure than its limit.

    Parameters
    ----------
    survey : Survey
        Of single shots; what the points of a cloud scatter is no spot to begin with.
    slab : Slab
    kinds : collection of str
        Of the places to be worked: ``thin``, ``high``, ``low``.

    Returns
    -------
    tuple of Note
        Code ``fix-list-unsure``, of the closest limit.
    """
    limits = {
        "slab.base_high": slab.base_high if "high" in kinds else None,
        "slab.base_low": slab.base_low if "low" in kinds else None,
        "what slab.least_thickness leaves": (
            slab.thickness - slab.least_thickness if "thin" in kinds else None
        ),
    }
    held = [(size, name) for name, size in limits.items() if size is not None]
    if not survey.ids or not held or min(held)[0] >= _PASSED * survey.sigma:
        return ()
    size, name = min(held)
    text = (
        f"Check the fix list with a level before you shave or fill: a shot may be off by {{}} "
        f"(twice base.sigma), while {name} is {{}}. Its rows may be nothing but that scatter."
    )
    measures = (Measure(SURE * survey.sigma, Kind.THICKNESS), Measure(size, Kind.THICKNESS))
    return (Note("fix-list-unsure", text, measures),)
