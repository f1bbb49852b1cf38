"""A TIN of a million shots, with volume and spots, against Delaunay triangulation alone.

Run by hand: ``python tests/benchmarks/bench_tin.py [shots]``. Prints ratios; gates nothing.
"""

import resource
import sys
import time

import numpy as np
import shapely
from scipy.spatial import Delaunay

from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_high, find_low, find_thin
from gradevol.measures.thickness import measure_thickness
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface, merge_shots
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top


def make_points(count: int) -> np.ndarray:
    """Invented base: broad waves under 3 mm of noise, on a pad of 30 by 50 m."""
    rng = np.random.default_rng(1)
    plan = rng.random((count, 2)) * [30, 50]
    level = 0.02 * np.sin(plan[:, 0] / 3) * np.cos(plan[:, 1] / 4) + rng.normal(0, 0.003, count)
    return np.column_stack([plan, level])


def main() -> None:
    """Print how long each step takes, and the ratio of all to Delaunay alone."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    points = make_points(count)
    edge = np.array([[1.0, 1], [29, 1], [29, 49], [1, 49]])
    slab = Slab(edge, (), 0.15, 0.131, base_high=0.019, base_low=0.019)
    steps = {}
    started = last = time.perf_counter()

    def step(name: str) -> None:
        nonlocal last
        now = time.perf_counter()
        steps[name], last = now - last, now

    survey = Survey.about_local_origin(points)
    merged, _, _ = merge_shots(survey)
    step("merge places")
    surface = build_surface(merged)
    step("triangulate, split cells")
    top = build_top(Level(0.15 - survey.origin[2]), slab)
    local = Slab(edge - survey.origin[:2], (), 0.15, 0.131, base_high=0.019, base_low=0.019)
    top = build_top(Level(0.15 - survey.origin[2]), local)
    field = build_field(extend_level(surface, local.outline), top.surface, local)
    step("overlay")
    concrete, moments = measure_concrete(field, local), measure_thickness(field)
    step("integrals")
    spots = find_thin(field, local), find_high(field, local), find_low(field, local)
    step("spots")
    ours = time.perf_counter() - started
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    started = time.perf_counter()
    Delaunay(points[:, :2] - points[:, :2].min(axis=0))
    theirs = time.perf_counter() - started
    for name, seconds in steps.items():
        print(f"{name:26} {seconds:6.2f} s")
    print(f"{'all':26} {ours:6.2f} s, at most {memory:.0f} MB")
    print(f"{'scipy.spatial.Delaunay':26} {theirs:6.2f} s")
    print(f"ratio {ours / theirs:.2f} at {count:,} shots")
    counts = [len(found.listed) + found.unlisted for found in spots if found]
    print(f"{concrete.volume:.4f} m3, mean {moments.mean:.5f} m, spots {counts}")
    assert shapely.area(local.outline) > 0


if __name__ == "__main__":
    main()
