"""How many times faster two workers read ten tiles than one: by the clock.

Run by hand on a machine that is otherwise idle; gates nothing:

    python -m tests.benchmarks.bench_workers [--points 20000000]

One worker and two take turns, each of a cluster of its own on this machine, with one thread a
worker; the best of some rounds counts. Memory is kept as the program keeps it.
"""

import argparse
import os
import tempfile
from functools import partial
from itertools import pairwise
from pathlib import Path

import distributed
import numpy as np

from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.cluster import connecting
from gradevol.ground.memory import keep_for_next
from tests.benchmarks.bench_cloud import WIDE, clock, make_cloud

TILES, ROUNDS = 10, 3


def measure(tiles: tuple[Path, ...], workers: int, *, ground: bool) -> float:
    """Time in which some workers read the tiles, s; they have loaded what they need before."""
    with distributed.LocalCluster(
        n_workers=workers, threads_per_worker=1, dashboard_address=None
    ) as made, connecting(made.scheduler_address) as cluster:  # fmt: skip
        read = partial(read_cloud, cluster=cluster)
        read(Cloud(tiles[:workers], "m", ground=ground))
        return clock(lambda: read(Cloud(tiles, "m", ground=ground)))[1]


def main() -> None:
    """Print the times and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--points", type=int, default=20_000_000)
    asked = parser.parse_args()
    keep_for_next()
    print(f"{os.cpu_count()} cores, {TILES} tiles of {asked.points // TILES:,} points")
    with tempfile.TemporaryDirectory() as folder:
        ends = np.linspace(0, WIDE, TILES + 1)
        tiles = tuple(
            make_cloud(Path(folder) / f"{number}.laz", asked.points // TILES, west=west, east=east)
            for number, (west, east) in enumerate(pairwise(ends))
        )
        for ground in (False, True):
            times = [[measure(tiles, n, ground=ground) for n in (1, 2)] for _ in range(ROUNDS)]
            one, two = np.min(times, axis=0)
            name = "ground filter" if ground else "no cell stated"
            print(
                f"{name:16} one {one:6.2f} s  two {two:6.2f} s  {one / two:.2f} times", flush=True
            )


if __name__ == "__main__":
    main()
