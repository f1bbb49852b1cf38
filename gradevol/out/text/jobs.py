"""Several jobs on a screen: a table, then the limits exceeded, then what could not be checked."""

from collections.abc import Iterable, Iterator, Sequence

from gradevol.answer.overview import Overview
from gradevol.ground.words import count_of
from gradevol.out.text.wrapping import join_blocks, wrap

_HEADINGS = ("job", "concrete", "between", "order", "thin", "suspects")


def compose_jobs(jobs: Sequence[Overview]) -> str:
    """
    Write several jobs as text.

    Parameters
    ----------
    jobs : sequence of Overview
        In the order in which they were given.
    """
    checked = [job for job in jobs if not job.problem]
    failed = [job for job in jobs if job.problem]
    head = count_of(len(checked), "job") + " checked"
    if failed:
        head += f", {len(failed)} not"
    told = tell_failed("Not checked", ((job.job, job.problem) for job in failed))
    blocks = [[head], list(_lay_out(checked)), list(_tell_limits(checked)), list(told)]
    return join_blocks(blocks)


def _lay_out(jobs: Sequence[Overview]) -> Iterator[str]:
    rows = [_HEADINGS, *((job.job, *job.shown) for job in jobs)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows if jobs else ():
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _tell_limits(jobs: Sequence[Overview]) -> Iterator[str]:
    for job in jobs:
        if job.exceeded:
            yield from wrap(f"{job.job}: {'; '.join(job.exceeded)}", below="  ")


def tell_failed(head: str, failed: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Tell which jobs failed, and by what."""
    for job, problem in failed:
        # a file that several jobs read tells of none
        named = "" if job in problem else f"{job}: "
        yield from wrap(f"{head}: {named}{problem}", below="  ")
