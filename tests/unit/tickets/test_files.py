"""Files of tickets as they come: with and without units, with headings of their own, or none."""

from pathlib import Path

import pytest

from gradevol.files.tickets.columns import FrontColumn, TicketLayout
from gradevol.files.tickets.table import read_tickets
from gradevol.ground.errors import InputError
from tests.unit.tickets.conftest import codes, volumes

APRON = Path(__file__).parents[3] / "sample_surveys" / "apron" / "tickets.csv"


def test_volumes_without_a_unit_are_the_jobs(read):
    text = "load,volume,finished\n1,10,7:00\n"
    assert volumes(read(text)) == [10]
    assert volumes(read(text, unit="m"), 1.0) == [10]


def test_other_amounts_without_a_unit_are_the_jobs_and_that_is_said(read):
    tickets = read("load,volume_yd3,batch weight\n1,10,38960\n")
    assert tickets.loads[0].batch_weight.value == pytest.approx(38960 * 0.45359237)
    assert codes(tickets) == ["tickets-unit-of-job"]


def test_decimal_commas_between_semicolons_are_read(read):
    tickets = read("Load;volume_m3;finished\n1;7,5;7:00\n2;6,25;7:30\n", unit="m")
    assert volumes(tickets, 1.0) == [7.5, 6.25]


def test_thousands_of_a_weight_are_read_and_of_a_volume_refused(read):
    tickets = read('load,volume_yd3,batch_wt_lb\n1,10,"38,960"\n')
    assert tickets.loads[0].batch_weight.value == pytest.approx(38960 * 0.45359237)
    with pytest.raises(InputError, match=r"line 2.*comma"):
        read('load,volume_yd3\n1,"1,250"\n')


def test_headings_are_mapped_by_the_job(read):
    layout = TicketLayout({"volume": "Menge cbm", "load": "Fuhre"}, (FrontColumn("West", 4),))
    tickets = read(
        "Fuhre,Menge cbm,West,Rest\n7,8,3.5,x\n", unit="m", layout=layout, sides=[10] * 4
    )
    load = tickets.loads[0]
    assert (load.number, load.volume, load.fronts) == ("7", 8.0, ((4, 3.5),))
    assert tickets.left_out == ("Rest",)


def test_a_heading_that_the_job_maps_must_be_there(read):
    with pytest.raises(InputError, match=r"no column 'Menge'.*tickets\.volume"):
        read("load,volume\n1,10\n", layout=TicketLayout({"volume": "Menge"}))


def test_a_file_without_a_volume_is_refused(read):
    with pytest.raises(InputError, match="names a volume"):
        read("load,ticket,finished\n1,88,7:00\n")


def test_a_photo_is_not_read(tmp_path):
    photo = tmp_path / "ticket.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(100))
    with pytest.raises(InputError, match="JPEG picture"):
        read_tickets(photo, unit="ft")


def test_the_samples_tickets_add_up():
    tickets = read_tickets(APRON, unit="ft")
    assert sum(volumes(tickets)) == pytest.approx(78.5)
    assert tickets.left_out == ("front_y_west_ft", "front_y_east_ft")


def test_a_column_that_lost_its_heading_is_told_if_it_holds_anything(read):
    tickets = read("load,volume_yd3,finished,,\n1,10,7:20,slab,\n2,8,7:40,pad,\n")
    assert codes(tickets) == ["tickets-columns-left-out"]
    assert tickets.left_out == ("column 4, which has none",)
