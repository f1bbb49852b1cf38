"""Screening: slips are found and named, ground is left alone."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.slips import name_slip
from gradevol.doubts.suspects import LEAST_DIFFERENCE, find_suspects
from gradevol.site.survey import Survey

FOOT = 0.3048


def survey_of(shots, *, ids=True):
    shots = np.asarray(shots, float)
    names = tuple(str(number + 1) for number in range(len(shots))) if ids else ()
    return Survey.about_local_origin(shots, ids=names, sigma=0.002)


def screen(shots, **rest):
    survey = survey_of(shots, **rest)
    return find_suspects(survey, np.zeros(len(survey.points)))


def ground(columns=8, rows=6, spacing=3.0, seed=0, noise=0.003):
    """Shots on a lattice, a plane with some millimetres of noise."""
    rng = np.random.default_rng(seed)
    east, north = np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij")
    plan = spacing * np.column_stack([east.ravel(), north.ravel()]) + rng.uniform(
        -0.2, 0.2, (columns * rows, 2)
    )
    level = 100 + 0.01 * plan[:, 0] - 0.005 * plan[:, 1] + noise * rng.standard_normal(len(plan))
    return np.column_stack([plan, level])


@pytest.mark.parametrize("seed", range(8))
def test_ground_with_nothing_but_noise_is_left_alone(seed):
    assert screen(ground(seed=seed)) == ()


def test_a_plane_without_noise_is_left_alone():
    assert screen(ground(noise=0.0)) == ()


@pytest.mark.parametrize("slip", [0.05, -0.05, 0.3, -3.0])
@pytest.mark.parametrize("which", [0, 7, 20, 27, 47])
def test_one_slip_is_found_and_no_other_shot_is_accused(slip, which):
    shots = ground()
    shots[which, 2] += slip
    (suspect,) = screen(shots)
    assert suspect.index == which
    assert_allclose(suspect.difference, slip, atol=0.015)
    assert_allclose(suspect.expected + suspect.difference, shots[which, 2])


@pytest.mark.parametrize(
    ("name", "code", "is_told"),
    [
        *[("BM", "", True), ("tbm 2", "", True), ("20", "CP-1", True), ("20", "Bench mark", True)],
        *[("20", "BASE", False), ("20", "CPL", False), ("BM20A", "", False)],
    ],
)
def test_a_bench_mark_among_the_shots_is_to_be_left_out(name, code, is_told):
    shots = ground()
    shots[20, 2] += 1.31
    ids = tuple(name if at == 20 else f"s{at}" for at in range(len(shots)))
    codes = tuple(code if at == 20 else "" for at in range(len(shots))) if code else ()
    survey = Survey.about_local_origin(shots, ids=ids, codes=codes, sigma=0.002)
    (suspect,) = find_suspects(survey, np.zeros(len(shots)))
    assert ("leave it out" in suspect.slip) == is_told


def test_two_slips_are_both_found_the_worst_first():
    shots = ground()
    shots[10, 2] += 0.08
    shots[37, 2] -= 0.2
    assert [suspect.index for suspect in screen(shots)] == [37, 10]


def test_a_difference_that_is_grading_is_no_slip():
    shots = ground(noise=0.0)
    shots[20, 2] += LEAST_DIFFERENCE / 2
    assert screen(shots) == ()


def test_a_real_ridge_is_left_alone():
    shots = ground(columns=10, rows=10)
    across = (shots[:, 0] - shots[:, 1]) / np.sqrt(2)
    shots[:, 2] += 0.05 * np.exp(-((across / 4) ** 2))
    assert screen(shots) == ()


def test_the_order_of_the_shots_does_not_matter():
    shots = ground()
    shots[[10, 30], 2] += 0.1
    order = np.random.default_rng(4).permutation(len(shots))
    first = {(s.index, round(s.difference, 9)) for s in screen(shots)}
    second = {(int(order[s.index]), round(s.difference, 9)) for s in screen(shots[order])}
    assert {index for index, _ in first} == {10, 30}
    assert first == second


def test_many_shots_are_screened_alike():
    shots = ground(columns=45, rows=45)
    shots[1000, 2] += 0.2
    assert 1000 in [suspect.index for suspect in screen(shots)][:1]


@pytest.mark.parametrize(("columns", "rows"), [(9, 7), (40, 40)])
def test_of_neighbours_equally_near_the_order_of_the_shots_picks_none(columns, rows):
    # a lattice is all ties, and the few that are taken make the expected elevation
    east, north = np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij")
    rng = np.random.default_rng(1)
    level = 100 + 0.003 * rng.standard_normal(columns * rows)
    shots = np.column_stack([3.0 * east.ravel(), 3.0 * north.ravel(), level])
    slips = rng.choice(len(shots), 5, replace=False)
    shots[slips, 2] += 0.2
    order = rng.permutation(len(shots))
    first = [(s.index, s.expected) for s in screen(shots)]
    second = [(int(order[s.index]), s.expected) for s in screen(shots[order])]
    assert {index for index, _ in first} == set(slips.tolist())
    assert first == second


def test_a_second_shot_at_one_place_does_not_upset_the_judgement():
    shots = ground()
    shots = np.vstack([shots, shots[20] + [0, 0, 0.06]])
    found = screen(shots)
    assert found
    assert {suspect.index for suspect in found} <= {20, 48}
    assert_allclose([abs(suspect.difference) for suspect in found], 0.06, atol=0.015)


def test_a_row_that_is_repeated_does_not_vouch_for_itself():
    shots = ground()
    shots[20, 2] += 0.06
    shots = np.vstack([shots, shots[20]])
    assert {suspect.index for suspect in screen(shots)} == {20, 48}


@pytest.mark.parametrize("count", [3, 9])
def test_too_few_shots_are_not_judged(count):
    shots = ground()[:count]
    shots[0, 2] += 1
    assert screen(shots) == ()


def test_a_cloud_has_no_single_shots_to_suspect():
    shots = ground()
    shots[20, 2] += 0.3
    assert screen(shots, ids=False) == ()


def test_a_trench_shot_is_judged_as_it_is_raised_and_told_as_it_was_booked():
    shots = ground()
    shots[8:14, 2] -= 0.2  # one row, shot in a trench
    shots[10, 2] += 0.1
    raised = np.zeros(len(shots))
    raised[8:14] = 0.2
    (suspect,) = find_suspects(survey_of(shots), raised)
    assert suspect.index == 10
    assert_allclose(suspect.expected, shots[10, 2] - suspect.difference)
    assert_allclose(suspect.difference, 0.1, atol=0.015)


@pytest.mark.parametrize(
    ("difference", "reading", "unit", "words"),
    [
        (0.10 * FOOT, "99.78", "ft", "a tenth of a foot misread, too high"),
        (-0.10 * FOOT, "99.58", "ft", "a tenth of a foot misread, too low"),
        (1.0 * FOOT, "100.68", "ft", "a foot misread, too high"),
        (-1.0, "98.314", "m", "a metre misread, too low"),
        (0.1, "99.414", "m", "a decimetre misread, too high"),
        (0.1, "99414", "mm", "a decimetre misread, too high"),
        # 99.51 was booked as 95.91, 5.40 as 4.50
        (-3.60 * FOOT, "95.91", "ft", "two digits changed places (99.51 meant)"),
        (-0.90 * FOOT, "4.50", "ft", "two digits changed places (5.40 meant)"),
        (0.45, "99.72", "m", "two digits changed places (99.27 meant)"),
        # below a datum of 0: -0.52 was booked as 0.52, 0.31 as -0.31, -1.42 as -1.24
        (1.04 * FOOT, "0.52", "ft", "a minus sign left out"),
        (-0.62, "-0.31", "m", "a minus sign put in"),
        (0.18 * FOOT, "-1.24", "ft", "two digits changed places (-1.42 meant)"),
        # 6 ft 4 in was booked as 6.4
        ((0.4 - 4 / 12) * FOOT, "6.4", "ft", "inches booked as decimals (6 ft 4 in meant)"),
        (0.026, "4'-5 1/8\"", "ft", "an inch misread, too high"),
        (0.026, "4-5-1/8", "ft", "an inch misread"),
        (-0.025, "53.1", "in", "an inch misread, too low"),
    ],
)
def test_a_slip_is_named(difference, reading, unit, words):
    assert words in name_slip(difference, reading, unit, sigma=0.003, limit=0.012)


@pytest.mark.parametrize(
    ("difference", "reading", "unit"),
    [(0.05, "99.78", "ft"), (0.037, "12.345", "m"), (0.2, "", "m"), (0.05, "on the kerb", "ft")],
)
def test_what_no_slip_explains_is_not_explained(difference, reading, unit):
    assert name_slip(difference, reading, unit, sigma=0.003, limit=0.012) == ""


def test_uneven_ground_explains_a_tenth_of_a_foot_as_well():
    assert "tenth" in name_slip(0.1 * FOOT, "99.78", "ft", sigma=0.004, limit=0.015)
    assert name_slip(0.1 * FOOT, "99.78", "ft", sigma=0.009, limit=0.03) == ""


def test_a_loose_fit_does_not_explain_what_is_half_as_large():
    assert name_slip(0.02, "99.78", "ft", sigma=1.0, limit=0.02) == ""
