"""Headings of tickets: what each column holds, and in which unit."""

import pytest

from gradevol.files.tickets.columns import FrontColumn, TicketLayout, understand_heading
from gradevol.files.tickets.table import read_tickets
from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from tests.unit.tickets.conftest import codes

FOOT = 0.3048


@pytest.mark.parametrize(
    ("heading", "kind", "factor"),
    [
        ("volume_yd3", "volume", CUBIC_YARD),
        ("ticket_yd", "volume", CUBIC_YARD),
        ("Qty (cy)", "volume", CUBIC_YARD),
        ("Cubic yards", "volume", CUBIC_YARD),
        ("m³", "volume", 1.0),
        ("Load m3", "volume", 1.0),
        ("Ticket No.", "ticket", None),
        ("Docket", "ticket", None),
        ("batch_wt_lb", "batch_weight", 0.45359237),
        ("unit_wt_pcf", "unit_weight", 0.45359237 / FOOT**3),
        ("Unit weight (lb/ft3)", "unit_weight", 0.45359237 / FOOT**3),
        ("density kg/m3", "unit_weight", 1.0),
        ("water_added_gal", "water_added", 231 * 0.0254**3),
        ("Water on site l", "water_added", 0.001),
        ("Time batched", "batched", None),
        ("arrive", "arrived", None),
        ("went_to", "went_to", None),
        ("front_y_west_ft", "", None),
        ("slump_in", "", None),
    ],
)
def test_a_heading_says_what_its_column_is_and_its_unit(heading, kind, factor):
    column = understand_heading(heading, 0)
    assert column.kind == kind
    assert column.factor == (None if factor is None else pytest.approx(factor, rel=1e-12))


@pytest.mark.parametrize("heading", ["front 2", "front_2", "Front 2 (ft)", "front2"])
def test_a_front_is_named_by_its_side(heading):
    column = understand_heading(heading.replace("front2", "front 2"), 0)
    assert (column.kind, column.side) == ("front", 2)


def test_all_headings_that_the_job_names_and_the_file_lacks_are_named_at_once(tmp_path):
    path = tmp_path / "tickets.csv"
    header = "Ladung,Kubikmeter,Front West,Front Ost,Bemerkung des Fahrers,Lieferscheinnummer"
    path.write_text(f"{header}\n1,8,2,2,,\n")
    layout = TicketLayout(
        {"volume": "Menge", "load": "Ladung", "note": "Notiz"}, (FrontColumn("Front Nord", 2),)
    )
    with pytest.raises(InputError) as caught:
        read_tickets(path, unit="m", layout=layout)
    said = str(caught.value)
    assert "no column 'Menge' (tickets.volume) and none 'Notiz' (tickets.note)" in said
    assert "'Front Nord' (tickets.front)" in said
    assert all(repr(cell) in said for cell in header.split(","))


def test_what_is_returned_or_called_is_in_the_unit_of_the_volumes(read):
    """They were yards beside tickets in metres, and a running total differed from the sum."""
    tickets = read("load,m3,cum,returned,called\n1,7.5,7.5,0.25,\n2,6,13.5,,4\n")
    assert (tickets.loads[0].returned.value, tickets.called) == (0.25, 4)
    assert codes(tickets) == []
    bare = read("load,volume,returned\n1,10,1\n")
    assert bare.loads[0].returned.value == pytest.approx(CUBIC_YARD)
    assert codes(bare) == ["tickets-unit-of-job"]
