"""Acceptance tests: what cores of a finished slab are held against."""

import math
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray

#: Four samples for each 5,000 ft² of floor, m²: voted by the committee of ACI 117 for the edition
#: after that of 2006, read in a secondary source, "Building a lean, mean statistics machine",
#: concreteconstruction.net. That less than 5,000 ft² counts as all of it: no source.
SAMPLES, SAMPLED_AREA = 4, 5000 * 0.3048**2

_SOURCE = (
    "ACI 117-10, section 4.5.4, as K. Basham quotes it, forconstructionpros.com/article/12094593; "
    "the standard itself was not read"
)


@dataclass(frozen=True, slots=True)
class Acceptance:
    """
    What samples of a slab's thickness, taken at random places, must keep.

    Attributes
    ----------
    average : float or None
        How far under the design the average of all samples may be, m.
    single : float or None
        How far under it any single sample may be, m. One of the two is stated, or both.
    over : float or None
        No sample counts for more than this over the design in the average, m; None: as it is.
    samples : int or None
        How many are taken; None: `SAMPLES` for each `SAMPLED_AREA`.
    source : str
        Where the limits stand.
    """

    name: str
    average: float | None = None
    single: float | None = None
    over: float | None = None
    samples: int | None = None
    source: str = "the job"

    def count_samples(self, area: float) -> int:
        """Say how many samples are taken of a slab of an area, m²."""
        return self.samples or SAMPLES * max(1, math.ceil(area / SAMPLED_AREA - 1e-9))

    def find_failed(self, samples: FloatArray, thickness: float) -> BoolArray:
        """
        Find which sets of samples fail.

        Parameters
        ----------
        samples : (s, k) array of float
            Thickness of k samples in each set, m.
        thickness : float
            The design, m.

        Returns
        -------
        (s,) array of bool
        """
        failed = np.zeros(len(samples), bool)
        if self.average is not None:
            most = np.inf if self.over is None else thickness + self.over
            failed |= np.minimum(samples, most).mean(axis=1) < thickness - self.average
        if self.single is not None:
            failed |= samples.min(axis=1) < thickness - self.single
        return failed


#: Held where the job states no tests of its own: 3/8 in and 3/4 in, for slabs on ground. That a
#: sample more than 3/4 in over counts as 3/4 in over in the average is from memory, not read.
PUBLISHED = (
    Acceptance("ACI 117-10 average", average=0.009525, over=0.01905, source=_SOURCE),
    Acceptance("ACI 117-10 single", single=0.01905, source=_SOURCE),
)
