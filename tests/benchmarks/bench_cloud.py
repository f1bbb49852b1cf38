"""How much of the time of a cloud is ours: reading, filter and bins against a bare loop of chunks.

Run by hand; gates nothing:

    python tests/benchmarks/bench_cloud.py [FILE ...]

Without files it makes a LAS and a LAZ of 5 million invented points in a temporary folder. Both
loops run in turn, three times each, over the same files in the same run; the best of each counts.
"""

import sys
import tempfile
from pathlib import Path
from time import perf_counter

import laspy
import numpy as np

from gradevol.files.cloud import read_cloud
from gradevol.files.sources import Cloud

N_POINTS = 5_000_000
ROUNDS = 3


def make_files(folder: Path) -> list[Path]:
    """Invented scan of a pad of 50 m by 40 m, in rows as a scanner has them."""
    random = np.random.default_rng(1)
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, [500.0, 800.0, 20.0]
    cloud = laspy.LasData(header)
    cloud.x = 500 + np.sort(random.uniform(0, 50, N_POINTS)) + random.normal(0, 0.01, N_POINTS)
    cloud.y = 800 + random.uniform(0, 40, N_POINTS)
    cloud.z = 20 + 0.01 * (np.asarray(cloud.x) - 500) + random.normal(0, 0.003, N_POINTS)
    cloud.classification = np.full(N_POINTS, 1, np.uint8)
    paths = [folder / "bench.las", folder / "bench.laz"]
    for path in paths:
        cloud.write(path)
    return paths


def loop_bare(path: Path) -> int:
    """Decode every point and touch its coordinates; nothing else."""
    wanted = laspy.DecompressionSelection
    seen = 0
    with laspy.open(
        path,
        laz_backend=laspy.LazBackend.LazrsParallel,
        decompression_selection=wanted.base() | wanted.Z,
    ) as reader:
        for chunk in reader.chunk_iterator(1_000_000):
            seen += len(chunk)
            for axis in ("X", "Y", "Z"):
                chunk.array[axis].max()
    return seen


def time_best(task) -> float:
    best = np.inf
    for _ in range(ROUNDS):
        start = perf_counter()
        task()
        best = min(best, perf_counter() - start)
    return float(best)


def compare(path: Path) -> None:
    """Print the ratios for one file."""
    count = loop_bare(path)
    bare = time_best(lambda: loop_bare(path))
    print(f"{path.name}: {count:,} points; bare loop {bare:.2f} s, {count / bare / 1e6:.1f} Mpt/s")
    for ground, cell in ((False, 0.05), (False, 0.5), (False, None), (True, 0.05), (True, None)):
        source = Cloud((path,), "m", cell, ground=ground)
        ours = time_best(lambda source=source: read_cloud(source))
        said = "unstated" if cell is None else f"{cell:g} m"
        doing = "read, filter and bin" if ground else "read and bin"
        rate = count / ours / 1e6
        print(f"  {doing}, cell {said}: {ours:.2f} s, {rate:.1f} Mpt/s, {ours / bare:.1f} bare")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        given = [Path(name) for name in sys.argv[1:]]
        for file in given or make_files(Path(made)):
            compare(file)
