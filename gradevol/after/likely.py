"""What the rows most likely are: weighed by how sure each is, under the condition of their sum."""

from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Rows whose errors are this much tied to one another, or more, can't be told apart.
TIED = -0.3


@dataclass(frozen=True, slots=True)
class Likely:
    """
    Rows after weighing.

    Attributes
    ----------
    volume, sigma : (r,) array of float
        m³.
    correlation : (r, r) array of float
    """

    volume: FloatArray
    sigma: FloatArray
    correlation: FloatArray

    def list_tied(self, row: int) -> list[int]:
        """List the rows that a row can't be told apart from, the closest tied first."""
        tied = np.flatnonzero(self.correlation[row] <= TIED)
        return sorted(
            (number for number in tied.tolist() if number != row),
            key=lambda number: (round(float(self.correlation[row, number]), 9), number),
        )


def weigh_rows(volume: FloatArray, covariance: FloatArray, total: float) -> Likely:
    """
    Weigh rows so that they add up.

    Parameters
    ----------
    volume : (r,) array of float
        As each was found by itself, m³.
    covariance : (r, r) array of float
        Of their errors, m⁶.
    total : float
        What they must add up to, known exactly, m³.

    Notes
    -----
    Least squares with a condition: what is missing is handed out by each row's covariance with the
    sum. Derived here; of two independent rows each gets its share of the variance.
    """
    with_sum = covariance.sum(axis=1)
    whole = float(with_sum.sum())
    missing = total - float(volume.sum())
    gain = with_sum / whole if whole > 0 else np.zeros(len(volume))
    left = covariance - np.outer(gain, with_sum)
    sigma = np.sqrt(np.maximum(np.diag(left), 0.0))
    scale = np.outer(sigma, sigma)
    tie = np.divide(left, scale, out=np.zeros_like(left), where=scale > 1e-18)
    return Likely(volume + gain * missing, sigma, np.clip(tie, -1.0, 1.0))
