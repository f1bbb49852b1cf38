"""Trends over jobs: the mean, how sure it is, and when it is told to be nothing."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.after.trends import CAUSES, Part, find_trend, list_parts
from gradevol.answer.accounts import compose_accounts
from gradevol.answer.job_account import JobAccount, take_account
from gradevol.ground.units import Units
from gradevol.out.pages.accounts import compose_accounts_page
from gradevol.out.paper.accounts import draw_accounts_paper
from gradevol.out.text.accounts import compose_accounts_text
from tests.after_pour import TOP_SHOTS, reconciled

FEET = Units.of_job("ft")


def part(share, sigma=0.01, shared=0.0, basis="measured", cause="base"):
    return Part(cause, share, sigma, shared, basis)


def trend_of(*parts):
    found = find_trend(parts)
    assert found is not None
    return found


def job(name, *parts, is_whole=True):
    rest = [part(0.0, 0.0, basis="assumed", cause=cause) for cause in CAUSES]
    given = {each.cause: each for each in parts}
    return JobAccount(
        name,
        title=name,
        units=FEET,
        loads=8,
        neat=50.0,
        ticketed=55.0,
        parts=tuple(given.get(each.cause, each) for each in rest),
        is_whole=is_whole,
    )


def test_the_mean_is_weighted_by_how_sure_each_job_is():
    # by hand: weights 1 and 1/4, so (0.02 + 0.07 / 4) / 1.25, and 0.02 / sqrt(1.25)
    found = trend_of(part(0.02, 0.02), part(0.07, 0.04))
    assert found.mean == pytest.approx(0.03)
    # they differ by 0.05, of which 0.02 and 0.04 allow as much: chi squared 1.25
    assert found.scatter == pytest.approx(math.sqrt(1.25))
    assert found.sigma == pytest.approx(0.02 / math.sqrt(1.25) * found.scatter)


def test_jobs_that_agree_are_as_sure_as_they_say_and_no_surer():
    found = trend_of(*[part(0.05, 0.01)] * 4)
    assert found.scatter == 1.0
    assert found.sigma == pytest.approx(0.005)
    assert found.is_real


def test_what_all_jobs_share_is_not_less_for_there_being_more():
    found = trend_of(*[part(0.05, 0.01, shared=0.008)] * 400)
    assert found.sigma == pytest.approx(0.008, rel=0.01)


def test_a_mean_within_two_of_its_sigma_is_not_different_from_nothing():
    assert not trend_of(*[part(0.019, 0.02)] * 4).is_real
    assert trend_of(*[part(0.021, 0.02)] * 4).is_real


@pytest.mark.parametrize(
    "parts", [[], [part(0.1)], [part(0.1), part(0.1, basis="assumed")], [part(0.1), part(0.1, 0)]]
)
def test_one_job_or_what_is_assumed_makes_no_trend(parts):
    assert find_trend(parts) is None


@given(
    st.lists(
        st.tuples(st.floats(-0.2, 0.2), st.floats(0.001, 0.1), st.floats(0, 1)),
        min_size=2,
        max_size=6,
    )
)
def test_a_trend_lies_among_its_jobs_in_whatever_order_and_never_surer_than_their_weights(rows):
    parts = [part(share, sigma, shared * sigma) for share, sigma, shared in rows]
    found, turned = trend_of(*parts), trend_of(*parts[::-1])
    assert min(p.share for p in parts) - 1e-12 <= found.mean <= max(p.share for p in parts) + 1e-12
    assert found.mean == pytest.approx(turned.mean, abs=1e-12)
    assert found.sigma == pytest.approx(turned.sigma, rel=1e-9)
    least = math.sqrt(1 / sum(1 / p.sigma**2 for p in parts))
    assert found.sigma >= least * (1 - 1e-3)


def test_the_parts_of_a_job_add_up_to_what_was_ticketed_beyond_drawn(check_sample):
    done = reconciled(check_sample, top_shots=TOP_SHOTS)
    told = take_account("apron", done)
    assert sum(each.share for each in told.parts) == pytest.approx(told.over)
    by_cause = {each.cause: each for each in told.parts}
    assert by_cause["edges"].basis == by_cause["spill"].basis == "assumed"
    assert by_cause["elsewhere"].basis == "stated"
    assert 0 < by_cause["base"].shared < by_cause["base"].sigma
    no_top = list_parts(
        replace(
            done.found.account,
            rows=tuple(
                replace(row, basis="assumed", volume=0.0) if row.key == "top" else row
                for row in done.found.account.rows
            ),
        ),
        done.found.causes,
    )
    assert not next(each for each in no_top if each.cause == "top").tells


def test_it_says_what_is_real_what_is_not_and_what_can_t_be_told():
    jobs = [
        job("north", part(0.06), part(0.01, 0.02, cause="top")),
        job("south", part(0.05), part(-0.01, 0.02, cause="top"), part(0.01, cause="yield")),
        job("west", part(0.9), is_whole=False),
        JobAccount("broken", problem="no shots"),
    ]
    answer = compose_accounts([jobs[3], *jobs[:3]])
    text = " ".join(compose_accounts_text(answer).split())
    assert text.startswith("3 jobs reconciled, 1 not job ticketed over")
    assert "The tickets of west can't be all: no trend rests on it" in text
    assert "Base low: 5.5 % of what was drawn, ±0.7, over 2 jobs" in text
    assert "Top high: 0.0 % of what was drawn, ±1.4, over 2 jobs: not different from" in text
    assert "Yield short: known of 1 of 2 jobs: no trend to tell" in text
    assert "Forms and edges: assumed on each job, not found out: no trend to tell" in text
    assert "Not reconciled: broken: no shots" in text
    assert [one.job for one in answer.tree.jobs] == ["north", "south", "west", "broken"]
    page = compose_accounts_page(answer)
    assert "Not reconciled" in page
    assert "not different from nothing" in page
    sheet = draw_accounts_paper(answer, (8.5, 11.0))
    told = {text.get_text() for text in sheet.axes.texts}
    assert {"5.5", "−1.0", "unres."} <= told


def test_jobs_that_differ_more_than_they_should_are_told_to():
    answer = compose_accounts([job("north", part(0.02)), job("south", part(0.12))])
    assert "the jobs differ more than how sure each is allows" in compose_accounts_text(
        answer
    ).replace("\n          ", " ")


def test_no_job_that_could_be_reconciled_leaves_no_trend():
    answer = compose_accounts([JobAccount("broken", problem="no shots")])
    assert answer.bars is None
    assert compose_accounts_text(answer).startswith("0 jobs reconciled, 1 not")
    assert compose_accounts_page(answer)


def test_a_job_is_named_whose_fault_lies_in_a_file_of_several():
    problems = {"north.toml": "shots.csv: it is empty.", "south.toml": "south.toml: no units."}
    told = compose_accounts([JobAccount(name, problem=said) for name, said in problems.items()])
    said = compose_accounts_text(told)
    assert "Not reconciled: north.toml: shots.csv: it is empty." in said
    assert "Not reconciled: south.toml: no units." in said
