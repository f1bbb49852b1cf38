"""Depths and voids that no slab has."""

import numpy as np

from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.job import Job
from gradevol.measures.concrete import Concrete
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

#: No base is measured so far down from a string line, and no thickening reaches so far below its
#: slab, m: twice the thickest slab that is taken. Common practice, no source.
DEEPEST = 10.0


def refuse_depths(job: Job, survey: Survey, slab: Slab) -> None:
    """
    Refuse a depth that no tape reaches down from a string line, and one of a thickening.

    Raises
    ------
    InputError
        It names the place.
    """
    for part in slab.thickenings:
        if part.depth > DEEPEST:
            raise InputError(
                f"{part.name} reaches {{}} below the slab's underside, and no thickening is as "
                "deep",
                remedy="Write its depth with its unit, or check units",
                path=job.path,
            ).measuring(Measure(part.depth, Kind.LEVEL))
    if survey.depths is None or len(survey.depths) == 0:
        return
    worst = int(np.argmax(np.abs(survey.depths)))
    depth = float(survey.depths[worst])
    if abs(depth) > DEEPEST:
        named = f" at {survey.ids[worst]}" if survey.ids else ""
        raise InputError(
            f"the depth{named} is {{}}, and no slab is as thick",
            remedy="Look for a slip of the decimal point, and check base.units",
            path=job.path,
        ).measuring(Measure(depth, Kind.LEVEL))


def refuse_voids(job: Job, concrete: Concrete, slab: Slab) -> None:
    """
    Refuse voids that take more than there is, as measured: a negative volume is no answer.

    Raises
    ------
    InputError
    """
    if concrete.volume >= 0:
        return
    deepest = max((part.depth for part in slab.thickenings), default=0.0)
    drawn = slab.area * (slab.thickness + deepest)
    held = concrete.slab + concrete.thickenings
    remedy = 'Write their sizes with their units, such as diameter = "4 in"'
    if concrete.voids <= drawn:
        remedy += ", and look whether the base stands too high: as drawn there is room for them"
    raise InputError(
        "the voids ([[void]]) take {} of concrete, and the slab has {} without them",
        remedy=remedy,
        path=job.path,
    ).measuring(Measure(concrete.voids, Kind.VOLUME), Measure(held, Kind.VOLUME))
