"""The day of the pour, from job and tickets: the invented day of the apron."""

import re
import shutil
from pathlib import Path

import pytest

from gradevol.after.progress import follow
from gradevol.answer.said.day import tell_day
from gradevol.answer.said.day_words import say_clock
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.runs.pour import KEPT, pour_job
from tests.conftest import leave_out_simulated
from tests.unit.test_docs import block_after

APRON = Path(__file__).parents[3] / "sample_surveys" / "apron"


#: What the invented day took.
TRUTH = 76.8


@pytest.fixture(scope="class")
def apron(tmp_path_factory):
    """The apron's day after so many loads; checked once."""
    folder = tmp_path_factory.mktemp("apron")
    shutil.copytree(APRON, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("job*/"))
    job = read_job(folder / "job_pour.toml")
    rows = (folder / "tickets.csv").read_text().splitlines(keepends=True)

    def after(count, change=lambda rows: rows):
        path = folder / "some.csv"
        path.write_text("".join(change(rows[: count + 1])))
        with leave_out_simulated():
            return pour_job(job, path, kept=folder / "kept")

    return after


def yards(values):
    return [value / CUBIC_YARD for value in values]


def told_of(day):
    """What is told of a day, by its topics."""
    told = tell_day(
        *(day.progress, day.units),
        loads=len(day.tickets.loads),
        modelled=day.model.volume,
        notes=(),
    )
    return {topic.key: [str(one.short) for one in topic.statements] for topic in told}


def number_in(said):
    """The first number of a sentence."""
    return float(re.findall(r"[0-9.]+", said)[0])


class TestApron:
    @pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7])
    def test_the_forecast_holds_what_the_day_took(self, apron, count):
        _, low, high = yards(apron(count).progress.total)
        assert low <= TRUTH <= high

    @pytest.mark.parametrize(
        # worked out by hand for the invented day, with one standard deviation
        ("count", "total", "sigma", "behind"),
        [
            (1, 75.2, 1.1, 9.61),
            (2, 75.9, 0.8, 19.02),
            (4, 76.4, 0.5, 38.08),
            (6, 76.5, 0.4, 57.19),
            (7, 76.7, 0.35, 66.64),
        ],
    )
    def test_it_is_what_was_worked_out_by_hand(self, apron, count, total, sigma, behind):
        progress = apron(count).progress
        assert progress.total[0] / CUBIC_YARD == pytest.approx(total, abs=sigma)
        assert progress.behind / CUBIC_YARD == pytest.approx(behind, abs=0.2)

    def test_the_last_interval_is_narrow(self, apron):
        _, low, high = yards(apron(7).progress.total)
        assert high - low <= 1.6

    def test_the_balance_is_called_in_time_and_feeds_pad_and_base(self, apron):
        call = apron(6).progress.call
        assert call.volume / CUBIC_YARD == pytest.approx(8.5, abs=0.25)
        assert call.by == pytest.approx(9 + 10 / 60)
        assert [(name, count) for name, count, _ in call.feeds] == [
            ("equipment pad", 1),
            ("bollard base", 1),
        ]

    @pytest.mark.parametrize("count", [0, 2, 3, 4, 5, 6, 7])
    @pytest.mark.parametrize("volume", ["10.05", "9.7", "10.1"])
    def test_what_it_tells_adds_up_to_the_headline(self, apron, count, volume):
        """What is in and what is needed are together what the slab will take, as all are told."""
        day = apron(count, lambda rows: [row.replace(",10.0,", f",{volume},") for row in rows])
        topics = told_of(day)
        still = number_in(topics["now"][0])
        into = number_in(topics["placed"][0]) if count else 0.0
        total = number_in(next(said for said in topics["placed"] if "will take" in said))
        digits = 1 if total >= 9.95 else 2
        assert f"{into + still:.{digits}f}" == f"{total:.{digits}f}"

    def test_a_cancelled_load_counts_as_on_its_way_and_that_is_told(self, apron):
        def cancel(rows):
            return [*rows[:-1], "4,07:48,,,,10.0,,,,,,,,cancelled\n"]

        codes = [note.code for note in apron(4).notes]
        assert "cancelled-on-way" not in codes
        day = apron(4, cancel)
        told = [note for note in day.notes if note.code == "cancelled-on-way"]
        assert len(told) == 1
        assert told[0].measures[0].value == pytest.approx(day.progress.call.coming)

    def test_the_slab_is_full_after_the_last_load(self, apron):
        day = apron(8)
        progress = day.progress
        assert progress.is_done
        assert progress.call is None
        assert progress.ticketed / CUBIC_YARD == pytest.approx(TRUTH, abs=0.05)
        # as reconcile has it: ticketed into the slab over what the check told
        assert progress.factor[0] == progress.ticketed / day.model.volume

    def test_before_the_first_load_it_is_what_the_order_needs(self, apron):
        day = apron(0)
        found = day.progress
        assert found.behind is None
        assert found.total[0] / CUBIC_YARD == pytest.approx(74.9, abs=0.1)
        assert found.factor[0] == pytest.approx(found.expected.mean)
        # 70 yd3 at 27 an hour from 7:00, less 20 min notice
        assert say_clock(found.call.by) == "9:15"
        assert not found.call.is_late

    def test_a_wrong_ticket_is_out_of_line(self, apron):
        def forge(rows):
            return [*rows[:4], rows[4].replace(",10.0,40.0,", ",13.0,43.0,"), *rows[5:]]

        (alert,) = apron(6, forge).progress.forecast.alerts
        assert alert.step.load.number == "4"
        assert alert.verdict == "concrete"
        assert alert.excess / CUBIC_YARD == pytest.approx(3.0, abs=0.6)

    @pytest.mark.parametrize(
        ("count", "at", "asked"),
        [
            (3, 3, {"ticket", "front"}),  # the last load: its front may be misread as well
            (4, 3, {"ticket"}),
            (6, 3, {"ticket"}),
            (7, 7, {"ticket", "front"}),
        ],
    )
    def test_what_a_ticket_leaves_out_is_not_on_its_way(self, apron, count, at, asked):
        def forge(rows):
            return [*rows[:at], rows[at].replace(",10.0,", ",1.0,", 1), *rows[at + 1 :]]

        found = apron(count, forge).progress
        wrong, right = found.calls
        assert set(wrong.cases) == asked
        sound = apron(count).progress.call
        assert wrong.call.volume == pytest.approx(sound.volume, abs=0.51 * CUBIC_YARD)
        assert wrong.call.coming == pytest.approx(sound.coming, abs=0.4 * CUBIC_YARD)
        assert right.cases == ("slab",)
        assert right.call.volume == 0.0

    def test_of_a_ticket_that_says_too_much_the_larger_call_comes_first(self, apron):
        def forge(rows):
            return [*rows[:3], rows[3].replace(",10.0,", ",20.0,", 1), *rows[4:]]

        found = apron(4, forge).progress
        assert [choice.cases for choice in found.calls] == [("slab",), ("ticket",)]
        right, wrong = (choice.call.volume / CUBIC_YARD for choice in found.calls)
        assert right - wrong == pytest.approx(10.0, abs=0.5)
        assert found.call is found.calls[0].call

    def test_tickets_that_all_fit_another_unit_are_asked_about(self, apron):
        def forge(rows, volume):
            return [row.replace(",10.0,", f",{volume},", 1) for row in rows]

        assert apron(4).progress.unit is None
        assert apron(1, lambda rows: forge(rows, 13.0)).progress.unit == "yd3"
        assert apron(4, lambda rows: forge(rows, 7.7)).progress.unit == "m3"
        half = apron(4, lambda rows: [*rows[:3], *forge(rows[3:], 7.7)]).progress
        assert half.forecast.alerts
        assert half.unit is None

    def test_it_says_to_ask_the_plant_before_it_gives_the_call_both_ways(self, apron):
        def forge(rows):
            return [*rows[:3], rows[3].replace(",10.0,", ",1.0,", 1), *rows[4:]]

        day = apron(4, forge)
        topics = tell_day(day.progress, day.units, loads=4, modelled=day.model.volume, notes=())
        now, alerts = ([str(one.short) for one in topic.statements] for topic in topics[:2])
        page = APRON.parents[1] / "docs" / "how-to" / "pour-day.md"
        quoted = block_after(page, "<!-- pour with a wrong ticket -->")
        assert " ".join(now[1:4]) == " ".join(quoted.split())
        assert "Call 8.25 yd³ by 9:13." in now[2]
        assert "a ticket says too little, or one is left out (the slab then takes 76." in alerts[0]

    def test_where_nothing_is_called_in_any_case_the_least_is_to_spare(self, apron):
        def forge(rows):
            head, *loads = (row.rstrip("\n") for row in rows)
            loads[1] = loads[1].replace(",10.0,", ",1.0,", 1)
            told = [f"{head},called_yd3", *(f"{row}," for row in loads)]
            return [f"{row}\n" for row in (*told, "," * 14 + "12")]

        found = apron(4, forge).progress
        (choice,) = found.calls
        assert choice.call.volume == 0
        # on the way are 70 and 12 less 31; if load 2 held what its front says, 8.5 less of it
        assert choice.call.coming / CUBIC_YARD == pytest.approx(70 + 12 - 31 - 8.7, abs=0.3)
        assert choice.call.left_over / CUBIC_YARD == pytest.approx(6, abs=0.3)  # for 14.6

    def test_where_the_call_is_the_same_in_each_case_it_is_one(self, apron, monkeypatch):
        def forge(rows):
            return [*rows[:3], rows[3].replace(",10.0,", ",11.5,", 1), *rows[4:]]

        def alone(*_args, **rest):
            return follow(*_args, **rest | {"released": 0.0})

        monkeypatch.setattr("gradevol.runs.pour.follow", alone)  # nothing is on its way
        found = apron(6, forge).progress
        assert found.forecast.alerts
        assert [choice.cases for choice in found.calls] == [()]

    def test_a_misread_front_is_out_of_line(self, apron):
        def misread(rows):
            return [*rows[:4], rows[4].replace(",39.0,38.5,", ",33.0,32.5,"), *rows[5:]]

        assert [a.verdict for a in apron(4, misread).progress.forecast.alerts] == ["open"]
        found = apron(6, misread).progress
        assert [a.verdict for a in found.forecast.alerts] == ["front"]
        assert found.total[1] / CUBIC_YARD <= TRUTH <= found.total[2] / CUBIC_YARD
        assert not found.forecast.ways
        assert len(found.calls) == 1

    def test_what_is_kept_is_used_until_an_input_changes(self, apron, monkeypatch):
        apron(1)
        monkeypatch.setattr("gradevol.runs.check.check_job", None)  # it would not be called
        job = read_job(apron(1).tickets.path.with_name("job_pour.toml"))
        shots = job.path.with_name("shots.csv")
        whole = shots.read_text()
        try:
            shots.write_text(whole + "\n")
            with pytest.raises(TypeError):
                pour_job(job, job.path.with_name("some.csv"), kept=job.path.with_name("kept"))
        finally:
            shots.write_text(whole)

    def test_a_file_of_what_is_kept_that_was_cut_short_is_made_anew(self, apron):
        path = apron(1).tickets.path.parent / "kept" / KEPT
        path.write_bytes(path.read_bytes()[:1000])
        assert apron(1).progress.total[0] / CUBIC_YARD == pytest.approx(75.5, abs=0.1)
