"""Something done for each of several jobs: here, by processes beside this one, or elsewhere."""

import concurrent.futures
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeVar

from gradevol.cli.stopping import Stopped, starting_deaf, stopping
from gradevol.ground.cluster import Cluster
from gradevol.ground.errors import GradevolError, InputError
from gradevol.ground.progress import Progress


@dataclass(frozen=True, slots=True)
class Failed:
    """A job of several, and why it could not be done."""

    name: str
    problem: str


class Task(Protocol):
    """What is to be done for one job of several."""

    @property
    def job(self) -> Path:
        """Its file."""

    @property
    def name(self) -> str:
        """What to call it in the table."""


#: Processes at most: Windows can't wait for more at once (Python's concurrent.futures).
_MOST = 61
_DIED = "the process that worked on it died, also by itself: mostly for want of memory"
_one_at_a_time = threading.Lock()
_Of = TypeVar("_Of", bound=Task)
_Done = TypeVar("_Done")


def _try(do: Callable[[_Of], _Done], errand: _Of) -> _Done | Failed:
    """Do one, or say what kept it from being done."""
    try:
        return do(errand)
    except GradevolError as error:
        return Failed(errand.name, str(error))
    except MemoryError:
        return Failed(errand.name, f"{errand.job}: it takes more memory than there is")
    except OSError as error:
        what = error.filename or errand.job
        return Failed(errand.name, f"{what}: {(error.strerror or str(error)).lower()}.")


def _try_beside(do: Callable[[_Of], _Done], errand: _Of) -> _Done | Failed:
    """Do one in a process of its own, which is told to end where all are stopped."""
    try:
        with stopping():
            return _try(do, errand)
    except Stopped as stopped:
        os._exit(stopped.code)  # half-written files are away; nobody waits for an answer


def _try_alone(do: Callable[[_Of], _Done], errand: _Of) -> _Done | Failed:
    """Do one in a worker, which may have several threads: pictures are drawn by one at a time."""
    with _one_at_a_time:
        return _try(do, errand)


def run_all(
    do: Callable[[_Of], _Done],
    errands: Sequence[_Of],
    workers: int | Cluster,
    *,
    progress: Progress,
) -> list[_Done | Failed]:
    """
    Run errands, some at a time.

    Parameters
    ----------
    do : callable
        Does one; a function of a module, for other processes to find.
    errands : sequence
    workers : int or Cluster
        Processes; one: in this one. Or those of a cluster.
    progress : callable
        Told which job is done, and the share that is.

    Returns
    -------
    list
        What `do` returned, or `Failed`, in the order of the errands, whichever was done first.
    """
    done: dict[int, _Done | Failed] = {}
    for at, found in _run_each(do, errands, workers):
        done[at] = found
        progress(errands[at].name, len(done) / len(errands))
    return [done[at] for at in range(len(errands))]


def _run_each(
    do: Callable[[_Of], _Done], errands: Sequence[_Of], workers: int | Cluster
) -> Iterator[tuple[int, _Done | Failed]]:
    if isinstance(workers, Cluster):
        with closing(workers.run(_try_alone, do, errands)) as answers:
            for at, answer in enumerate(answers):
                try:
                    yield at, answer()
                except InputError as error:
                    yield at, Failed(errands[at].name, f"{errands[at].job}: {error}")
        return
    if workers == 1:
        yield from ((at, _try(do, errand)) for at, errand in enumerate(errands))
        return
    left = []
    for at, found in _run_beside(do, dict(enumerate(errands)), workers):
        if found is None:
            left.append(at)
        else:
            yield at, found
    # a process that dies takes all others with it, whoever's fault it was: each by itself, then
    for at in sorted(left):
        for _, found in _run_beside(do, {at: errands[at]}, 1):
            failed = Failed(errands[at].name, f"{errands[at].job}: {_DIED}")
            yield at, failed if found is None else found


def _run_beside(
    do: Callable[[_Of], _Done], errands: Mapping[int, _Of], workers: int
) -> Iterator[tuple[int, _Done | Failed | None]]:
    """Run errands in processes of their own; None where one of these has died."""
    workers = min(workers, len(errands), _MOST)
    context = multiprocessing.get_context("spawn")  # a fork of a process with threads may hang
    with concurrent.futures.ProcessPoolExecutor(workers, mp_context=context) as pool:
        try:
            with starting_deaf():
                places = {pool.submit(_try_beside, do, one): at for at, one in errands.items()}
            for future in concurrent.futures.as_completed(places):
                try:
                    yield places[future], future.result()
                except concurrent.futures.process.BrokenProcessPool:
                    yield places[future], None
        except BaseException:
            for child in multiprocessing.active_children():
                child.terminate()
            # waited for, or Python, as it ends, may wake a thread that has just let go of its pipe
            pool.shutdown(wait=True, cancel_futures=True)
            raise
