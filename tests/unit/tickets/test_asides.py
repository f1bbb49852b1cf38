"""Rows among tickets that are no loads: footers, and what was called at the plant."""

import pytest
import shapely

from gradevol.after.places import keep_own
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from tests.unit.tickets.conftest import HALVES, codes, volumes


@pytest.mark.parametrize(
    "row",
    [
        "Signed: J. Doe",
        "Signed: J. Doe,,,",
        '"Signed, J. Doe",,,',
        ",,Signed: J. Doe,",
        "Signed: Doe, J.,,",
        "Printed 12 May 2026 at 10:33,,,",
        "Thank you!,,,",
    ],
)
def test_a_footer_is_not_counted_and_that_is_said(read, row):
    tickets = read(f"load,ticket,finished,volume_yd3\n1,88,7:00,10\n2,89,7:20,9\n{row}\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-footer"]
    assert row.split(",")[0].strip('"') in tickets.notes[0].text


@pytest.mark.parametrize(
    "row", ["3,90,,", "3,,7:40,", "Plant A,L3,,", ",90,,", ",,7:40,", "3,,,ten", ",,,ten"]
)
def test_a_load_that_lost_its_volume_is_no_footer(read, row):
    with pytest.raises(InputError, match="line 4"):
        read(f"load,ticket,finished,volume_yd3\n1,88,7:00,10\n2,89,7:20,9\n{row}\n")


def test_what_was_called_is_no_load_and_adds_up(read):
    head = "load,volume_yd3,finished,called_yd3,went_to\n"
    tickets = read(f"{head}1,10,7:20,,\n,,7:30,8.25,\nplant,,,~1,\n2,9,7:40,0.5,\n")
    assert volumes(tickets) == [10, 9]
    assert tickets.called == pytest.approx(9.75 * CUBIC_YARD)
    assert tickets.notes == ()
    metric = read("load,volume_m3,called_m3\n1,8,\n,,6\n", unit="m")
    assert metric.called == pytest.approx(6.0)


@pytest.mark.parametrize("row", ["3,,7:40,8.25,", ",,,x,", ",,7:40,,"])
def test_what_may_be_a_call_or_a_load_is_named(read, row):
    with pytest.raises(InputError, match="line 3"):
        read(f"load,volume_yd3,finished,called_yd3,went_to\n1,10,7:20,,\n{row}\n")


def test_what_was_called_by_a_note_alone_is_told_with_where_it_belongs(read):
    note = "called 5 yd at 22:40"
    with pytest.raises(InputError, match="called at the plant stands under called_yd3"):
        read(f"load,volume_yd3,note\n1,10,\n,,{note}\n")
    tickets = read(f"load,volume_m3,note\n1,8,{note}\n", unit="m")
    assert (codes(tickets), tickets.called) == (["ticket-maybe-called"], 0)
    assert "under called_m3" in tickets.notes[0].text
    for row in (f"called_yd3\n1,10,{note},5\n", "x\n1,10,call balance now,\n"):
        assert "ticket-maybe-called" not in codes(read(f"load,volume_yd3,note,{row}"))


def test_what_was_called_for_another_part_is_not_of_this_one(read):
    rows = "1,10,,west\n,,8,east\n,,6,west\n,,1,\n"
    tickets = read("load,volume_yd3,called_yd3,went_to\n" + rows)
    own = keep_own(tickets, "west", HALVES)
    assert own.called == pytest.approx(7 * CUBIC_YARD)


def test_a_panel_that_takes_in_a_small_part_is_none_of_another_part(read):
    zones = {"pad": shapely.box(0, 0, 0.3, 0.3), "all": shapely.box(0, 0, 16, 9)}
    tickets = read("load,volume_yd3,went_to,done\n1,10,all,\n2,1,,all\n")
    assert len(keep_own(tickets, "pad", zones).loads) == 2


@pytest.mark.parametrize("word", ["none", "Nil", "N/A", "-"])
def test_a_word_for_nothing_is_a_blank(read, word):
    tickets = read(f"load,volume_yd3,returned,water_added_gal\n1,10,{word},{word}\n")
    assert (tickets.loads[0].returned, tickets.loads[0].water_added) == (None, None)


@pytest.mark.parametrize("heading", ["called_yd3", "Returned (yd3)"])
def test_a_word_for_an_amount_is_refused_by_its_heading_and_with_what_to_write(read, heading):
    with pytest.raises(InputError) as refused:
        read(f"load,volume_yd3,{heading}\n1,10,\n,10,seven\n")
    said = str(refused.value)
    assert f"line 3: 'seven' under '{heading}' is not an amount, in ',10,seven'" in said
    assert (
        "Write it as a number, such as 7.5 or 8 1/2, with ~ before it where it is a guess" in said
    )
    assert said.endswith("leave the cell blank where there is none.")
