from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.margin import say_ends, say_level_of, say_like_stated, say_spread
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.runs.check import check_job
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey
from gradevol.site.top import TOP_SIGMA
from gradevol.uncertainty import interpolation as between
from gradevol.uncertainty.interval import Interval, find_bounds
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.top_shots import TopShots
from tests.pads import see

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
SLAB = Slab(EDGE, (), 0.15, 0.13)


def invent_shots(count=60, *, seed=1, sigma=0.002):
    rng = np.random.default_rng(seed)
    plan = rng.uniform([0, 0], [12, 9], (count, 2))
    level = 0.01 * np.sin(plan[:, 0] / 2) + sigma * rng.standard_normal(count)
    return Survey(np.column_stack([plan, level]), np.zeros(3), sigma=sigma, datum_sigma=0.0015)


def estimate(survey, slab=SLAB, **rest):
    return see(survey, slab, **rest).interval


def test_each_source_is_reported_on_its_own_and_they_make_the_interval():
    made = estimate(invent_shots(), top_sigma=0.003)

    assert_allclose(made.datum, 108 * 0.0015, rtol=1e-9)
    assert_allclose(made.top, 108 * 0.003, rtol=1e-9)
    # 60 shots that stood for equal areas would make 108 σ / √60; unequal ones make a little more
    assert 1 < made.shots / (108 * 0.002 / np.sqrt(60)) < 1.5
    assert 0 < made.between_shots < 0.2
    parts = [made.shots, made.between_shots, made.datum, made.top]
    assert_allclose(made.volume.variance, np.square(parts).sum(), rtol=1e-9)
    half = (made.high - made.low) / 2
    assert_allclose(half, 1.645 * np.hypot.reduce(parts), rtol=0.02)


def test_without_what_is_shared_the_interval_is_that_of_shots_and_gaps_alone():
    survey = replace(invent_shots(), datum_sigma=0.004, foot_sigma=0.002)
    shared = estimate(survey, top_sigma=0.003)
    alone = estimate(replace(survey, datum_sigma=0.0, foot_sigma=0.0), top_sigma=0.0)
    assert shared.without_shared == pytest.approx((alone.low, alone.high))
    assert shared.low < alone.low < alone.high < shared.high
    assert (shared.top_sigma, shared.is_top_stated) == (0.003, True)
    assert not estimate(survey).is_top_stated


def test_a_higher_level_gives_a_wider_interval_that_holds_the_stated_volume():
    survey = invent_shots()
    intervals = [estimate(survey, level=level) for level in (0.5, 0.8, 0.9, 0.99)]
    lows, highs = [each.low for each in intervals], [each.high for each in intervals]
    assert lows == sorted(lows, reverse=True)
    assert highs == sorted(highs)
    assert len({*lows}) == len({*highs}) == 4
    assert all(each.low <= each.stated <= each.high for each in intervals)


def test_the_interval_is_widened_to_hold_the_stated_volume():
    far = Mixture(np.array([1.0]), np.array([10.0]), np.array([0.1]))
    low, high = find_bounds(far, 9.0, 0.9)
    assert low == 9.0
    assert high == pytest.approx(10.164485, abs=1e-5)


def test_no_volume_is_less_than_nought():
    wide = Mixture(np.array([1.0]), np.array([1.0]), np.array([2.0]))
    low, high = find_bounds(wide, 1.0, 0.9)
    assert low == 0
    assert high == pytest.approx(4.289707, abs=1e-5)


def test_the_datum_cancels_where_the_top_is_of_the_same_setup():
    survey = replace(invent_shots(), setups=("1",) * 60)
    alone = estimate(survey)
    together = estimate(survey, top_setups={"1": 108.0})
    assert alone.datum == pytest.approx(0.162)
    assert together.datum == pytest.approx(0, abs=1e-12)
    assert together.high - together.low < alone.high - alone.low


def test_what_the_rods_foot_does_on_stone_is_shared_by_all_setups():
    setups = ("1",) * 30 + ("2",) * 30
    survey = replace(invent_shots(), setups=setups, datum_sigma=0.0, foot_sigma=0.0012)
    assert estimate(survey).datum == pytest.approx(108 * 0.0012)
    together = estimate(survey, top_setups={"1": 60.0, "2": 48.0})
    assert together.datum == pytest.approx(108 * 0.0012)  # the top is hard: nothing cancels


def test_a_misclosure_widens_what_the_shots_of_its_setup_share():
    survey = replace(invent_shots(), setups=("1",) * 30 + ("2",) * 30)
    open_, closed = estimate(survey), estimate(replace(survey, misclosures={"2": -0.004, "3": 9.0}))
    share = (closed.datum**2 - open_.datum**2) / 0.004**2  # of the slab's area, by setup 2
    assert 40**2 < share < 68**2
    assert closed.closed == {"2": -0.004}
    assert closed.high - closed.low > open_.high - open_.low


def test_a_misclosure_cancels_where_the_top_is_of_the_same_setup():
    survey = replace(invent_shots(), setups=("1",) * 60, misclosures={"1": 0.01})
    assert estimate(survey).datum == pytest.approx(108 * np.hypot(0.0015, 0.01))
    assert estimate(survey, top_setups={"1": 108.0}).datum == pytest.approx(0, abs=1e-12)


def test_a_setup_of_the_top_alone_that_does_not_close_counts_too():
    survey = replace(invent_shots(), setups=("1",) * 60)
    made = estimate(survey, top_setups={"2": 108.0}, top_closed={"2": 0.002})
    assert made.datum == pytest.approx(108 * np.sqrt(0.0015**2 + 0.0015**2 + 0.002**2))


def test_what_the_tops_own_shots_leave_open_counts_as_the_tops():
    survey = invent_shots()
    own = TopShots(0.002, False, 0.03, 0.04)
    plain, shot = estimate(survey, top_sigma=0.0), estimate(survey, top_sigma=0.0, top_shots=own)
    assert shot.top == pytest.approx(0.05)
    assert shot.volume.variance == pytest.approx(plain.volume.variance + 0.05**2)


def test_depths_from_the_top_have_no_setup_to_share_with_it():
    survey = invent_shots()
    hung = replace(survey, depths=0.15 - survey.points[:, 2])
    assert estimate(hung, top_setups={"": 108.0}).datum == pytest.approx(0.162)


def test_the_accuracy_stated_for_the_top_replaces_the_default():
    survey = invent_shots()
    assert estimate(survey).top == pytest.approx(108 * TOP_SIGMA)
    assert estimate(survey, top_sigma=0.0).top == 0


def test_few_shots_give_a_wide_interval_and_a_note():
    few, many = estimate(invent_shots(6)), estimate(invent_shots(60))
    assert [note.code for note in few.notes] == ["interval-few-shots"]
    assert many.notes == ()
    assert few.between_shots > 5 * many.between_shots


def test_a_failed_fit_gives_a_wider_interval_and_a_note(monkeypatch):
    def fail(*_, **__):
        raise np.linalg.LinAlgError("does not converge")

    good = estimate(invent_shots())
    monkeypatch.setattr(between, "fit_process", fail)
    failed = estimate(invent_shots())
    assert [note.code for note in failed.notes] == ["interval-fit-failed"]
    assert failed.high - failed.low > 3 * (good.high - good.low)
    assert failed.low < failed.stated < failed.high


def test_thousands_of_shots_are_thinned_to_cells_and_say_nearly_the_same():
    rng = np.random.default_rng(2)
    plan = rng.uniform([0, 0], [12, 9], (1500, 2))
    level = 0.01 * np.sin(plan[:, 0]) + 0.004 * rng.standard_normal(1500)
    points = np.column_stack([plan, level])
    survey = Survey(points, np.zeros(3), sigma=0.004, datum_sigma=0.004)

    made = estimate(survey)
    some = estimate(replace(survey, points=points[:500]))

    assert made.shots < some.shots
    assert np.hypot(made.shots, made.between_shots) < np.hypot(some.shots, some.between_shots)
    assert made.datum > 10 * made.between_shots  # the registration is what is left
    assert_allclose(made.volume.middle, made.stated, atol=0.01)


def test_shots_of_a_beam_that_they_show_do_not_make_the_base_uneven():
    beam = Thickening("beam", 0.2, width=0.6, surveyed="yes", sides=(1,))
    with_beam = Slab(EDGE, (), 0.15, 0.13, thickenings=(beam,))
    survey = invent_shots(80)
    lowered = survey.points.copy()
    lowered[lowered[:, 1] < 0.6, 2] -= 0.2
    assert (lowered[:, 1] < 0.6).sum() > 2

    plain = estimate(survey)
    made = estimate(replace(survey, points=lowered), with_beam)

    assert_allclose(made.between_shots, plain.between_shots, rtol=1e-6)


def test_hairs_of_concrete_that_rounding_leaves_are_no_place_to_be_unsure_of(monkeypatch):
    """A row of shots at the top, all others above it: a base off by a foot took all memory."""
    plan = np.stack(np.meshgrid(np.linspace(0, 12, 5), np.linspace(0, 9, 4)), axis=-1)
    level = np.where(plan[..., 0] == 6, 0.15 - 1e-7, 0.25)
    survey = Survey(np.column_stack([plan.reshape(-1, 2), level.ravel()]), np.zeros(3), sigma=0.002)
    fitted = []
    monkeypatch.setattr(between, "fit_process", lambda *given, **_: fitted.append(given))
    made = estimate(survey)
    assert not fitted
    assert_allclose([made.low, made.high], 0.0, atol=1e-6)


def test_where_the_base_stands_above_the_top_nothing_is_unsure():
    survey = invent_shots()
    points = survey.points.copy()
    points[points[:, 0] > 6, 2] += 1.0
    made = estimate(replace(survey, points=points))
    assert 108 * 0.0015 / 3 < made.datum < 108 * 0.0015 / 1.5
    assert np.isfinite([made.low, made.high]).all()


def test_the_order_of_the_shots_does_not_matter():
    survey = invent_shots()
    turned = replace(survey, points=survey.points[::-1].copy())
    one, other = estimate(survey), estimate(turned)
    assert_allclose([other.low, other.high], [one.low, one.high], rtol=1e-9)


def interval(low, stated, high, level=0.9, **parts):
    given = {"shots": 0.1, "between_shots": 0.3, "datum": 0.5, "top": 0.8, **parts}
    one = np.array([1.0])
    volume = Mixture(one, stated * one, one)
    return Interval(level, low, high, stated=stated, volume=volume, **given)


METRIC, US = Units.of_job("m"), Units.of_job("ft")


@pytest.mark.parametrize(
    ("low", "stated", "high", "said", "headline"),
    [
        (71.089, 72.735, 74.271, "90 % sure: 71.0 to 74.3 m³", "72.7 m³"),
        (471.2, 502.35, 530.9, "90 % sure: 471 to 531 m³", "502 m³"),
        (5.071, 5.113, 5.149, "90 % sure: 5.07 to 5.15 m³", "5.11 m³"),
        (3.1, 4.87, 6.52, "90 % sure: 3.1 to 6.6 m³", "4.9 m³"),
        (55.0, 55.0, 55.0, "90 % sure: 55.0 to 55.0 m³", "55.0 m³"),
        # the volume and the ends of its interval carry the same decimals
        (12.974, 13.344, 13.716, "90 % sure: 12.9 to 13.8 m³", "13.3 m³"),
    ],
)
def test_no_more_digits_are_said_than_the_interval_bears(low, stated, high, said, headline):
    made = interval(low, stated, high)
    assert f"{say_level_of(made)}: {' to '.join(say_ends(made, METRIC))}" == said
    assert say_like_stated(made.stated, made, METRIC) == headline


def test_a_level_that_is_no_whole_per_cent_keeps_its_tenth():
    assert say_level_of(interval(1, 2, 3, level=0.975)) == "97.5 % sure"


def test_a_standard_deviation_that_is_there_is_not_said_to_be_none():
    assert say_spread(0.8, US) == "1.05 yd³"
    assert say_spread(1e-5, US) == "less than 0.01 yd³"
    assert say_spread(0.0, METRIC) == "0.00 m³"


@pytest.mark.usefixtures("unsimulated")
def test_many_shots_at_random_stand_in_no_rows_whatever_they_are_gathered_in(tmp_path):
    """They are gathered in cells for the fit, and cells do stand in rows."""
    east, north = np.random.default_rng(11).uniform(0, 200, (2, 1500))
    up = 99.5 + np.random.default_rng(12).normal(0, 0.02, 1500)
    rows = (f"{e:.2f},{n:.2f},{z:.3f}" for e, n, z in zip(east, north, up, strict=True))
    (tmp_path / "shots.csv").write_text("e,n,z\n" + "\n".join(rows), encoding="utf-8")
    (tmp_path / "job.toml").write_text(
        'units = "ft"\n[base]\nshots = "shots.csv"\n[top]\nlevel = 100\n[slab]\nthickness = 0.5\n'
        "edge = [[2, 2], [198, 2], [198, 198], [2, 198]]\n",
        encoding="utf-8",
    )
    result = check_job(read_job(tmp_path / "job.toml"))
    assert result.survey.count == 1500
    assert result.between is not None
    assert result.between.unseen < 0.05
    assert not {"interval-rows", "interval-forms"} & {note.code for note in result.notes}
