"""The whole road: figures that must not depend on how the same ground is written down."""

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.answer.result import Result
from gradevol.ground.units import METRES
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.conftest import examples

FOOT = METRES["ft"]
#: Two checks each; those of a base with something of everything come on top.
FEW = examples(2)
#: The units of a job other than feet.
UNITS = ("m", "mm", "in", "us-ft")
#: An L of 20 by 15 ft.
EDGE = np.array([[0, 0], [20, 0], [20, 6], [8, 6], [8, 15], [0, 15.0]])
TOP = np.array([[0, 0, 100], [20, 0, 100.1], [0, 15, 100.2]])

pytestmark = pytest.mark.usefixtures("unsimulated")


@dataclass(frozen=True, eq=False)
class Ground:
    """Shots, ft, by id; the top is a plane and the slab an L."""

    shots: np.ndarray

    @property
    def ids(self) -> list[str]:
        return [f"p{number}" for number in range(len(self.shots))]


def make_ground(off, jitter=None, slip=None):
    """Shots about every 3 ft, some hundredths about the design base, one of which may be a slip."""
    east, north = np.meshgrid(np.linspace(0.3, 19.7, 7), np.linspace(0.3, 14.7, 6), indexing="ij")
    plan = np.column_stack([east.ravel(), north.ravel()])
    if jitter is not None:  # a lattice has cells of four on one circle; this has none
        plan += np.reshape(jitter, (-1, 2)) / 30
    top = 100 + 0.1 * plan[:, 0] / 20 + 0.2 * plan[:, 1] / 15
    level = np.round(top - 0.5 + np.array(off) / 100, 2)
    if slip is not None:
        level[slip] += 0.5
    return Ground(np.column_stack([plan, level]))


def parts(count):
    return st.lists(st.integers(-9, 9), min_size=count, max_size=count)


grounds = st.builds(
    make_ground, parts(42), st.none() | parts(84), slip=st.none() | st.integers(0, 41)
)
#: Uneven all over, on no lattice, with a slip.
UNEVEN = make_ground(
    [7 * shot % 19 - 9 for shot in range(42)], [11 * part % 19 - 9 for part in range(84)], slip=24
)


def measure(
    ground: Ground,
    *,
    unit: str = "ft",
    turn: float = 0.0,
    shift: tuple[float, float, float] = (0, 0, 0),
    order: list[int] | None = None,
    first: int = 0,
) -> Result:
    """Write the ground as a job in `unit`, turned by radians and shifted by feet, and check it."""
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    scale = FOOT / METRES[unit]

    def place(points):
        points = np.array(points, float)
        points[:, :2] = points[:, :2] @ rotation.T
        return scale * (points + np.array(shift)[: points.shape[1]])

    rows = [
        f"{name},{e!r},{n!r},{z!r}"
        for name, (e, n, z) in zip(ground.ids, place(ground.shots).tolist(), strict=True)
    ]
    if order is not None:
        rows = [rows[index] for index in order]
    with TemporaryDirectory() as folder:
        (Path(folder) / "shots.csv").write_text(
            "point,easting,northing,elevation\n" + "\n".join(rows)
        )
        job = Path(folder) / "job.toml"
        job.write_text(
            f'units = "{unit}"\n[base]\nshots = "shots.csv"\n'
            f"[slab]\nedge = {place(np.roll(EDGE, -first, axis=0)).tolist()}\n"
            'thickness = "6 in"\nleast_thickness = "5.3 in"\n'
            'base_high = "0.31 in"\nbase_low = "0.47 in"\n'
            f"[top]\nplane = {place(TOP).tolist()}\n"
        )
        return check_job(read_job(job))


measure_once = cache(measure)


def assert_same(one: Result, other: Result) -> None:
    assert_allclose(other.concrete.volume, one.concrete.volume, rtol=1e-7)
    assert_allclose(other.coverage, one.coverage, rtol=1e-7)
    assert_allclose(other.grading.cut, one.grading.cut, rtol=1e-6, atol=1e-8)
    assert_allclose(other.grading.fill, one.grading.fill, rtol=1e-6, atol=1e-8)
    for name in ("mean", "sd", "min", "max"):
        assert_allclose(getattr(other.thickness, name), getattr(one.thickness, name), atol=1e-7)
    assert one.widest_gap is not None
    assert other.widest_gap == pytest.approx(one.widest_gap, rel=1e-6)
    assert [other.survey.name(suspect.index) for suspect in other.suspects] == [
        one.survey.name(suspect.index) for suspect in one.suspects
    ]
    for kind in ("thin", "high", "low"):
        mine, theirs = getattr(one, kind), getattr(other, kind)
        assert_allclose(theirs.area, mine.area, rtol=1e-6, atol=1e-7)
        # specks of less than a square centimetre may be rounding
        volumes, worst = (
            [
                sorted(getattr(spot, key) for spot in spots.listed if spot.area > 1e-4)
                for spots in (mine, theirs)
            ]
            for key in ("volume", "worst")
        )
        assert_allclose(volumes[1], volumes[0], rtol=1e-5, atol=1e-7)
        assert_allclose(worst[1], worst[0], atol=1e-7)


@FEW
@given(grounds, st.permutations(range(42)))
@example(UNEVEN, range(41, -1, -1))
def test_it_does_not_depend_on_the_order_of_the_shots(ground, order):
    one, other = measure_once(ground), measure(ground, order=list(order))
    assert_same(one, other)
    # not even which of several places equally thick is named
    assert_allclose(other.thickness.min_at, one.thickness.min_at, atol=1e-6)
    assert_allclose(other.thickness.max_at, one.thickness.max_at, atol=1e-6)


@FEW
@given(
    grounds,
    st.tuples(st.integers(0, 9_000_000), st.integers(0, 9_000_000), st.integers(-400, 9000)),
)
@example(UNEVEN, (7_123_456, 4_800_001, 812))
def test_it_does_not_depend_on_where_the_origin_lies(ground, shift):
    assert_same(measure_once(ground), measure(ground, shift=shift))


@FEW
@given(grounds, st.floats(0, 6.28))
@example(UNEVEN, 0.7)
def test_it_does_not_depend_on_which_way_is_north(ground, turn):
    assert_same(measure_once(ground), measure(ground, turn=turn))


@FEW
@given(grounds, st.sampled_from(UNITS))
@example(UNEVEN, UNITS[0])
@example(UNEVEN, UNITS[1])
@example(UNEVEN, UNITS[2])
@example(UNEVEN, UNITS[3])
def test_it_does_not_depend_on_the_unit(ground, unit):
    assert_same(measure_once(ground), measure(ground, unit=unit))


@FEW
@given(grounds, st.integers(1, 5))
@example(UNEVEN, 2)
def test_it_does_not_depend_on_which_corner_is_the_first(ground, first):
    assert_same(measure_once(ground), measure(ground, first=first))


@FEW
@given(grounds, st.floats(-0.2, 0.2))
@example(UNEVEN, 0.03)
def test_a_top_raised_all_over_takes_its_area_times_that_more(ground, by):
    one = measure_once(ground)
    lowered = Ground(ground.shots - [0, 0, by])
    other = measure(lowered)
    net = other.concrete.slab - other.concrete.overlap - one.concrete.slab + one.concrete.overlap
    assert_allclose(net, one.slab.area * by * FOOT, atol=1e-7)
