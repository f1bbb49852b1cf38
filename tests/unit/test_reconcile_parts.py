"""Reconciling one pour of several, and a slab with curved sides."""

import numpy as np
import pytest

from gradevol.answer.said.evidence import say_evidence
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.runs.reconcile import reconcile_job
from tests.quarter_ring import write_quarter
from tests.small_job import JOB, write_job

HALVES = """
[[pour]]
name = "west half"
edge = [[0, 0], [8, 0], [8, 9], [0, 9]]
[[pour]]
name = "east half"
edge = [[8, 0], [16, 0], [16, 9], [8, 9]]
"""
BOTH = "load,volume_yd3,went_to\n1,1.4,west half\n2,1.6,east half\n"
TOP = "point,easting,northing,elevation\n" + "".join(
    f"{e}{n},{e},{n},{100.01 + 0.002 * e}\n" for e in (1, 5, 9, 15) for n in (1, 4, 8)
)


@pytest.mark.usefixtures("unsimulated")
class TestParts:
    @pytest.fixture
    def account(self, tmp_path):
        def run(part="", tickets=BOTH, *, has_top=False, cores=None, top=TOP, rest=""):
            more = f'{HALVES}[placing]\npour = "{part}"\n' if part else HALVES
            more += rest
            given = {"tickets.csv": tickets, "top.csv": top}
            given |= {} if cores is None else {"cores.csv": cores}
            path = write_job(tmp_path, job=JOB + more, files=given)
            return reconcile_job(
                read_job(path),
                tmp_path / "tickets.csv",
                top_shots=tmp_path / "top.csv" if has_top else None,
                cores=tmp_path / "cores.csv" if cores is not None else None,
            )

        return run

    def test_each_half_is_held_against_its_own_tickets(self, account):
        west, east = account("west half"), account("east half")
        for done, volume in ((west, 1.4), (east, 1.6)):
            rows = {row.key: row for row in done.found.account.rows}
            assert rows["ticketed"].volume == pytest.approx(volume * CUBIC_YARD)
            assert rows["neat"].volume == pytest.approx(72 * 0.3048**2 * done.ground.slab.thickness)
            assert [note.code for note in done.notes] == ["tickets-of-other-pours"]
            assert done.found.loads == 1

    def test_a_rest_that_the_edges_do_not_leave_is_no_part(self, account):
        with pytest.raises(InputError) as caught:
            account("rest of the slab")
        assert "the parts of the slab are 'west half' and 'east half'. Name" in str(caught.value)

    @pytest.mark.parametrize("has_top", [False, True])
    def test_the_halves_add_up_to_the_whole(self, account, has_top):
        whole, *halves = (
            {row.key: row for row in account(part, has_top=has_top).found.account.rows}
            for part in ("", "west half", "east half")
        )
        for key in ("ticketed", "neat", "base", "top", "spill"):
            parts = sum(rows[key].volume for rows in halves)
            assert parts == pytest.approx(whole[key].volume, rel=1e-6), key
        # what both share in error adds up, what differs from place to place is less than that
        for rows in halves:
            assert 0.5 < rows["base"].sigma / whole["base"].sigma < 0.8

    def test_shots_are_told_of_the_half_that_they_lie_on(self, account):
        for part, base, top in (("", 20, 12), ("west half", 12, 6)):
            done = account(part, has_top=True)
            base_row, top_row = map(done.found.account.row, ("base", "top"))
            assert str(say_evidence(base_row, done)).startswith(f"{base} shots on the base")
            assert str(say_evidence(top_row, done)).startswith(f"{top} shots on the finished")

    def test_a_half_is_not_held_against_shots_on_the_other(self, account):
        west = "".join(f"{10 * e + n},{e},{n},100\n" for e in (1, 4, 7) for n in (1, 5, 8))
        given = {"has_top": True, "top": f"point,easting,northing,elevation\n{west}"}
        assert account("west half", **given).found.account.row("top").basis == "measured"
        with pytest.raises(InputError, match="no shot of the finished top lies on east half"):
            account("east half", **given)

    def test_what_parts_the_halves_stands_against_a_form(self, account):
        whole, west = (account(part).found.account for part in ("", "west half"))
        thickness = account().ground.slab.thickness
        assert whole.formed == pytest.approx(50 * 0.3048 * thickness)
        assert west.formed == pytest.approx(34 * 0.3048 * thickness)

    def test_it_is_named_and_learned_of_as_that_part(self, account):
        done = account("east half")
        assert done.title.endswith(": east half")
        assert done.learned.job.endswith("/job.toml: east half")

    def test_a_core_of_another_part_is_refused(self, account):
        cores = "id,easting,northing,length_in\nC1,{},4,6.1\n"
        assert account("east half", cores=cores.format(12)).found.as_built is not None
        with pytest.raises(InputError, match="C1 does not lie on east half"):
            account("east half", cores=cores.format(4))

    def test_a_finished_top_with_its_columns_swapped_is_refused(self, account):
        swapped = TOP.replace("easting,northing", "northing,easting")
        with pytest.raises(InputError, match=r"top\.csv: 3 shots lie off the slab.*swapped"):
            account(has_top=True, top=swapped)

    @pytest.mark.parametrize("far", ["4e200", "-7e9"])
    def test_a_place_off_the_earth_is_refused(self, account, far):
        cores = f"id,easting,northing,length_in\nC1,{far},4,6.1\n"
        with pytest.raises(InputError, match=r"a core.* none on Earth is as large"):
            account(cores=cores)
        first = TOP.splitlines()[1]
        row = ",".join([*first.split(",")[:2], far, *first.split(",")[3:]])
        with pytest.raises(InputError, match=r"the finished top.* none on Earth is as large"):
            account(has_top=True, top=TOP.replace(first, row))

    def test_a_load_into_a_panel_of_the_other_half_is_not_of_this_one(self, account):
        panel = '[[placing.panel]]\nname = "A1"\nedge = [[0, 0], [4, 0], [4, 9], [0, 9]]\n'
        done = account("east half", "load,volume_yd3,went_to\n1,1.4,A1\n2,1.6,\n", rest=panel)
        assert [load.number for load in done.tickets.loads] == ["2"]

    @pytest.mark.parametrize(
        ("rows", "said"),
        [
            ("went_to\n1,3,west half + east half\n", "what of it went into 'east half' can't"),
            # its concrete was counted into the east half
            ("done\n1,1.4,west half\n2,1.6,east half\n", "by load 1 'west half' is done"),
        ],
    )
    def test_a_load_of_which_the_part_is_not_told_is_asked_about(self, account, rows, said):
        with pytest.raises(InputError, match=said):
            account("east half", f"load,volume_yd3,{rows}")


@pytest.mark.usefixtures("unsimulated")
def test_a_base_is_as_unsure_in_the_account_as_in_the_check(tmp_path):
    """What the setups did not close by is in both: 2 and 4 mm, of two halves."""
    setups = '"columns" = "PENRS"\n[base.setups]\n'
    for name, closing in (("1", 1.302), ("2", 1.296)):
        setups += f"{name} = {{ benchmark = 100, backsight = 1.3, closing = {closing} }}\n"
    rods = "".join(
        f"{10 * e + n},{e},{n},{1.81 + (e + n) % 3 / 200},{1 + (e > 8)}\n"
        for e in (0, 4, 8, 12, 16)
        for n in (0, 3, 6, 9)
    )
    job = JOB.replace("[slab]", f"{setups}[slab]").replace('"ft"', '"m"', 1)
    given = {"tickets.csv": "load,volume_m3\n1,25\n"}
    path = write_job(tmp_path, job=job, shots=rods, files=given)
    done = reconcile_job(read_job(path), tmp_path / "tickets.csv")
    interval = done.ground.interval
    assert set(interval.closed) == {"1", "2"}
    own = (interval.shots, interval.between_shots, interval.datum)
    assert done.found.account.row("base").sigma == pytest.approx(np.linalg.norm(own))


@pytest.mark.usefixtures("unsimulated")
class TestCurved:
    def test_tapes_and_forms_go_along_the_curve(self, tmp_path):
        # the outer side is 15.71 m along its arc and 14.14 m straight across
        placing = (
            '[placing]\nfrom = 1\n[[tickets.front]]\nheading = "arc"\nside = 2\nfrom = "far"\n'
        )
        path = write_quarter(tmp_path, rest=placing)
        tickets = tmp_path / "tickets.csv"
        tickets.write_text("load,volume_m3,arc\n1,8.5,15.5\n")
        done = reconcile_job(read_job(path), tickets)
        ((side, tape),) = done.tickets.loads[0].fronts
        assert (side, round(tape, 3)) == (2, round(5 * np.pi - 15.5, 3))
        around = (5 + 3) * np.pi + 8
        assert done.found.account.formed == pytest.approx(around * 0.2, abs=1e-3)
        tickets.write_text("load,volume_m3,arc\n1,8.5,16.2\n")
        with pytest.raises(InputError, match="beyond"):
            reconcile_job(read_job(path), tickets)
