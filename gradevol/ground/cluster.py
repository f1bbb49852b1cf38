"""Work shared out to the workers of a running `dask.distributed` cluster.

A worker that dies loses what it was at and what nobody had fetched; the scheduler has another do it
again. Each answer is taken once, so nothing is lost and nothing counts twice.
"""

import os
import re
import warnings
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

from gradevol.ground.errors import InputError
from gradevol.ground.memory import keep_for_next
from gradevol.version import __version__

_Shared = TypeVar("_Shared")
_Item = TypeVar("_Item")
_Given = TypeVar("_Given")

#: A host and its port; before them, how to talk to it.
_ADDRESS = re.compile(r"([a-z]+://)?\S+:[0-9]+")
#: How long a scheduler may take to answer, and how long it may be without workers, s.
_PATIENCE, _WITHOUT_WORKERS = 5.0, 30.0
#: Tasks that are handed out ahead, for each thread of the workers.
_AHEAD = 2


class Cluster:
    """
    A running cluster.

    Parameters
    ----------
    address : str
        Of its scheduler, as the user gave it.
    client : distributed.Client
        Connected to it.
    """

    def __init__(self, address: str, client: Any) -> None:
        self._address, self._client = address, client

    def run(
        self, how: Callable[[_Shared, _Item], _Given], shared: _Shared, items: Iterable[_Item]
    ) -> Generator[Callable[[], _Given]]:
        """
        Have the workers do something with each of many items.

        Parameters
        ----------
        how : callable
            A function of a module; it may run twice, and must not change what is shared.
        shared : object
            What it takes with each item.
        items : iterable

        Yields
        ------
        callable
            Of each item in turn: gives what became of it, or raises what kept it from that.
        """
        with warnings.catch_warnings():
            # what is shared may be large, and is sent once
            warnings.filterwarnings("ignore", "Sending large graph", UserWarning)
            sent = self._client.submit(_same, shared, pure=False)
        ahead = _AHEAD * max(1, sum(self._client.nthreads().values()))
        waiting: deque[Any] = deque()
        try:
            for item in items:
                waiting.append(self._client.submit(_do, __version__, how, sent, item, pure=False))
                if len(waiting) > ahead:
                    yield self._asker(waiting.popleft())
            while waiting:
                yield self._asker(waiting.popleft())
        finally:
            if waiting:
                self._client.cancel(list(waiting))

    def _asker(self, future: Any) -> Callable[[], Any]:
        return lambda: self._fetch(future)

    def _fetch(self, future: Any) -> Any:
        """Wait for an answer, as long as anybody works on it."""
        from concurrent.futures import CancelledError  # noqa: PLC0415

        from distributed import KilledWorker  # noqa: PLC0415

        alone = 0.0
        try:
            while True:
                try:
                    return future.result(timeout=_PATIENCE)
                except TimeoutError:
                    alone = 0.0 if self._client.nthreads() else alone + _PATIENCE
                if alone >= _WITHOUT_WORKERS:
                    raise InputError(
                        f"the scheduler at {self._address} has had no workers for {alone:.0f} s",
                        remedy="Start some, and run it again",
                    )
        except KilledWorker as error:
            raise InputError(
                f"worker after worker died of the same piece of work ({error.task})",
                remedy="Look whether they have enough memory, or run it without --scheduler",
            ) from error
        except (CancelledError, OSError) as error:
            raise InputError(
                f"the scheduler at {self._address} is gone",
                remedy="Start it and its workers, and run it again",
            ) from error
        except ImportError as error:
            raise InputError(
                f"a worker can't run gradevol ({error})",
                remedy=f"Install gradevol[cluster] {__version__} where the workers run",
            ) from error


@contextmanager
def connecting(address: str | None) -> Iterator[Cluster | None]:
    """
    Connect to a running cluster, where an address is given.

    Raises
    ------
    InputError
        If nothing answers there, it has no workers, or `distributed` is not installed.
    """
    if address is None:
        yield None
        return
    import logging  # noqa: PLC0415  (most runs need none)

    try:
        from distributed import Client  # noqa: PLC0415
    except ImportError as error:
        raise InputError(
            "--scheduler takes dask.distributed, which is not installed",
            remedy="`pip install 'gradevol[cluster]'` adds it",
        ) from error
    if not _ADDRESS.fullmatch(address):
        raise InputError(
            f"{address!r} is no address of a scheduler",
            remedy="Give it as `dask scheduler` prints it, as tcp://192.168.1.20:8786",
        )
    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what goes wrong is told here
    try:
        client = Client(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise InputError(
            f"no scheduler answers at {address}",
            remedy="Start one by `dask scheduler`, which prints its address, and workers by "
            "`dask worker ADDRESS`",
        ) from error
    with client:
        if not client.nthreads():
            raise InputError(
                f"the scheduler at {address} has no workers",
                remedy=f"Start some by `dask worker {address}`",
            )
        yield Cluster(address, client)


def _same(shared: _Shared) -> _Shared:
    return shared


def _do(
    version: str, how: Callable[[_Shared, _Item], _Given], shared: _Shared, item: _Item
) -> _Given:
    """Do a piece of work, in a worker."""
    if version != __version__:
        raise InputError(
            f"a worker has gradevol {__version__}, not {version} as here",
            remedy="Install the same where the workers run",
        )
    _settle()
    return how(shared, item)


def _settle() -> None:
    """Keep to what dask gave this worker, and keep memory for the next chunk."""
    from distributed import get_worker  # noqa: PLC0415

    # lazrs would unpack on all cores of the machine
    os.environ.setdefault("RAYON_NUM_THREADS", str(get_worker().state.nthreads))
    keep_for_next()  # dask has its workers give back all at once, and clear it anew for each chunk
