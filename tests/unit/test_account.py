"""The account of the invented apron, and what each row of any account rests on."""

from dataclasses import replace

import numpy as np
import pytest

from gradevol.after.account import KEYS, PARTS, draw_up_account
from gradevol.after.errors import INSTRUMENT, covariance_of
from gradevol.after.learned import measure_factor
from gradevol.after.poured import Poured, doubt_returned
from gradevol.after.yields import Yield
from gradevol.answer.said.evidence import say_evidence
from gradevol.answer.said.reading import tell_reading
from gradevol.answer.said.settle import tell_likely
from gradevol.files.tickets.table import Amount, Load
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import Pump, Terms
from gradevol.measures.concrete import Concrete
from gradevol.runs.reconcile import stand_on
from gradevol.site.slab import Slab
from tests.after_pour import CORES, TOP_SHOTS, TRUTH, reconciled, yards

SQUARE = np.array([(0, 0), (10, 0), (10, 10), (0, 10.0)])
SLAB = Slab(SQUARE, (), 0.15, 0.13)
CONCRETE = Concrete(16.0, 16.0, 0.0, 0.0, 0.0, 0.0, 15.0, ())


@pytest.fixture(scope="module")
def done(check_sample):
    return reconciled(check_sample, top_shots=TOP_SHOTS)


def loads_of(*volumes, **more):
    return [Load(n + 2, f"{n + 1}", "", volume, **more) for n, volume in enumerate(volumes)]


def account_of(loads, terms=None, *, poured=None, flush=(), covariance=None):
    return draw_up_account(
        loads,
        poured=poured or Poured(),
        measured=Yield(None, 0.01),
        concrete=CONCRETE,
        slab=SLAB,
        flush_sides=flush,
        terms=terms,
        over=0.0,
        moved=np.zeros(2),
        covariance=np.diag([0.3, 0.4]) ** 2 if covariance is None else covariance,
        is_top_shot=False,
    )


@pytest.mark.parametrize("files", [{}, {"top_shots": TOP_SHOTS}], ids=["base alone", "top shot"])
def test_each_row_of_the_apron_holds_its_truth_within_twice_its_sigma(check_sample, files):
    account = reconciled(check_sample, **files).found.account
    assert [row.key for row in account.rows] == list(KEYS)
    for row in account.rows:
        # 0.01: the truth is told to that
        assert abs(yards(row.volume) - TRUTH[row.key]) <= 2 * yards(row.sigma) + 0.01, row.key


def test_the_apron_is_told_as_its_worked_example_has_it(done):
    account = done.found.account
    found = {row.key: (yards(row.volume), yards(row.sigma)) for row in account.rows}
    for key, volume, sigma in (
        ("yield", 0.70, 0.2),
        ("returned", 0.2, 0.1),
        ("small_pours", 1.50, 0.06),
        ("base", 4.2, 0.70),
        ("top", 0.9, 0.5),
        ("edges", 0.03, 0.05),
        ("spill", 0.8, 0.4),
        ("unresolved", 1.4, 1.0),
    ):
        assert found[key] == pytest.approx((volume, sigma), abs=max(0.25, 0.3 * sigma)), key
    assert found["neat"][0] == pytest.approx(68.80, abs=0.005)


def test_what_a_yield_rests_on_reads_in_its_order(done):
    some = replace(done.found.measured, weighed=7)
    said = say_evidence(
        done.found.account.row("yield"), replace(done, found=replace(done.found, measured=some))
    )
    assert "of 3 tests, each from another load; 7 of 8 loads have a batch weight; no" in str(said)


@pytest.mark.parametrize("more", [0.001, 0.0, -0.001])
def test_what_rounds_to_nought_is_neither_more_nor_less_than_drawn(done, more):
    account = done.found.account
    neat = account.row("neat").volume
    rows = tuple(
        replace(row, volume=neat + more) if row.key == "ticketed" else row for row in account.rows
    )
    even = replace(done, found=replace(done.found, account=replace(account, rows=rows)))
    over = tell_reading(even)[0].statements[0]
    assert str(over.short) == "0.00 yd³ apart, as much ticketed as drawn"


def test_the_last_row_of_a_weighing_is_never_forced_to_nought(done):
    likely = done.found.account.likely
    assert yards(likely.volume[PARTS.index("unresolved")]) > 0.3
    assert likely.volume.sum() == pytest.approx(done.found.account.row("ticketed").volume)


def test_weighing_narrows_each_row_and_holds_the_truth(done):
    likely, account = done.found.account.likely, done.found.account
    for number, key in enumerate(PARTS[:-1]):
        assert likely.sigma[number] <= account.row(key).sigma + 1e-12
        assert (
            abs(yards(likely.volume[number]) - TRUTH[key]) <= 2 * yards(likely.sigma[number]) + 0.01
        )


@pytest.mark.parametrize("more", [0.0046, 0.0062])
def test_what_is_likely_adds_up_as_it_is_told(done, more):
    account = done.found.account
    shift = np.full(len(PARTS), more * CUBIC_YARD)
    shift[-1] -= shift.sum()
    likely = replace(account.likely, volume=account.likely.volume + shift)
    moved = replace(done, found=replace(done.found, account=replace(account, likely=likely)))
    told = [said for said in tell_likely(moved)[0].statements if said.figure]
    assert sum(round(100 * float(str(said.figure).split()[0])) for said in told) == 7850
    assert sum(round(1000 * float(said.cells[1])) for said in told) == 78500


def test_what_is_likely_to_lie_the_other_way_is_named_so(done):
    account = done.found.account
    moved = replace(account.likely, volume=-account.likely.volume)
    less = replace(done, found=replace(done.found, account=replace(account, likely=moved)))
    assert "Base high" in {said.label for said in tell_likely(less)[0].statements}


def test_base_and_top_cannot_be_told_apart(done):
    likely = done.found.account.likely
    assert PARTS.index("top") in likely.list_tied(PARTS.index("base"))


def test_what_nobody_wrote_down_is_assumed_and_said_to_be():
    account = account_of(loads_of(9.0, 8.0))
    assert {row.key: row.basis for row in account.rows} == {
        "ticketed": "stated",
        "yield": "assumed",
        "returned": "assumed",
        "small_pours": "stated",
        "neat": "stated",
        "base": "measured",
        "top": "assumed",
        "edges": "assumed",
        "spill": "assumed",
        "unresolved": "rest",
    }
    assert account.row("returned").volume == 0
    assert account.row("returned").sigma > 0


def test_what_went_back_is_as_sure_as_it_was_measured():
    guessed = account_of(loads_of(9.0, returned=Amount(0.4, True))).row("returned")
    measured = account_of(loads_of(9.0, returned=Amount(0.4))).row("returned")
    assert (guessed.volume, guessed.sigma, guessed.basis) == (0.4, 0.2, "stated")
    assert (measured.volume, measured.basis) == (0.4, "measured")
    assert measured.sigma < guessed.sigma


def test_a_small_guess_of_what_went_back_is_no_surer_than_on_the_day_of_the_pour():
    """A guess of next to nothing is still a guess, by 0.05 yd³, in both."""
    loads = loads_of(9.0, returned=Amount(0.02, True))
    assert account_of(loads).row("returned").sigma == pytest.approx(0.05 * CUBIC_YARD)
    assert account_of(loads).row("returned").sigma == doubt_returned(loads[0])
    # a load that went back whole is no guess
    loads = loads_of(9.0, returned=Amount(9.0, True))
    assert account_of(loads).row("returned").sigma == doubt_returned(loads[0]) == 0


def test_what_stays_in_a_pump_is_no_share_of_the_slab():
    pump = Pump(line=30.0, diameter=0.125, hopper=0.2)
    plain, pumped = (
        measure_factor(account_of(loads_of(9.0), Terms(waste=0.02, pump=each)), 8.0)[0]
        for each in (None, pump)
    )
    assert plain - pumped == pytest.approx(pump.held / 8.0)


@pytest.mark.parametrize("days", [1, 2])
def test_what_stays_in_a_pump_is_spilt_each_day(days):
    pump = Pump(line=30.0, diameter=0.125, hopper=0.2)
    loads = [each for day in range(days) for each in loads_of(4.0, 5.0, day=day)]
    spilt = account_of(loads, Terms(waste=0.02, pump=pump)).row("spill")
    assert spilt.volume == pytest.approx(0.02 * 16.0 + days * (30 * np.pi / 4 * 0.125**2 + 0.2))


def test_a_pump_is_filled_once_for_a_pour_that_goes_on_past_midnight():
    pump = Pump(line=30.0, diameter=0.125, hopper=0.2)
    evening, night = loads_of(4.0, finished=23.7), loads_of(5.0, day=1, started=24.2)
    once, twice = (
        account_of([*evening, *later], Terms(waste=0.02, pump=pump)).row("spill").volume
        for later in (night, loads_of(5.0, day=1, started=31.0))
    )
    assert once == pytest.approx(0.02 * 16.0 + pump.held)
    assert twice == pytest.approx(once + pump.held)


def test_sides_that_meet_what_stands_there_have_no_form_to_give_way():
    assert account_of(loads_of(9.0)).formed == pytest.approx(40 * 0.15)
    assert account_of(loads_of(9.0), flush=(1, 3)).formed == pytest.approx(20 * 0.15)


def test_a_side_that_lets_no_water_over_is_a_wall_and_no_form(check_sample):
    result = check_sample("apron/job_pour.toml")
    runoff = replace(result.drainage.runoff, closed_sides=(4,))
    walled = replace(result, drainage=replace(result.drainage, runoff=runoff))
    assert stand_on(walled).flush_sides == (*result.flush_sides, 4)


def test_an_error_that_base_and_top_share_counts_once():
    apart = account_of(loads_of(9.0), covariance=np.diag([0.4, 0.4]) ** 2)
    together = np.array([(0.16, -0.16), (-0.16, 0.16)])  # one instrument: it cancels in the sum
    shared = account_of(loads_of(9.0), covariance=together)
    assert shared.row("base").sigma == apart.row("base").sigma
    left = apart.row("unresolved").sigma ** 2 - 2 * 0.16
    assert shared.row("unresolved").sigma == pytest.approx(np.sqrt(left))


def test_a_top_shot_from_the_setup_of_the_base_leaves_nothing_of_its_instrument(
    check_sample, tmp_path
):
    text = TOP_SHOTS.read_text(encoding="utf-8")
    shared = {}
    for name in ("4", "1"):
        path = tmp_path / f"setup_{name}.csv"
        path.write_text(text.replace(",4,", f",{name},", 99), encoding="utf-8")
        found = reconciled(check_sample, top_shots=path).found
        shared[name] = [cause for cause in found.causes if cause.kind == INSTRUMENT]
    both = {name: sum((c.base + c.top) ** 2 for c in causes) for name, causes in shared.items()}
    assert both["1"] < both["4"]
    (one,) = (cause for cause in shared["1"] if cause.setup == "1")
    assert one.base < 0 < one.top  # what raises both shots takes from the base and adds to the top


def test_causes_make_up_what_is_unresolved(done):
    account, settling = done.found.account, done.found.settling
    assert sum(each.sigma**2 for each in settling) == pytest.approx(
        account.row("unresolved").sigma ** 2
    )
    covariance = covariance_of(done.found.causes)
    assert np.sqrt(np.diag(covariance)) == pytest.approx(
        [account.row("base").sigma, account.row("top").sigma]
    )


def test_cores_move_base_and_top_and_narrow_them(check_sample, done):
    cored = reconciled(check_sample, top_shots=TOP_SHOTS, cores=CORES).found
    before, after = done.found.account, cored.account
    for key in ("base", "top", "unresolved"):
        assert after.row(key).sigma < before.row(key).sigma
    assert sum(row.volume for row in after.rows[1:]) == pytest.approx(
        after.row("ticketed").volume, rel=1e-14
    )
