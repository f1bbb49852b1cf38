"""Kriging: figures of a Gaussian process about a trend, given noisy shots of it."""

from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray


def correlate(distance: FloatArray, reach: float) -> FloatArray:
    """Matérn correlation of smoothness 3/2: (1 + √3 h/ℓ) exp(−√3 h/ℓ) at distances h, m."""
    scaled = np.sqrt(3) / reach * distance
    return (1 + scaled) * np.exp(-scaled)


def correlate_within(radius: FloatArray, reach: float) -> FloatArray:
    r"""Integrate `correlate` outwards: :math:`\int_0^r k(\rho)\,\rho\,d\rho`, m²."""
    scaled = np.sqrt(3) / reach * radius
    return (3 - (scaled**2 + 3 * scaled + 3) * np.exp(-scaled)) * reach**2 / 3


def decay(distance: FloatArray, reach: float) -> FloatArray:
    """Exponential correlation, Matérn of smoothness 1/2: exp(−h/ℓ) at distances h, m."""
    return np.exp(-distance / reach)


def decay_within(radius: FloatArray, reach: float) -> FloatArray:
    r"""Integrate `decay` outwards: :math:`\int_0^r k(\rho)\,\rho\,d\rho`, m²."""
    scaled = radius / reach
    return (1 - (1 + scaled) * np.exp(-scaled)) * reach**2


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Eigenvalues (n,) and eigenvectors (n, n) of a covariance between shots."""

    values: FloatArray
    vectors: FloatArray

    @classmethod
    def of(cls, covariance: FloatArray) -> "Spectrum":
        """Decompose a covariance (n, n); what rounding has made negative is nought."""
        values, vectors = np.linalg.eigh(covariance)
        return cls(np.maximum(values, 0.0), vectors)

    def turn(self, readings: FloatArray, functions: FloatArray) -> "Turned":
        """Turn readings (n,) of the shots, and the trend's functions (n, q) there."""
        return Turned(self.values, self.vectors.T @ readings, self.vectors.T @ functions)


@dataclass(frozen=True, slots=True)
class Turned:
    """
    What is known at shots, turned by the vectors of a spectrum: the same for every noise.

    Attributes
    ----------
    values : (n,) array of float
        The spectrum's.
    readings : (n,) array of float
        The process at the shots, with noise.
    functions : (n, q) array of float
        The trend's functions at the shots.
    """

    values: FloatArray
    readings: FloatArray
    functions: FloatArray


@dataclass(frozen=True, slots=True)
class Target:
    """
    A linear figure of the process that is asked for: its value at a place, or its integral.

    Attributes
    ----------
    trend : (q,) array of float
        The figure of each function of the trend.
    covariance : (n,) array of float
        Of the figure and the process at each shot.
    variance : float
        The figure's own.
    """

    trend: FloatArray
    covariance: FloatArray
    variance: float


def condition(
    asked: FloatArray,
    own: FloatArray,
    turned: Turned,
    *,
    noise: float,
    trend: FloatArray,
    precision: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """
    Describe a process at many places at once, given noisy shots of it.

    Parameters
    ----------
    asked : (m, n) array of float
        Covariance between places and shots, in units of the scale, times the spectrum's vectors:
        the same for every noise.
    own : (m, m) array of float
        Covariance between the places.
    turned : Turned
        The shots, by the spectrum of their covariance without noise.
    noise : float
        Variance of a shot's noise, in units of the scale.
    trend : (m, q) array of float
        The trend's functions at the places.
    precision : (q,) array of float
        What is known of each coefficient beforehand, 1/variance in units of the scale.

    Returns
    -------
    mean : (m,) array of float
    covariance : (m, m) array of float
        In units of the scale, without noise.

    Notes
    -----
    Best linear prediction with the coefficients estimated: Cressie (1993), *Statistics for Spatial
    Data*, section 3.4, from memory; ordinary kriging is one constant trend of precision 0, held to
    printed digits in ``tests/published/test_kriging.py``.
    """
    seen = see(asked, turned, noise=noise, trend=trend, precision=precision)
    root = asked * np.sqrt(seen.shrink)
    known = root @ root.T  # half of the work of two unlike matrices
    return seen.mean, own - known + seen.lacking @ np.linalg.solve(seen.gram, seen.lacking.T)


@dataclass(frozen=True, slots=True)
class Seen:
    """
    What shots tell of a process at places, and of the trend.

    Attributes
    ----------
    mean : (m,) array of float
    shrink : (n,) array of float
        One over the variance of each turned reading.
    held : (n, q) array of float
        The trend's functions at the shots, turned and shrunk.
    lacking : (m, q) array of float
        What of the trend's functions at the places the shots do not hold.
    gram : (q, q) array of float
        Precision of the trend's coefficients.
    """

    mean: FloatArray
    shrink: FloatArray
    held: FloatArray
    lacking: FloatArray
    gram: FloatArray


def see(
    asked: FloatArray,
    turned: Turned,
    *,
    noise: float,
    trend: FloatArray,
    precision: FloatArray,
) -> Seen:
    """Find what `condition` is made of, from what it takes; `own` is not needed."""
    shrink = 1 / (turned.values + noise)
    held = shrink[:, None] * turned.functions
    gram = turned.functions.T @ held + np.diag(precision)
    coefficients = np.linalg.solve(gram, held.T @ turned.readings)
    lacking = trend - asked @ held
    mean = asked @ (shrink * turned.readings) + lacking @ coefficients
    return Seen(mean, shrink, held, lacking, gram)
