"""Several jobs after their pours: a table of where their concrete went, and what comes back."""

from collections.abc import Iterator, Mapping, Sequence

from gradevol.after.trends import CAUSES, Part, Trend
from gradevol.answer.job_account import JobAccount
from gradevol.answer.said.account import LABELS
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import count_of

#: Jobs differ more than they should from so many times on what each is unsure by.
_SCATTERS = 1.5
#: What a cause is called at the head of a column.
HEADS = {
    "base": "base",
    "top": "top",
    "edges": "forms",
    "spill": "waste",
    "elsewhere": "else",
    "yield": "yield",
    "unresolved": "unres.",
}
#: What the figures of the table are.
SHARES = "In % of what was drawn; in brackets what is assumed, not found out."
TABLE = (
    *("job", "title", "loads", "volume_unit", "drawn", "ticketed", "over_share"),
    *(f"{cause}_{what}" for cause in CAUSES for what in ("share", "sigma", "basis")),
    *("tickets_whole", "problem"),
)


def name_cause(cause: str, share: float) -> str:
    """Name a cause by whether it took concrete or gave some."""
    return "Elsewhere or back" if cause == "elsewhere" else LABELS[cause][share < 0]


def say_share(share: float) -> str:
    """Say a share of what was drawn: ``6.2 %``."""
    return f"{100 * share:z.1f} %"


def say_count(jobs: Topic) -> str:
    """Say how many jobs could be reconciled, and how many not."""
    done = sum(said.figure is not None for said in jobs.statements)
    failed = len(jobs.statements) - done
    return f"{count_of(done, 'job')} reconciled" + (f", {failed} not" if failed else "")


def tell_jobs(jobs: Sequence[JobAccount]) -> tuple[Topic, ...]:
    """Tell the jobs, a line each, those that could not be reconciled last."""
    told = tuple(_tell_job(number, job) for number, job in enumerate(jobs))
    return (Topic("jobs", "Job by job", "Jobs", told, TABLE),)


def _tell_job(number: int, job: JobAccount) -> Statement:
    key = f"jobs.{number}"
    if job.units is None:
        cells = (job.job, *[""] * (len(TABLE) - 2), job.problem)
        return Statement(key, label=job.job, short=words("{}", job.problem), cells=cells)
    to_volume = job.units.to_volume
    shares = [
        cell
        for part in job.parts
        for cell in (f"{part.share:z.6f}", f"{part.sigma:.6f}", part.basis)
    ]
    whole = "yes" if job.is_whole else "no"
    return Statement(
        key,
        label=job.job,
        figure=Figure(job.units.say_volume(job.ticketed), f"{key}.ticketed"),
        details=(
            words("{}", Figure(say_share(job.over), f"{key}.over")),
            *(_say_part(part, f"{key}.parts.{at}.share") for at, part in enumerate(job.parts)),
        ),
        is_alert=not job.is_whole,
        cells=(
            *(job.job, job.title, str(job.loads), job.units.volume),
            *(f"{to_volume(volume):.3f}" for volume in (job.neat, job.ticketed)),
            *(f"{job.over:z.6f}", *shares, whole, ""),
        ),
    )


def _say_part(part: Part, key: str) -> Words:
    """Say what a cause took on a job, in per cent; what is assumed in brackets."""
    if not part.share and not part.tells:
        return words("–")
    figure = Figure(f"{100 * part.share:z.1f}", key)
    return words("{}" if part.tells else "({})", figure)


def tell_trends(jobs: Sequence[JobAccount], trends: Mapping[str, Trend]) -> tuple[Topic, ...]:
    """Tell of each cause what comes back, or why that can't be told."""
    whole = [job for job in jobs if job.is_whole]
    told = list(_tell_left_out(jobs))
    for cause in CAUSES if whole else ():
        parts = [part for job in whole for part in job.parts if part.cause == cause]
        number = list(trends).index(cause) if cause in trends else 0
        told.append(
            _tell_trend(trends[cause], f"trends.{number}")
            if cause in trends
            else _tell_none(cause, parts)
        )
    return (Topic("trends", "What comes back", "Trends", tuple(told)),)


def _tell_left_out(jobs: Sequence[JobAccount]) -> Iterator[Statement]:
    for job in jobs:
        if job.units is not None and not job.is_whole:
            said = words("The tickets of {} can't be all: no trend rests on it", job.job)
            yield Statement(f"left_out.{job.job}", Weight.ACTS, short=said, is_alert=True)


def _tell_trend(trend: Trend, key: str) -> Statement:
    said = words(
        "of what was drawn, ±{}, over {}{}{}",
        Figure(f"{100 * trend.sigma:.1f}", f"{key}.sigma"),
        count_of(trend.jobs, "job"),
        "" if trend.is_real else ": not different from nothing",
        "; the jobs differ more than how sure each is allows" if trend.scatter >= _SCATTERS else "",
    )
    return Statement(
        f"trends.{trend.cause}",
        Weight.DECIDES if trend.is_real else Weight.TELLS,
        name_cause(trend.cause, trend.mean),
        Figure(say_share(trend.mean), f"{key}.mean"),
        short=said,
    )


def _tell_none(cause: str, parts: Sequence[Part]) -> Statement:
    """Say why of a cause no trend is told."""
    known = sum(part.tells for part in parts)
    said = words(
        "{}: no trend to tell",
        f"known of {known} of {count_of(len(parts), 'job')}"
        if known
        else "assumed on each job, not found out",
    )
    name = name_cause(cause, sum(part.share for part in parts))
    return Statement(f"trends.{cause}", Weight.DETAILS, name, short=said)
