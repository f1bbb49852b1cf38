"""The factor that a job begins with: its allowances, and what earlier jobs have shown."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.files.learned import PastJob, read_factors
from gradevol.files.opened import Files
from gradevol.job import Job
from gradevol.job.terms import Terms
from gradevol.plan.order.need import ALLOWANCE_DOUBT

#: One standard deviation of the factor where a job gives no allowance, or 0. A judgement, no
#: source.
_UNSTATED = 0.02
#: Factors of one firm's jobs differ from one another by about this, one standard deviation: the
#: scale of what is expected of that before any job is known. A judgement, no source.
_BETWEEN = 0.01
_SPREADS = np.linspace(0.0005, 0.08, 160)


@dataclass(frozen=True, slots=True)
class Expected:
    """
    The factor that is expected.

    Attributes
    ----------
    stated : float
        What the allowances alone come to.
    is_stated : bool
        Whether the job gives any.
    jobs : int
        Earlier jobs that it rests on besides.
    share : float
        How much of the way from the allowances to the mean of those jobs it has gone, 0 to 1.
    """

    mean: float
    sigma: float
    stated: float
    is_stated: bool
    jobs: int = 0
    share: float = 0.0


def learn_factor(job: Job, files: Files | None = None) -> Expected:
    """
    Expect a job's factor: by its allowances and, where it names a file of earlier jobs, by these.

    Raises
    ------
    InputError
        If that file can't be used.
    """
    terms = job.order or Terms()
    if terms.learned is None:
        return expect_factor(terms)
    own = (job.name, job.own_title)  # it does not learn from itself
    past = [each for each in read_factors(terms.learned, files) if not each.is_one_with(*own)]
    return expect_factor(terms, past)


def expect_factor(terms: Terms, past: Sequence[PastJob] = ()) -> Expected:
    """
    Expect a factor.

    Notes
    -----
    Factors of jobs lie about a mean of the firm's with a spread between jobs; the mean lies about
    the allowances as far as those are relied on. Given the spread all is normal, and the next job's
    factor has a closed form; the spread itself is summed over on a grid, weighed by how likely it
    makes the jobs and by a half-Cauchy distribution before them.
    """
    shares = (terms.waste or 0.0) + (terms.settlement or 0.0) + (terms.yield_short or 0.0)
    stated = 1 + shares
    own = terms.sigma if terms.sigma is not None else ALLOWANCE_DOUBT * shares
    sigma = own if own > 0 else _UNSTATED
    if not past:
        return Expected(stated, sigma, stated, bool(shares))
    seen = np.array([job.factor for job in past])
    known = np.array([job.sigma for job in past]) ** 2
    logs, means, variances = [], [], []
    for spread in _SPREADS:
        inner = 1 / (known + spread**2)
        pooled = 1 / (inner.sum() + 1 / sigma**2)
        mean = pooled * ((inner * seen).sum() + stated / sigma**2)
        cov = np.diag(known + spread**2) + sigma**2
        off = seen - stated
        sign = np.linalg.slogdet(cov)[1]
        logs.append(
            -0.5 * (sign + off @ np.linalg.solve(cov, off)) - math.log1p((spread / _BETWEEN) ** 2)
        )
        means.append(mean)
        variances.append(pooled + spread**2)
    weight = np.exp(np.array(logs) - max(logs))
    weight /= weight.sum()
    middle = float(weight @ means)
    variance = float(weight @ (np.array(variances) + (np.array(means) - middle) ** 2))
    average = float((seen / known).sum() / (1 / known).sum())
    gap = average - stated
    share = min(max((middle - stated) / gap, 0.0), 1.0) if abs(gap) > 1e-9 else 1.0
    return Expected(middle, math.sqrt(variance), stated, bool(shares), len(past), share)
