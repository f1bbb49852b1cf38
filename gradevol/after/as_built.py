"""The slab as built: thickness under the finished top, and what cores are held against."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gradevol.after.cores import Correction, Predicted
from gradevol.after.errors import FOOT, INSTRUMENT, Cause
from gradevol.after.finished import Finished
from gradevol.after.ground import Ground
from gradevol.measures.acceptance import Acceptance
from gradevol.measures.spots import Spots, find_thin
from gradevol.measures.thickness import Moments, measure_thickness
from gradevol.uncertainty.thin_risk import Hidden, study_hidden


@dataclass(frozen=True, slots=True)
class Held:
    """
    An acceptance test, and whether the cores that were taken keep it.

    Attributes
    ----------
    wanted : int
        Samples that it asks for.
    has_failed : bool
        Of the samples taken, be they fewer than it asks for.
    """

    test: Acceptance
    wanted: int
    taken: int
    has_failed: bool


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """
    The slab as built.

    Attributes
    ----------
    finished : Finished or None
        None where nobody shot the top: then there are cores alone.
    held : tuple of Held
        Tests that the measured cores were held against; empty without any.
    hidden : Hidden or None
        Thin concrete to be expected, and what cores at random places would find; None without
        shots on the top, where the base's tell too little, or of a part of the slab.
    moved : float or None
        What the cores add to the mean thickness, m; None without measured ones.
    moved_sigma : float or None
        One standard deviation of the mean thickness after it, m.
    are_cores_credible : bool
        Whether measured cores are as near to what was predicted as cores are; if not, they move
        nothing.
    """

    finished: Finished | None
    thickness: Moments | None
    thin: Spots | None
    cores: tuple[Predicted, ...] = ()
    held: tuple[Held, ...] = ()
    hidden: Hidden | None = None
    moved: float | None = None
    moved_sigma: float | None = None
    are_cores_credible: bool = True


def look_at(
    ground: Ground,
    finished: Finished | None,
    predicted: tuple[Predicted, ...],
    tests: Sequence[Acceptance],
    *,
    causes: tuple[Cause, ...],
    correction: Correction,
) -> AsBuilt | None:
    """
    Look at the slab as built.

    Parameters
    ----------
    ground : Ground
    finished : Finished or None
    predicted : tuple of Predicted
        Cores.
    tests : sequence of Acceptance
    causes : tuple of Cause
        Of what makes base and top unsure.
    correction : Correction
        What measured cores tell.

    Returns
    -------
    AsBuilt or None
        None where neither its top nor a core is known.
    """
    if finished is None and not predicted:
        return None
    slab, doubt = ground.slab, ground.survey.doubt_by_place()
    is_moved = correction.count > 0 and correction.is_credible
    lengths = np.array([each.core.length for each in predicted if each.core.length is not None])
    return AsBuilt(
        finished=finished,
        thickness=measure_thickness(finished.field) if finished else None,
        thin=find_thin(finished.field, slab, doubt=doubt) if finished else None,
        cores=predicted,
        held=tuple(
            Held(
                test,
                test.count_samples(ground.area),
                len(lengths),
                bool(test.find_failed(lengths[None], slab.thickness)[0]),
            )
            for test in (tests if len(lengths) else ())
        ),
        hidden=_expect(ground, finished, causes, tests),
        moved=float(correction.moved.sum()) / ground.area if is_moved else None,
        moved_sigma=float(np.sqrt(correction.covariance.sum())) / ground.area if is_moved else None,
        are_cores_credible=correction.is_credible,
    )


def _expect(
    ground: Ground,
    finished: Finished | None,
    causes: tuple[Cause, ...],
    tests: Sequence[Acceptance],
) -> Hidden | None:
    """Say how much of the slab as built is likely to be thin."""
    if finished is None or ground.zone is not None:
        return None
    shared = sum((each.base + each.top) ** 2 for each in causes if each.kind in (INSTRUMENT, FOOT))
    return study_hidden(
        ground.between,
        finished.field,
        ground.slab,
        ground.survey,
        replace(ground.interval, datum=float(np.sqrt(shared)), top=finished.random),
        tests=tests,
        over=finished.surface.corners,
    )
