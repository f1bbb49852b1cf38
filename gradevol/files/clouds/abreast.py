"""Calls run abreast by threads, while what they gave is taken in their order."""

import os
from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain, islice
from typing import TypeVar

_Given = TypeVar("_Given")

#: Threads at most: each has a chunk of points in memory.
_MOST = 8


def run_abreast(calls: Iterator[Callable[[], _Given]]) -> Generator[_Given]:
    """
    Run calls, as many at once as there are cores, and give what they gave, in their order.

    The first to fail in that order is raised, whichever failed first; few are asked for ahead.
    """
    ahead = list(islice(calls, 2))
    if len(ahead) < 2:  # a thread takes longer to start than a small file to read
        yield from (call() for call in ahead)
        return
    calls = chain(ahead, calls)
    threads = min(_MOST, os.cpu_count() or 1)
    waiting: deque[Future[_Given]] = deque()
    with ThreadPoolExecutor(threads, thread_name_prefix="gradevol") as pool:
        try:
            for call in calls:
                waiting.append(pool.submit(call))
                if len(waiting) > threads:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()
