"""The day of the pour, from job and tickets: ways of small jobs."""

import re

import pytest

from gradevol.answer.said.day import say_expected, tell_day
from gradevol.answer.said.day_words import say_clock
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.runs.pour import pour_job
from tests.small_job import JOB, write_job

HALVES = """
[[pour]]
name = "west half"
edge = [[0, 0], [8, 0], [8, 9], [0, 9]]
[[pour]]
name = "east half"
edge = [[8, 0], [16, 0], [16, 9], [8, 9]]
"""


PANELS = """
[placing]
from = 4
[[placing.panel]]
name = "{}"
edge = [[0, 0], [8, 0], [8, 9], [0, 9]]
[[placing.panel]]
name = "{}"
edge = [[8, 0], [16, 0], [16, 9], [8, 9]]
"""


ORDER = '[order]\nwaste = 0.03\nrisk = 0.05\ntruck = "1 yd3"\nleast_load = "0.5 yd3"\n'


@pytest.mark.usefixtures("unsimulated")
class TestSmall:
    @pytest.fixture
    def pour(self, tmp_path):
        def run(more, tickets, job=JOB):
            path = write_job(tmp_path, job=job + more)
            file = tmp_path / "tickets.csv"
            file.write_text(tickets)
            return pour_job(read_job(path), file)

        return run

    def test_one_half_is_poured_and_then_the_other(self, pour):
        whole = pour(ORDER + HALVES, "load,volume_yd3,done\n").progress.total[0]
        parts = [
            pour(
                f'{ORDER}{HALVES}[placing]\npour = "{name}"\n', "load,volume_yd3,done\n"
            ).progress.total[0]
            for name in ("west half", "east half")
        ]
        assert sum(parts) == pytest.approx(whole, rel=1e-6)

    def test_a_tape_beyond_the_part_that_is_poured_is_refused(self, pour):
        """Held at the wrong end of the side it told that the part is full."""
        placing = '[placing]\nfrom = 4\npour = "west half"\n'
        head = "load,volume_yd3,front 1,front 3\n"
        with pytest.raises(InputError, match=r"12 ft 0 in along side 3.*ends there at 8 ft 0 in"):
            pour(ORDER + HALVES + placing, f"{head}1,0.7,4,12\n")
        assert pour(ORDER + HALVES + placing, f"{head}1,1.4,8.1,8\n").progress.is_done
        assert not pour(f"{ORDER}[placing]\nfrom = 4\n", f"{head}1,1.4,12,12\n").progress.is_done

    def test_a_tape_held_at_the_joint_and_not_at_the_corner_is_refused(self, pour):
        """It stood in the part that was poured before: its load was told to be lost."""
        placing = '[placing]\nfrom = 4\npour = "east half"\n'
        head = "load,volume_yd3,front 1,front 3\n"
        with pytest.raises(InputError, match=r"4 ft 0 in along side 1.*begins there at 8 ft 0 in"):
            pour(ORDER + HALVES + placing, f"{head}1,0.7,4,4\n")
        assert pour(ORDER + HALVES + placing, f"{head}1,0.7,12,12\n").progress.factor

    def test_loads_of_another_part_are_left_out_and_that_is_said(self, pour):
        day = pour(
            f'{ORDER}{HALVES}[placing]\npour = "east half"\n',
            "load,volume_yd3,done,went_to\n1,1.4,west half,west half\n2,1.3,east half,\n",
        )
        assert [note.code for note in day.notes] == ["tickets-of-other-pours"]
        assert day.progress.ticketed / CUBIC_YARD == pytest.approx(1.3)
        pad = '[[pour]]\nname = "pad"\nvolume = "0.2 yd3"\n'
        shared = pour(
            f'{ORDER}{HALVES}{pad}[placing]\npour = "east half"\n',
            "load,volume_yd3,done,went_to\n1,1.4,west half,west half + pad\n2,1.3,east half,\n",
        )
        assert [load.number for load in shared.tickets.loads] == ["2"]
        with pytest.raises(InputError, match="went to slab \\+ west half"):
            pour(
                f'{ORDER}{HALVES}[placing]\npour = "east half"\n',
                "load,volume_yd3,done,went_to\n1,1.4,east half,slab + west half\n",
            )

    def test_what_is_done_is_told_by_names(self, pour):
        day = pour(ORDER + HALVES, "load,volume_yd3,done\n1,1.4,west half\n2,1.4,East half\n")
        assert day.progress.is_done
        first = pour(ORDER + HALVES, "load,volume_yd3,done\n1,1.4,west half\n")
        assert first.progress.behind == pytest.approx(first.model.volume / 2, rel=0.05)

    def test_panels_of_the_placing_are_told_by_names(self, pour):
        panel = '[[placing.panel]]\nname = "A1"\nedge = [[0, 0], [4, 0], [4, 9], [0, 9]]\n'
        day = pour(ORDER + panel, "load,volume_yd3,done\n1,0.7,A1\n")
        assert day.progress.behind == pytest.approx(day.model.volume / 4, rel=0.05)

    def test_a_load_that_finishes_a_panel_goes_on_in_the_next_one(self, pour):
        """Of four panels of a quarter each, none ends with a load; nothing is out of line."""
        edges = (f"[[{x}, 0], [{x + 4}, 0], [{x + 4}, 9], [{x}, 9]]" for x in (0, 4, 8, 12))
        panel = '[[placing.panel]]\nname = "A{}"\nedge = {}\n'
        panels = "".join(panel.format(at, edge) for at, edge in enumerate(edges, start=1))
        head = "load,volume_yd3,done,went_to\n"
        rows = ["1,0.5,,\n", "2,0.5,A1,A1 + A2\n", "3,0.5,A2,\n", "4,0.5,A2,\n", "5,0.5,A3,\n"]
        before = pour(ORDER + panels, head).progress.total
        for count in range(1, 6):
            found = pour(ORDER + panels, head + "".join(rows[:count])).progress
            assert found.forecast.alerts == ()
            assert found.total[0] == pytest.approx(before[0], abs=0.05 * CUBIC_YARD)
            assert found.placed.unread == (("load 1",) if count == 1 else ()) + (
                ("load 4",) if count == 4 else ()
            )
        # a load that says where all of it went is not beyond it
        for went, most in (("A1", 0), ("A1 + A2", 0.25), ("slab", 0.25), ("", 0.25)):
            found = pour(ORDER + panels, f"{head}1,0.45,,\n2,0.25,A1,{went}\n").progress
            assert found.placed.steps[0].beyond == pytest.approx(most * CUBIC_YARD)
        # less than what is done takes, or more than the last load beyond it, is out of line
        for ticketed, told in ((0.3, 1), (0.75, 0), (1.15, 0), (1.6, 1)):
            two = f"1,{ticketed - 0.25},,\n2,0.25,A1,\n"
            found = pour(ORDER + panels, head + two).progress
            assert len(found.forecast.alerts) == told, ticketed

    def test_loads_with_one_front_make_one_step_whatever_their_order(self, pour):
        placing = f"{ORDER}[placing]\nfrom = 4\n"
        head = "load,volume_yd3,front 1,front 3\n"
        some = [
            pour(placing, f"{head}1,{one},8,8\n2,{other},8,8\n").progress.total
            for one, other in ((0.5, 0.9), (0.9, 0.5))
        ]
        assert some[0] == some[1]

    def test_a_load_without_a_front_is_ticketed(self, pour):
        day = pour(
            f"{ORDER}[placing]\nfrom = 4\n",
            "load,volume_yd3,front 1,front 3\n1,0.7,8,8\n2,0.6,,\n",
        )
        assert day.progress.ticketed / CUBIC_YARD == pytest.approx(1.3)
        assert len(day.progress.placed.steps) == 1
        assert day.progress.placed.unread == ("load 2",)

    def test_loads_since_the_front_before_are_named_together(self, pour):
        day = pour(
            f"{ORDER}[placing]\nfrom = 4\n",
            "load,volume_yd3,front 1,front 3\n1,0.4,4,4\n2,0.04,,\n3,0.4,12,12\n",
        )
        (alert,) = day.progress.forecast.alerts
        assert alert.step.names == ("load 2", "load 3")

    def test_loads_of_which_none_has_a_front_yet_are_ticketed(self, pour):
        day = pour(f"{ORDER}[placing]\nfrom = 4\n", "load,volume_yd3,front 1,front 3\n1,0.7,,\n")
        assert day.progress.behind is None
        assert day.progress.placed.unread == ("load 1",)

    @pytest.mark.parametrize("truck", ['truck = "1 yd3"', 'truck = "9 yd3"', ""])
    def test_where_the_order_holds_nothing_all_of_it_is_on_its_way(self, pour, truck):
        order = ORDER.replace('truck = "1 yd3"', truck) + 'notice = "3 h"\nspacing = "20 min"\n'
        tickets = "load,volume_yd3,front 1,front 3\n1,0.7,4,4\n"
        call = pour(f"{order}[placing]\nfrom = 4\n", tickets).progress.call
        assert call.volume == 0  # it was told to be called, for a second time
        assert call.coming > 2 * CUBIC_YARD

    def test_a_night_pour_calls_the_next_day(self, pour):
        order = ORDER + 'notice = "10 min"\n[placing]\nfrom = 4\nreleased = "1.4 yd3"\n'
        day = pour(
            order,
            "load,volume_yd3,finished,front 1,front 3\n1,0.5,23:20,3,3\n2,0.5,23:50,6,6\n",
        )
        # 0.4 yd3 are on the way at 1 yd3 an hour: out at 0:14
        call = day.progress.call
        assert say_clock(call.by, call.pace.since) == "0:04 the next day"
        # read at half past midnight, that would be a day later
        assert say_clock(24.9, 24.5) == "0:54"
        assert say_clock(24.9) == "0:54 the next day"

    @pytest.mark.parametrize(
        ("more", "tickets", "match"),
        [
            ("", "load,volume_yd3,front 1\n1,1,4\n", "does not say where placing began"),
            ("[placing]\nfrom = 9\n", "load,volume_yd3,front 1\n1,1,4\n", "9, but the slab has 4"),
            ('[placing]\nfrom = "north"\n', "load,volume_yd3\n", "no side of the slab"),
            ('[placing]\nfrom = "form"\n', "load,volume_yd3\n", "name of sides 1 and 3"),
            (
                PANELS.format("bay", "Bay"),
                "load,volume_yd3,done\n1,1,bay\n",
                "two places of the slab are called 'Bay'",
            ),
            ('[placing]\npour = "attic"\n', "load,volume_yd3\n", "'attic'"),
            ("[placing]\nfrom = 4\n", "load,volume_yd3\n1,1\n", "no load tells how far"),
            ("[placing]\nfrom = 4\n", "load,volume_yd3,front_n_ft\n1,1,3\n", "Map 'front_n_ft'"),
            ("[placing]\nfrom = 4\n", "load,volume_yd3,front 4\n1,1,3\n", "line 2.*along side 4"),
            ("[placing]\nfrom = 4\n", "load,volume_yd3,done\n1,1,A7\n", "'A7' is done"),
            ("[placing]\nfrom = 4\n", "load,volume_yd3,front 1,went_to\n1,1,3,shed\n", "'shed'"),
        ],
    )
    def test_what_cannot_be_understood_is_asked_about(self, pour, more, tickets, match):
        sides = 'sides = ["form", "east", "form", "west"]\n'
        with pytest.raises(InputError, match=match):
            pour(more, tickets, job=JOB.replace("thickness", f"{sides}thickness"))

    def test_earlier_jobs_are_begun_with(self, pour, tmp_path):
        (tmp_path / "factors.csv").write_text(
            "job,date,factor,sigma\nA,,1.08,0.004\nB,,1.08,0.004\nC,,1.08,0.004\n"
        )
        alone = pour(ORDER, "load,volume_yd3\n").progress
        learned = pour(f'{ORDER}learned = "factors.csv"\n', "load,volume_yd3\n").progress
        assert learned.expected.jobs == 3
        assert alone.factor[0] < learned.factor[0] < 1.08
        assert re.search(r" \(\d+ % of the way from the allowances", say_expected(learned.expected))

    def test_a_job_without_allowances_says_so(self, pour):
        assert [n.code for n in pour("", "load,volume_yd3\n").notes] == ["pour-without-allowance"]

    def test_more_than_the_slab_takes_is_told_and_called_for_in_both_cases(self, pour):
        rows = "load,volume_yd3,front 1,front 3\n1,0.7,4,4\n2,0.7,8,8\n3,0.7,12,12\n"
        placing = f"{ORDER}[placing]\nfrom = 4\nreleased = 1\n"
        day = pour(placing, f"{rows}4,1,,\n").progress
        sound = pour(placing, rows).progress
        assert day.surplus == pytest.approx(CUBIC_YARD - sound.still[0])
        assert [choice.cases for choice in day.calls] == [("ticket",), ("slab",)]
        assert day.calls[0].call.volume == sound.call.volume  # as if it had never come
        assert day.calls[1].call.volume == 0
        assert pour(placing, f"{rows}4,0.7,,\n").progress.surplus is None  # about what it takes
        wrong = pour(placing, f"{rows.replace('2,0.7', '2,1.1')}4,3,,\n").progress
        assert wrong.forecast.alerts
        assert wrong.surplus is not None
        assert wrong.calls[0].cases == ("ticket",)
        assert wrong.calls[0].call.volume > 0
        full = pour(placing, f"{rows}4,0.7,16,16\n5,1,,\n")
        topics = tell_day(full.progress, full.units, loads=5, modelled=2.1, notes=())
        now, alert = (topic.statements[0].short for topic in topics[:2])
        assert "full: by the tickets as they stand" in str(now)
        assert "Look up load 5, without a front" in str(alert)
