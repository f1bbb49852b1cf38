"""The answer of several jobs after their pours, composed once for every renderer."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from gradevol.after.trends import CAUSES, find_trend
from gradevol.answer.declared import to_plain
from gradevol.answer.drawing.account import Bars, draw_trends
from gradevol.answer.job_account import JobAccount
from gradevol.answer.said.trends import tell_jobs, tell_trends
from gradevol.answer.statement import Topic
from gradevol.answer.tree.accounts import JobsTree, compose_jobs_tree


@dataclass(frozen=True, slots=True)
class AccountsAnswer:
    """
    All that is told of several jobs.

    Attributes
    ----------
    tree : JobsTree
        The numbers, as ``reconcile_jobs.json`` has them.
    jobs, trends : Topic
        A table of the jobs, and what comes back.
    bars : Bars or None
        What comes back, as bars; None where nothing can be told of.
    """

    tree: JobsTree
    jobs: Topic
    trends: Topic
    bars: Bars | None

    def plain(self) -> dict[str, Any]:
        """Return the numbers as dicts and lists."""
        return to_plain(self.tree)


def compose_accounts(jobs: Sequence[JobAccount]) -> AccountsAnswer:
    """
    Compose the answer.

    Parameters
    ----------
    jobs : sequence of JobAccount
        In the order given; those with a problem are told last.
    """
    jobs = sorted(jobs, key=lambda job: bool(job.problem))
    whole = [job for job in jobs if job.is_whole]
    trends = {
        cause: trend
        for cause in CAUSES
        if (trend := find_trend([p for job in whole for p in job.parts if p.cause == cause]))
    }
    ((table,), (told,)) = tell_jobs(jobs), tell_trends(jobs, trends)
    return AccountsAnswer(
        tree=compose_jobs_tree(jobs, tuple(trends.values())),
        jobs=table,
        trends=told,
        bars=draw_trends(tuple(trends.values())) if trends else None,
    )
