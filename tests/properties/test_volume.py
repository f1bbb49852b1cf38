"""What must not move a volume: where the origin lies, which way north is, who wrote first."""

from dataclasses import dataclass

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.geometry.prisms import integral, volume_above
from gradevol.ground.arrays import FloatArray
from gradevol.site.top import Between, Design, Level, Measured, Panel, Panels, Plane

FOOT = 0.3048
STATE_PLANE = np.array([620_000.123, 2_100_000.456, 1500.0])
#: Coordinates of two millions carry 5e-10 m, which is all that may move.
SAME = 1e-9


@dataclass(frozen=True)
class Case:
    """A job in arrays, m."""

    shots: FloatArray
    edge: FloatArray
    top: Design

    def moved(self, move) -> "Case":
        """Return the job with every coordinate (n, 3) put through `move`."""
        plan = move(np.column_stack([self.edge, np.zeros(len(self.edge))]))[:, :2]
        return Case(move(self.shots), plan, moved_top(self.top, move))


def moved_top(top, move):
    if isinstance(top, Level):
        return Level(float(move(np.array([[0, 0, top.elevation]]))[0, 2]))
    if isinstance(top, Between):
        return Between(move(top.first), move(top.second))
    return type(top)(move(top.points))


def turn(angle):
    cosine, sine = np.cos(angle), np.sin(angle)

    def move(points):
        plan = points[:, :2] @ np.array([[cosine, sine], [-sine, cosine]])
        return np.column_stack([plan, points[:, 2]])

    return move


PLANS = ("scatter", "lattice", "turned lattice", "triangles", "circle", "hundredths", "rows")
EDGES = ("on shots", "l on shots", "through shots", "within", "larger", "untidy")
TOPS = ("level", "plane", "measured", "between")


def plan_of(kind, random):
    square = 1.524 * np.array([(i, j) for i in range(7) for j in range(6)], float)
    if kind == "scatter":
        return random.uniform(0, 9, (random.integers(6, 50), 2))
    if kind == "hundredths":
        return np.round(random.uniform(0, 9, (30, 2)) / (0.01 * FOOT)) * (0.01 * FOOT)
    if kind == "triangles":
        return square @ np.array([[1, 0], [0.5, np.sqrt(0.75)]])
    if kind == "circle":  # six on one circle, and six more around them
        angle = np.radians(np.arange(0, 360, 60)) + random.uniform(0, 1)
        ring = np.column_stack([np.cos(angle), np.sin(angle)])
        return np.vstack([4 + 3.5 * ring, 4 + 2 * ring])
    if kind == "rows":  # gaps in a lattice, all its rim shots on straight lines
        keep = random.random(len(square)) < 0.7
        keep[[0, 5, -6, -1]] = True
        return square[keep]
    angle = random.uniform(0, 6) if kind == "turned lattice" else 0.0
    return turn(angle)(np.column_stack([square - 4, 0 * square[:, :1]]))[:, :2] + 4


def edge_of(kind, random):
    step = 1.524
    if kind == "on shots":
        return step * np.array([[0, 0], [6, 0], [6, 5], [0, 5.0]])
    if kind == "l on shots":
        return step * np.array([[1, 0], [6, 0], [6, 2], [3, 2], [3, 5], [1, 5.0]])
    if kind == "through shots":  # diagonals of cells
        return step * np.array([[2, 0], [4, 2], [2, 4], [0, 2.0]])
    if kind == "within":
        return np.array([[1.1, 1.3], [7.2, 0.9], [6.4, 6.6], [2.5, 5.9]])
    if kind == "larger":
        return np.array([[-6, -4], [15, -5], [14, 12], [5, 9], [-7, 13.0]])
    spokes = random.uniform(-2, 11, (9, 2))
    return spokes[np.argsort(np.arctan2(*(spokes - spokes.mean(axis=0)).T))]


@st.composite
def cases(draw, tops=TOPS):
    random = np.random.default_rng(draw(st.integers(0, 100_000)))
    plan = plan_of(draw(st.sampled_from(PLANS)), random)
    level = 100 + 0.08 * random.normal(size=len(plan))
    edge = edge_of(draw(st.sampled_from(EDGES)), random)
    corners = np.array([[-9, -8], [17, -8], [17, 16], [-9, 16.0]])
    lifted = np.column_stack([corners, 100.1 + 0.1 * random.random(4)])
    made: dict[str, Design] = {
        "level": Level(100.1),
        "plane": Plane(lifted[:3]),
        "measured": Measured(np.vstack([lifted, [[4, 4, 100.12], [1.524, 1.524, 100.2]]])),
        "between": Between(lifted[[0, 1]], lifted[[2, 3]]),
    }
    return Case(np.column_stack([plan, level]), edge, made[draw(st.sampled_from(tops))])


def volumes(measure, case, **rest):
    concrete, field = measure(case.shots, case.edge, case.top, **rest)
    return np.array([concrete.slab, concrete.overlap, concrete.beyond_survey, field.area.sum()])


def assert_same(one, other, *, within=SAME):
    """Nothing moves by more than a billionth of what there is."""
    assert_allclose(one, other, rtol=0, atol=within * (one[0] + one[1] + 1e-3))
    assert one[3] > 1


@given(case=cases())
def test_volume_does_not_depend_on_where_the_origin_lies(measure, case):
    there = case.moved(lambda points: points + STATE_PLANE)
    one, other = volumes(measure, case), volumes(measure, there)
    assert_allclose(other[3], one[3], rtol=SAME)
    assert_same(one, [*other[:3], one[3]])


@given(case=cases(), angle=st.floats(0, 2 * np.pi))
def test_volume_does_not_depend_on_which_way_north_is(measure, case, angle):
    turned = volumes(measure, case.moved(turn(angle)))
    one = volumes(measure, case)
    assert_allclose(turned[3], one[3], rtol=SAME)
    assert_same(one, [*turned[:3], one[3]])


@given(case=cases(), angle=st.floats(0, 2 * np.pi))
def test_volume_does_not_depend_on_both_at_once(measure, case, angle):
    there = case.moved(turn(angle)).moved(lambda points: points + STATE_PLANE)
    one, other = volumes(measure, case), volumes(measure, there)
    # coordinates of millions that were turned before hold a tenth of a nanometre
    assert_same(one, [*other[:3], one[3]], within=5 * SAME)


@given(case=cases(), seed=st.integers(0, 1000))
def test_volume_does_not_depend_on_the_order_of_shots_or_corners(measure, case, seed):
    random = np.random.default_rng(seed)
    edge = np.roll(case.edge, random.integers(len(case.edge)), axis=0)
    edge = edge[::-1] if random.random() < 0.5 else edge
    shuffled = Case(random.permutation(case.shots), edge, case.top)
    assert_same(volumes(measure, case), volumes(measure, shuffled))


@given(case=cases())
def test_a_job_in_a_mirror_has_the_same_volume(measure, case):
    mirrored = case.moved(lambda points: points * [-1, 1, 1])
    assert_same(volumes(measure, case), volumes(measure, mirrored))


@given(case=cases(), seed=st.integers(0, 1000))
def test_shots_booked_twice_change_nothing(measure, case, seed):
    again = np.random.default_rng(seed).choice(case.shots, 5)
    assert_same(
        volumes(measure, case),
        volumes(measure, Case(np.vstack([case.shots, again]), case.edge, case.top)),
    )


@given(case=cases(), seed=st.integers(0, 1000))
def test_volumes_of_the_parts_of_a_cut_slab_add_up(measure, case, seed):
    random = np.random.default_rng(seed)
    slab = shapely.Polygon(case.edge)
    angle, through = random.uniform(0, np.pi), random.uniform(1, 7, 2)
    along = 60 * np.array([np.cos(angle), np.sin(angle)])
    off = np.array([-along[1], along[0]])
    half = shapely.Polygon(
        [through - along, through + along, through + along + off, through - along + off]
    )
    parts = [
        part
        for whole in (slab & half, slab - half)
        for part in shapely.get_parts(whole)
        if part.area > 1e-6
    ]
    summed = sum(
        volumes(measure, Case(case.shots, shapely.get_coordinates(part)[:-1], case.top))
        for part in parts
    )
    assert_same(volumes(measure, case), summed)


@given(case=cases(), share=st.floats(0.2, 0.8))
def test_an_opening_takes_out_what_stands_over_it(measure, case, share):
    slab = shapely.Polygon(case.edge)
    middle = np.array(slab.representative_point().coords[0])
    reach = share * slab.boundary.distance(shapely.Point(middle))
    hole = middle + reach * np.array([[1, 0], [0, 1], [-1, 0], [0, -1.0]])
    around = volumes(measure, case, openings=(hole,))
    within = volumes(measure, Case(case.shots, hole, case.top))
    assert_same(volumes(measure, case), around + within)


@given(case=cases())
def test_what_stands_above_less_what_lies_below_is_the_mean(measure, case):
    concrete, field = measure(case.shots, case.edge, case.top)
    below = volume_above(field.area, -field.thickness).sum()
    mean = integral(field.area, field.thickness).sum()
    assert_allclose(concrete.slab - below, mean, atol=1e-12 * (1 + concrete.slab + below))
    assert_allclose(concrete.overlap, below, atol=1e-12 * (1 + concrete.slab + below))


@given(case=cases(tops=("level",)), lift=st.floats(0.001, 0.3))
def test_a_higher_top_takes_more_concrete_but_no_more_than_its_rise(measure, case, lift):
    assert isinstance(case.top, Level)
    higher = Case(case.shots, case.edge, Level(case.top.elevation + lift))
    before, after = volumes(measure, case), volumes(measure, higher)
    assert after[0] > before[0]
    assert after[0] - before[0] <= lift * before[3] * (1 + 1e-10)
    assert after[1] <= before[1] + 1e-12
    assert_allclose((after[0] - after[1]) - (before[0] - before[1]), lift * before[3], rtol=1e-9)


@given(case=cases(tops=("level", "plane")), share=st.floats(0.1, 0.9))
def test_panels_that_share_an_edge_hold_what_the_whole_top_holds(measure, case, share):
    low, high = case.edge.min(axis=0) - 1, case.edge.max(axis=0) + 1
    seam = low[0] + share * (high[0] - low[0])
    lean = 0.3 * (high[0] - low[0])
    west = np.array(
        [
            [low[0] - lean, low[1]],
            [seam, low[1]],
            [seam + lean / 3, high[1]],
            [low[0] - lean, high[1]],
        ]
    )
    east = np.array(
        [
            [seam, low[1]],
            [high[0] + lean, low[1]],
            [high[0] + lean, high[1]],
            [seam + lean / 3, high[1]],
        ]
    )
    slab = shapely.Polygon(case.edge)
    if min(slab.intersection(shapely.Polygon(ring)).area for ring in (west, east)) < 0.1:
        return
    panels = Panels((Panel(west, case.top), Panel(east, case.top)))
    assert_same(volumes(measure, case), volumes(measure, Case(case.shots, case.edge, panels)))


@given(
    seed=st.integers(0, 100_000),
    angle=st.sampled_from([0.0, 0.1, 0.5, np.pi / 4]),
    is_lattice=st.booleans(),
)
def test_shots_to_the_hundredth_of_a_foot_lose_nothing_at_state_plane_size(
    measure, seed, angle, is_lattice
):
    random = np.random.default_rng(seed)
    if is_lattice:
        plan = 5 * np.array([(i, j, 0) for i in range(6) for j in range(5)], float)
        plan = turn(angle)(plan)[:, :2]
    else:
        plan = random.uniform(0, 25, (40, 2))
    hundredths = np.round(100 * np.column_stack([plan, 328 + 0.2 * random.normal(size=len(plan))]))
    edge = np.array([[100, 100], [2000, 0], [1800, 1500], [500, 1900]])
    far = np.array([203_412_345, 689_012_388, 492_100])
    one = measure(0.01 * FOOT * hundredths, 0.01 * FOOT * edge, Level(328.5 * FOOT))[0]
    other = measure(
        0.01 * FOOT * (hundredths + far),
        0.01 * FOOT * (edge + far[:2]),
        Level(0.01 * FOOT * (32_850 + far[2])),
    )[0]
    assert one.slab > 1
    assert_allclose(other.slab, one.slab, rtol=SAME)
    assert_allclose(other.overlap, one.overlap, atol=SAME * one.slab)
    assert_allclose(other.beyond_survey, one.beyond_survey, atol=SAME * one.slab)
