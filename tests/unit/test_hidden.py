from statistics import NormalDist

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.acceptance import Acceptance
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import find_thin
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from gradevol.uncertainty import interpolation as between_module
from gradevol.uncertainty.interpolation import Between, fit_between
from gradevol.uncertainty.interval import Interval, estimate_interval
from gradevol.uncertainty.kernel import Kernel
from gradevol.uncertainty.kriging import Spectrum
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.process import Process
from gradevol.uncertainty.thin_risk import study_hidden
from gradevol.uncertainty.trend import NOT_AT_FORMS, build_trend
from tests.pads import grid, see

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
SLAB = Slab(EDGE, (), 0.15, 0.13)
NORMAL = NormalDist()


def make_survey(plan, level, *, named=True, sigma=0.002, datum=0.0015):
    ids = tuple(str(number) for number in range(len(plan))) if named else ()
    points = np.column_stack([plan, level])
    return Survey(points, np.zeros(3), ids=ids, sigma=sigma, datum_sigma=datum)


def invent_shots(count=60, *, seed=1, high=0.0, uneven=0.004, **rest):
    rng = np.random.default_rng(seed)
    plan = rng.uniform([0, 0], [12, 9], (count, 2))
    level = high + 0.008 * np.sin(plan[:, 0] / 2) + uneven * rng.standard_normal(count)
    return make_survey(plan, level, **rest)


def measure(survey, slab=SLAB, *, top_sigma=None, **rest):
    """What the whole road gives: the study, and what is thin on the surface, m²."""
    seen = see(survey, slab, top_sigma=top_sigma)
    study = study_hidden(seen.between, seen.field, slab, survey, seen.interval, **rest)
    return study, find_thin(seen.field, slab)


def know(*, level=0.01, uneven=0.008, shared=0.0, size=1.0, within=0.0, count=400):
    """
    A process of one combination, known, and what goes with it.

    Its range is long and its size next to nothing: the base is level but for the nugget, so that
    each core is a normal figure of its own.
    """
    rng = np.random.default_rng(2)
    places = rng.uniform([0, 0], [12, 9], (count, 2))
    scale, reach = 1e-12, 1e4
    one = np.ones(1)
    trend = build_trend(places, SLAB.outline)
    process = Process(
        places=places,
        readings=np.full(count, level),
        trend=trend,
        functions=trend.at(places),
        kernels=(Kernel(reach),),
        spectra=(Spectrum.of(np.ones((count, count))),),
        chance=one,
        of_kernel=np.zeros(1, np.intp),
        noise=one * uneven**2 / scale,
        scale=one * scale,
        forms=one * NOT_AT_FORMS,
        integral=Mixture.of_one(0.0, 1.0),
    )
    volume = Mixture.of_one(1.0, 1.0)
    interval = Interval(0.9, 0, 2, 0, 0, 108 * shared, 0, 1, volume)
    return Between(SLAB.outline, volume, process, size, within), interval


def build_level_field():
    """Build the field of a level base; the process alone is looked at where shots have names."""
    survey = make_survey(EDGE, np.zeros(4))
    top = build_top(Level(0.15), SLAB)
    return build_field(build_base(MeasuredBase(survey), SLAB, top).surface, top.surface, SLAB)


def study_known(*, tests=(), sigma=0.0, **rest):
    between, interval = know(**rest)
    survey = Survey(np.zeros((1, 3)), np.zeros(3), ids=("1",), sigma=sigma)
    return study_hidden(between, build_level_field(), SLAB, survey, interval, tests=tests)


# in closed form


@pytest.mark.parametrize("level", [-0.02, 0.0, 0.01, 0.03])
@pytest.mark.parametrize("shared", [0.0, 0.004])
def test_the_chance_of_a_thin_core_is_the_normal_formula_s(level, shared):
    made = study_known(level=level, shared=shared)
    # the level of the base is known by 400 shots
    spread = np.sqrt(0.008**2 * (1 + 1 / 400) + shared**2)
    chance = NORMAL.cdf((0.13 - 0.15 + level) / spread)
    assert_allclose(made.core_chance, chance, rtol=1e-4)
    assert_allclose(made.area, 108 * chance, rtol=1e-4)


def test_the_shots_own_errors_are_not_taken_for_unevenness():
    rough = study_known(sigma=0.0)
    smooth = study_known(sigma=0.0064)  # 0.0048 m is left of 0.008 m
    assert_allclose(rough.core_chance, NORMAL.cdf(-0.01 / 0.008), rtol=0.01)
    assert_allclose(smooth.core_chance, NORMAL.cdf(-0.01 / 0.0048), rtol=0.02)


def test_of_means_of_cells_what_single_places_vary_about_them_is_added():
    """Means of 25 shots: a nugget of 2 mm is the 10 mm within a cell, and nothing besides."""
    made = study_known(uneven=0.002, size=25.0, within=0.01**2)
    assert_allclose(made.core_chance, NORMAL.cdf(-0.01 / 0.01), rtol=0.01)


def test_the_chances_of_the_tests_are_those_of_independent_samples():
    tests = (
        Acceptance("single", single=0.02, samples=4),
        Acceptance("average", average=0.012, samples=4),
    )
    single, average = (tested.chance for tested in study_known(tests=tests).acceptance)
    alone = NORMAL.cdf(-0.01 / 0.008)
    expected = 1 - (1 - alone) ** 4
    assert_allclose(single, expected, atol=3 * np.sqrt(expected * (1 - expected) / 1024))
    expected = NORMAL.cdf(-0.002 / 0.004)
    assert_allclose(average, expected, atol=3 * np.sqrt(expected * (1 - expected) / 1024))


def test_what_all_shots_share_widens_the_bounds_of_the_area_and_makes_samples_fail_together():
    apart = study_known(tests=(Acceptance("average", average=0.014, samples=50),))
    shared = study_known(shared=0.006, tests=(Acceptance("average", average=0.014, samples=50),))
    assert shared.area_high - shared.area_low > 3 * (apart.area_high - apart.area_low)
    assert apart.acceptance[0].chance < 0.01
    assert_allclose(shared.acceptance[0].chance, NORMAL.cdf(-0.004 / 0.0061), atol=0.05)


# the whole road


def test_a_wide_margin_leaves_a_tiny_chance_that_is_not_nought():
    made, seen = measure(invent_shots(high=-0.04))
    assert seen.area == 0
    assert 0 < made.core_chance < 1e-4


def test_a_base_that_is_wholly_too_high_fails_nearly_every_core_and_every_test():
    made, seen = measure(invent_shots(high=0.06))
    assert_allclose(seen.area, 108)
    assert made.core_chance > 0.99
    assert made.area_low > 0.95 * 108
    assert [tested.chance for tested in made.acceptance] == [1.0, 1.0]


def test_where_no_shot_fails_thin_concrete_is_still_expected():
    rng = np.random.default_rng(8)
    plan = rng.uniform([0, 0], [12, 9], (40, 2))
    level = np.clip(0.012 * rng.standard_normal(40), None, 0.0195)
    made, seen = measure(make_survey(plan, level))
    assert seen.area == 0
    assert made.area > 1.0
    assert made.area_high > made.area > made.area_low


def test_the_bounds_are_those_of_the_interval_s_level():
    survey = invent_shots(high=0.016)
    top = build_top(Level(0.15), SLAB)
    base = build_base(MeasuredBase(survey), SLAB, top)
    field = build_field(base.surface, top.surface, SLAB)
    concrete = measure_concrete(field, SLAB)
    between = fit_between(field, base, survey, top, SLAB, concrete=concrete)
    made = []
    for level in (0.5, 0.9, 0.99):
        interval = estimate_interval(
            field, base, survey, between, stated=concrete.volume, level=level
        )
        study = study_hidden(between, field, SLAB, survey, interval)
        assert study is not None
        made.append(study)
    assert [each.level for each in made] == [0.5, 0.9, 0.99]
    lows, highs = [each.area_low for each in made], [each.area_high for each in made]
    assert lows[0] > lows[1] > lows[2]
    assert highs[0] < highs[1] < highs[2]
    assert len({each.area for each in made}) == 1


@pytest.mark.parametrize("named", [True, False])
def test_the_bounds_hold_the_area_that_is_expected(named):
    """A whole slab that is thin once in thirty times, and not at all in the others."""
    plan = np.stack(np.meshgrid(np.linspace(0, 12, 9), np.linspace(0, 9, 7)), axis=-1)
    survey = make_survey(plan.reshape(-1, 2), np.zeros(63), named=named)
    hidden, _ = measure(survey, top_sigma=0.0108)
    assert 0.02 < hidden.area / SLAB.area < 0.05
    assert hidden.area_low <= hidden.area <= hidden.area_high


def test_a_trench_that_the_shots_show_is_not_thin_because_its_base_lies_deep():
    """A wide pad of 0.2 m that was shot: over it 0.35 m of concrete, less the base's departure."""
    pad = Thickening(
        "pad", 0.2, outline=np.array([[3, 3], [9, 3], [9, 6], [3, 6.0]]), surveyed="yes"
    )
    slab = Slab(EDGE, (), 0.15, 0.13, thickenings=(pad,))
    east, north = grid(np.linspace(0, 12, 13), np.linspace(0, 9, 10)).T
    rng = np.random.default_rng(3)
    level = 0.03 + 0.003 * rng.standard_normal(len(east))
    level = level - 0.2 * ((east >= 3) & (east <= 9) & (north >= 3) & (north <= 6))
    made, _ = measure(make_survey(np.column_stack([east, north]), level), slab)
    assert_allclose(made.core_chance, 1 - 18 / 108, atol=0.02)


def test_too_few_shots_for_a_process_leave_the_answer_out():
    survey = make_survey(np.array([[0, 0], [12.0, 9]]), np.zeros(2))
    between = Between(SLAB.outline, Mixture.of_one(1.0, 1.0))
    _, interval = know()
    assert study_hidden(between, build_level_field(), SLAB, survey, interval) is None


@pytest.fixture
def _thinned(monkeypatch):
    """Fewer places than there are shots, without the time that hundreds take."""
    monkeypatch.setattr(between_module, "MOST_PLACES", 60)


@pytest.mark.usefixtures("_thinned")
def test_many_shots_thinned_to_cells_still_tell_how_uneven_the_base_is():
    """
    A thousand shots that scatter by 12 mm: a core falls short about as often as a shot does.

    A little more often: from cells as few as these the base might have lanes as wide as they are.
    """
    survey = invent_shots(1000, high=0.0, uneven=0.012, sigma=0.002)
    made, _ = measure(survey)
    level = survey.points[:, 2]
    assert_allclose(made.core_chance, np.mean(level > 0.02), atol=0.025)
    assert np.mean(level > 0.02) > 0.05


# a base that was seen everywhere


def test_of_a_cloud_whose_level_is_known_the_thin_area_is_the_one_seen():
    survey = invent_shots(3000, high=0.01, named=False, datum=0.0)
    made, seen = measure(survey, top_sigma=0.0)
    assert seen.area > 1
    assert_allclose([made.area_low, made.area, made.area_high], seen.area, rtol=1e-9)


def test_of_a_cloud_whose_level_is_not_known_more_is_thin_the_higher_it_may_stand():
    survey = invent_shots(3000, high=0.01, named=False, datum=0.003)
    made, seen = measure(survey, top_sigma=0.0)
    lifted = invent_shots(3000, high=0.01 + 1.645 * 0.003, named=False, datum=0.0)
    _, high = measure(lifted, top_sigma=0.0)
    assert made.area_low < seen.area < made.area_high
    assert_allclose(made.area_high, high.area, rtol=0.01)


def test_of_a_cloud_the_order_of_the_pieces_is_nothing_to_it():
    between, interval = know(shared=0.003)
    cloud = invent_shots(900, high=0.01, named=False)
    top = build_top(Level(0.15), SLAB)
    field = build_field(build_base(MeasuredBase(cloud), SLAB, top).surface, top.surface, SLAB)
    order = np.random.default_rng(2).permutation(len(field.area))
    other = field.take(order)
    first, again = (study_hidden(between, of, SLAB, cloud, interval) for of in (field, other))
    assert first is not None
    assert again is not None
    assert first.area > 1
    assert_allclose(again.area, first.area, rtol=1e-9)
    for one, two in zip(first.acceptance, again.acceptance, strict=True):
        assert_allclose(two.chance, one.chance, atol=1.1 / 1024)


def test_a_level_base_seen_everywhere_is_thin_with_the_chance_that_all_of_it_stands_high():
    east, north = grid(np.linspace(0, 12, 40), np.linspace(0, 9, 30)).T
    survey = make_survey(
        np.column_stack([east, north]), np.full(1200, 0.017), named=False, datum=0.004
    )
    made, seen = measure(survey, tests=(Acceptance("single", single=0.02, samples=4),))
    assert seen.area == 0
    chance = NORMAL.cdf(-0.003 / np.hypot(0.004, 0.0018))
    assert_allclose(made.core_chance, chance, rtol=1e-6)
    assert_allclose(made.acceptance[0].chance, chance, atol=0.05)
    assert_allclose([made.area_low, made.area_high], [0, 108], atol=1e-9)
