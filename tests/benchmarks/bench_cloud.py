"""What reading a cloud costs against what it can't cost less than, and how that grows.

Run by hand; gates nothing:

    python tests/benchmarks/bench_cloud.py             # 20 million points; --points for others
    python tests/benchmarks/bench_cloud.py --growth    # 1 to 64 million points, 1 to 1,000 tiles
    python tests/benchmarks/bench_cloud.py --growth --plot docs/pictures/growth.png

The floor of a LAZ is unpacking the same fields by laspy's parallel backend, and nothing else; of a
LAS, reading its bytes, and with it what numpy takes at the least to add its points up. Floor and
reading run in turn in one process, and the least time of each counts. For the growth each reading
has a process of its own, which tells its greatest memory. Processor time is of all threads; memory
is kept as the program keeps it.
"""

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path
from time import perf_counter, process_time

import laspy
import numpy as np

from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.memory import keep_for_next

#: Invented pad, m, scanned in rows from west to east; noise of a point, m.
WIDE, LONG, NOISE = 50.0, 40.0, 0.003
#: Cell, m, and whether the ground filter runs.
WAYS = ((0.05, False), (None, False), (0.05, True), (None, True), (0.0, False))


def make_cloud(path: Path, n_points: int, *, west: float = 0.0, east: float = WIDE) -> Path:
    """Invented scan of a pad, or of a strip of it."""
    random = np.random.default_rng(1 + round(west * 1000))
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, [500.0, 800.0, 20.0]
    at_once = 1_000_000
    with laspy.open(path, "w", header=header) as writer:
        for start in range(0, n_points, at_once):
            count = min(at_once, n_points - start)
            across = np.sort(random.uniform(start, start + count, count)) / n_points
            some = laspy.ScaleAwarePointRecord.zeros(count, header=header)
            x = west + across * (east - west) + random.normal(0, 0.01, count)
            some.x, some.y = 500 + x, 800 + random.uniform(0, LONG, count)
            some.z = 20 + 0.01 * x + random.normal(0, NOISE, count)
            some.classification = np.ones(count, np.uint8)
            writer.write_points(some)
    return path


def unpack_bare(path: Path) -> None:
    """Unpack the fields that are needed, and touch none."""
    fields = laspy.DecompressionSelection
    wanted = fields.base() | fields.Z | fields.CLASSIFICATION | fields.FLAGS
    parallel = laspy.LazBackend.LazrsParallel
    with laspy.open(path, laz_backend=parallel, decompression_selection=wanted) as reader:
        for _ in reader.chunk_iterator(1_000_000):
            pass


def read_bytes(path: Path) -> None:
    """Read a file into memory that is used again."""
    room = bytearray(8 * 1024 * 1024)
    with path.open("rb", buffering=0) as file:
        while file.readinto(room):
            pass


def add_up_bare(path: Path) -> None:
    """Add the points of a LAS up in squares of 32 steps: the least that numpy can make of them."""
    with laspy.open(path) as reader:
        header = reader.header
    ends = (np.array([header.mins, header.maxs]) - header.offsets) / header.scales
    low, high = np.rint(ends[:, :2]).astype(np.int64)
    wide, tall = ((high - low) >> 5) + 1
    sums = np.zeros((4, wide * tall), np.int64)
    room = np.empty(250_000, header.point_format.dtype())
    with path.open("rb", buffering=0) as file:
        file.seek(header.offset_to_point_data)
        while count := file.readinto(room.view(np.uint8).data) // room.itemsize:
            east, north, level = (room[axis][:count].astype(np.int64) for axis in "XYZ")
            key = ((east - low[0]) >> 5) * tall + ((north - low[1]) >> 5)
            np.add.at(sums[0], key, 1)
            for held, numbers in zip(sums[1:], (east, north, level), strict=True):
                np.add.at(held, key, numbers)


def clock(task: Callable[[], object]) -> tuple[float, float]:
    """Processor time and time of a task, s."""
    start, used = perf_counter(), process_time()
    task()
    return process_time() - used, perf_counter() - start


def name_way(cell: float | None, ground: bool) -> str:
    """Say how a cloud is read."""
    said = {None: "no cell stated", 0.0: "point by point"}.get(cell, f"cell {cell} m")
    return f"{said}, ground filter" if ground else said


def compare(path: Path, rounds: int) -> None:
    """Print the ratios for one file."""
    floor = unpack_bare if path.suffix == ".laz" else read_bytes
    tasks: dict[str, Callable[[], object]] = {floor.__name__: lambda: floor(path)}
    if floor is read_bytes:
        tasks[add_up_bare.__name__] = lambda: add_up_bare(path)
    for cell, ground in WAYS:
        cloud = Cloud((path,), "m", cell, ground=ground)
        tasks[name_way(cell, ground)] = partial(read_cloud, cloud)
    taken: dict[str, list[tuple[float, float]]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            taken[name].append(clock(task))
    best = {name: np.min(times, axis=0) for name, times in taken.items()}
    least = best[floor.__name__]
    print(f"\n{path.name}\n{'':36}{'processor':>10}{'times':>7}{'clock':>10}{'times':>7}")
    for name, (used, passed) in best.items():
        print(
            f"{name:36}{used:8.2f} s{used / least[0]:7.2f}{passed:8.2f} s{passed / least[1]:7.2f}",
            flush=True,
        )


def measure(paths: list[Path], cell: float | None, ground: bool) -> None:
    """Read a cloud, and print what it took."""
    used, passed = clock(lambda: read_cloud(Cloud(tuple(paths), "m", cell, ground=ground)))
    # not what getrusage tells: that is what the process that started this one held, if it held more
    status = Path("/proc/self/status").read_text(encoding="utf-8")
    memory = int(status.split("VmHWM:")[1].split()[0]) / 1024
    print(json.dumps({"used": used, "passed": passed, "memory": memory}))


@dataclass(frozen=True)
class Reading:
    """What one reading took: processor time and time, s, and its greatest memory, MB."""

    used: float
    passed: float
    memory: float


def show_growth(
    folder: Path, millions: list[int], tiles: list[int]
) -> dict[str, dict[int, Reading]]:
    """Print time and memory over points and tiles, and give them."""
    print(f"\n{'':36}{'processor':>10}{'a million':>11}{'clock':>10}{'memory':>9}")
    plain: dict[int, Reading] = {}
    ground: dict[int, Reading] = {}
    tiled: dict[int, Reading] = {}
    for count in millions:
        path = make_cloud(folder / "growth.laz", count * 1_000_000)
        plain[count] = _show(f"LAZ of {count} million", [path], count)
        name = f"LAZ of {count} million, ground filter"
        ground[count] = _show(name, [path], count, ground=True)
        path.unlink()
    for count in tiles:
        ends = np.linspace(0, WIDE, count + 1)
        paths = [
            make_cloud(folder / f"{number}.laz", 4_000_000 // count, west=west, east=east)
            for number, (west, east) in enumerate(pairwise(ends))
        ]
        tiled[count] = _show(f"LAZ of 4 million in {count} tiles", paths, 4)
        for path in paths:
            path.unlink()
    return {"points": plain, "points, ground filter": ground, "tiles": tiled}


def _show(name: str, paths: list[Path], millions: int, *, ground: bool = False) -> Reading:
    words = [sys.executable, __file__, "--measure", "ground" if ground else "all"]
    listed = "\n".join(map(str, paths))
    done = subprocess.run(words, input=listed, capture_output=True, text=True, check=True)
    told = Reading(**json.loads(done.stdout))
    print(
        f"{name:36}{told.used:8.2f} s{told.used / millions:9.3f} s"
        f"{told.passed:8.2f} s{told.memory:6.0f} MB",
        flush=True,
    )
    return told


def plot_growth(path: Path, growth: dict[str, dict[int, Reading]]) -> None:
    """Draw time and memory over points and over tiles, all axes logarithmic but memory's."""
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure((9, 5.5), layout="constrained")
    (time, tile_time), (memory, tile_memory) = figure.subplots(2, 2, sharex="col", sharey="row")
    for name, marker in (("points", "o"), ("points, ground filter", "s")):
        counts, readings = zip(*growth[name].items(), strict=True)
        time.plot(counts, [one.used for one in readings], f"k-{marker}", label=name, mfc="w")
        memory.plot(counts, [one.memory for one in readings], f"k-{marker}", mfc="w")
    last = max(growth["points"])
    ends = np.array([min(growth["points"]), last])
    time.plot(
        ends, ends * growth["points"][last].used / last, "k:", label="as many times as points"
    )
    counts, readings = zip(*growth["tiles"].items(), strict=True)
    tile_time.plot(counts, [one.used for one in readings], "k-o", mfc="w", label="4 million points")
    tile_memory.plot(counts, [one.memory for one in readings], "k-o", mfc="w")
    for axes in (time, tile_time):
        axes.set(xscale="log", yscale="log")
        axes.legend(frameon=False)
    time.set_ylabel("processor time, s")
    memory.set(ylabel="greatest memory, MB", xlabel="millions of points", ylim=(0, None))
    tile_memory.set_xlabel("tiles")
    for axes in (time, tile_time, memory, tile_memory):
        axes.xaxis.set_major_formatter("{x:g}")
        axes.grid(color="0.85")
    time.yaxis.set_major_formatter("{x:g}")
    figure.savefig(path, dpi=100, metadata={"Software": None})


def main() -> None:
    """Measure what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--points", type=int, default=20_000_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--plot", type=Path, help="a picture of the growth")
    parser.add_argument("--millions", type=int, nargs="*", default=[1, 4, 16, 64])
    parser.add_argument("--tiles", type=int, nargs="*", default=[1, 10, 100, 1000])
    parser.add_argument("--measure", choices=["ground", "all"], help=argparse.SUPPRESS)
    asked = parser.parse_args()
    keep_for_next()
    if asked.measure:
        measure(
            [Path(line) for line in sys.stdin.read().splitlines()], None, asked.measure == "ground"
        )
        return
    versions = ", ".join(f"{name} {version(name)}" for name in ("numpy", "laspy", "lazrs"))
    print(f"Python {platform.python_version()}, {versions}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        if asked.growth:
            growth = show_growth(folder, asked.millions, asked.tiles)
            if asked.plot:
                plot_growth(asked.plot, growth)
            return
        for suffix in () if asked.files else ("laz", "las"):
            asked.files.append(make_cloud(folder / f"invented.{suffix}", asked.points))
        for path in asked.files:
            compare(path, asked.rounds)


if __name__ == "__main__":
    main()
