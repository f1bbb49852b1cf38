"""Several jobs after their pours as declared data: what ``reconcile_jobs.json`` holds."""

from collections.abc import Sequence
from typing import Annotated, Literal

from gradevol.after.trends import CAUSES, Part, Trend
from gradevol.answer.declared import Count, Kind, Positive, Size, declared
from gradevol.answer.job_account import JobAccount
from gradevol.answer.rounding import SHARE, VOLUME, round_to

_CAUSE = Kind(enum=tuple(CAUSES))


@declared
class PartData:
    """What one cause took on one job."""

    cause: Annotated[
        str,
        _CAUSE,
        "As the rows of an account; `elsewhere` is small pours and what was returned together.",
    ]
    share: Annotated[float, "Of what was drawn; negative where it gave."]
    sigma: Annotated[Size, "One standard deviation."]
    basis: Annotated[str, Kind(enum=("measured", "stated", "assumed", "rest")), "As in an account."]


@declared
class JobData:
    """One job."""

    job: Annotated[str, "Its path, as short as no two are alike."]
    problem: Annotated[
        str | None, "Why it could not be reconciled; absent where it was, and all else then not."
    ] = None
    title: Annotated[str | None, "From the job."] = None
    volume_unit: Annotated[str | None, Kind(enum=("m3", "yd3")), "Of this job's volumes."] = None
    loads: Annotated[Count | None, "Loads that count."] = None
    neat: Annotated[Positive | None, "As drawn."] = None
    ticketed: Annotated[Positive | None, "On the tickets."] = None
    over: Annotated[float | None, Kind(), "Ticketed beyond drawn, a share of drawn."] = None
    parts: Annotated[
        list[PartData] | None, "Where that went: they add up to `over`, but for the last digit."
    ] = None
    whole: Annotated[
        bool | None, "Whether its tickets can be all; where not, no trend rests on it."
    ] = None


@declared
class TrendData:
    """The mean of one cause over the jobs that tell of it."""

    cause: Annotated[str, _CAUSE, "As in `jobs[].parts`."]
    jobs: Annotated[Count, "Jobs that tell of it: measured or on paper, not assumed."]
    mean: Annotated[float, "Share of what was drawn, each job weighing by its own `sigma`."]
    sigma: Annotated[Size, "One standard deviation of that."]
    scatter: Annotated[
        float,
        Kind(minimum=1),
        "How many times as much the jobs differ as their own `sigma` allow, 1 or more; in `sigma`.",
    ]
    real: Annotated[bool, "Whether it is different from nothing: two `sigma` or more from 0."]


@declared
class JobsTree:
    """Several jobs after their pours."""

    schema: Annotated[Literal[1], "1: version of the keys and their meaning."]
    jobs: Annotated[list[JobData], "Those that could not be reconciled last."]
    trends: Annotated[list[TrendData], "Of causes that two jobs or more tell of."]


def compose_jobs_tree(jobs: Sequence[JobAccount], trends: Sequence[Trend]) -> JobsTree:
    """Put jobs and trends into numbers, each rounded once."""
    return JobsTree(
        schema=1,
        jobs=[_compose_job(job) for job in jobs],
        trends=[
            TrendData(
                cause=trend.cause,
                jobs=trend.jobs,
                mean=round_to(trend.mean, SHARE),
                sigma=round_to(trend.sigma, SHARE),
                scatter=round(trend.scatter, SHARE),
                real=trend.is_real,
            )
            for trend in trends
        ],
    )


def _compose_job(job: JobAccount) -> JobData:
    if job.units is None:
        return JobData(job=job.job, problem=job.problem)
    return JobData(
        job=job.job,
        title=job.title,
        volume_unit=job.units.volume,
        loads=job.loads,
        neat=round(job.units.to_volume(job.neat), VOLUME),
        ticketed=round(job.units.to_volume(job.ticketed), VOLUME),
        over=round_to(job.over, SHARE),
        parts=[_compose_part(part) for part in job.parts],
        whole=job.is_whole,
    )


def _compose_part(part: Part) -> PartData:
    return PartData(
        cause=part.cause,
        share=round_to(part.share, SHARE),
        sigma=round_to(part.sigma, SHARE),
        basis=part.basis,
    )
