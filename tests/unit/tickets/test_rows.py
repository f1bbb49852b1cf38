"""Rows of tickets that count once, or not at all."""

import pytest

from gradevol.ground.errors import InputError
from tests.unit.tickets.conftest import codes, volumes


@pytest.mark.parametrize(
    "row", ["2,,10,,cancelled", "2,,10,VOID,", "2,,cancelled,,", "2,,10,,Rejected: slump"]
)
def test_a_cancelled_load_is_not_counted_and_that_is_said(read, row):
    tickets = read(f"load,ticket,volume_yd3,status,note\n1,,10,,\n{row}\n3,,9,,\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-cancelled"]


def test_a_note_that_only_speaks_of_cancelling_counts_and_is_asked_about(read):
    tickets = read("load,volume_yd3,note\n1,10,last load cancelled by phone\n")
    assert volumes(tickets) == [10]
    assert codes(tickets) == ["ticket-maybe-cancelled"]


@pytest.mark.parametrize(
    ("note", "front"), [("void under the slab filled", ""), ("rejected 2 yd", ""), ("refused", "9")]
)
def test_a_load_that_was_placed_is_not_cancelled_by_a_word(read, note, front):
    tickets = read(f"load,volume_yd3,front 2,note\n1,10,{front},{note}\n", sides=[30.0] * 4)
    assert volumes(tickets) == [10]


def test_a_timed_row_that_stands_twice_counts_once_even_without_numbers(read):
    tickets = read("volume_yd3,finished\n10,7:20\n10,7:20\n10,7:40\n")
    assert volumes(tickets) == [10, 10]
    assert codes(tickets) == ["ticket-repeated"]


def test_a_load_that_is_written_twice_counts_once(read):
    tickets = read("load,ticket,volume_yd3,finished\n1,88,10,7:27\n1,88,10,\n2,89,10,7:50\n")
    assert volumes(tickets) == [10, 10]
    assert codes(tickets) == ["ticket-repeated"]


def test_a_row_completes_another_of_its_load(read):
    tickets = read("load,ticket,volume_yd3,arrived,finished\n1,88,10,7:02,\n1,88,10,,7:27\n")
    (load,) = tickets.loads
    assert (load.arrived, load.finished) == (pytest.approx(7 + 2 / 60), pytest.approx(7.45))


@pytest.mark.parametrize("rows", ["1,88,10\n2,88,10", "1,88,7\n1,88,3", "1,88,10\n1,89,10"])
def test_rows_that_share_a_ticket_and_differ_are_asked_about(read, rows):
    with pytest.raises(InputError, match=r"line 3: (ticket 88|load 1) stands in line 2"):
        read(f"load,ticket,volume_yd3\n{rows}\n")


def test_merged_loads_are_one_row_of_two(read):
    tickets = read("load,ticket,volume_yd3\n3+4,88+89,10+9.5\n")
    assert volumes(tickets) == [19.5]
    assert codes(tickets) == []  # two trucks hold that
    with pytest.raises(InputError, match="ticket 89 stands in line 2"):
        read("load,ticket,volume_yd3\n3+4,88+89,10+9.5\n5,89,9.5\n")


@pytest.mark.parametrize(
    ("numbers", "told"),
    [
        ("1 2 4", "Load 3 is not among the tickets"),
        ("8 5 4", "Loads 6 and 7 are not among the tickets"),
        ("1 2 6", None),  # these are no numbers of this pour alone
        ("1 2 3", None),
        ("1 3+4 2", None),
        ("1 2a 4", None),
        ("88101 88999 1000000000", None),
    ],
)
def test_a_load_that_is_left_out_of_the_numbers_is_asked_about(read, numbers, told):
    rows = "".join(f"{number},9,\n" for number in numbers.split())
    notes = read("load,volume_yd3,note\n" + rows).notes
    assert [note.code for note in notes] == ["tickets-gap"] * bool(told)
    assert told is None or notes[0].text.startswith(told)
    if told:  # cancelled, it is no gap
        gone = "".join(f"{number},9,cancelled\n" for number in (3, 6, 7))
        assert "tickets-gap" not in codes(read("load,volume_yd3,note\n" + rows + gone))


def test_a_row_of_totals_is_compared_and_not_counted(read):
    right = read("load,ticket,volume_yd3\n1,88,10\n2,89,9\nTotal,,19\n")
    assert volumes(right) == [10, 9]
    assert codes(right) == []
    assert codes(read("load,ticket,volume_yd3\n1,88,10\nTotal,,19\n")) == ["tickets-sum-differs"]


@pytest.mark.parametrize("row", ["Total yards,,,19", ",,Day total:,19", "Sum of loads,,,19"])
def test_a_row_of_totals_is_known_by_its_first_words(read, row):
    tickets = read(f"load,ticket,finished,volume_yd3\n1,88,7:00,10\n2,89,7:20,9\n{row}\n")
    assert volumes(tickets) == [10, 9]


def test_a_bare_sum_below_loads_is_not_counted_and_that_is_said(read):
    tickets = read("load,ticket,volume_yd3\n1,88,10\n2,89,9\n,,19\n")
    assert volumes(tickets) == [10, 9]
    assert codes(tickets) == ["ticket-is-sum"]
    assert volumes(read("load,ticket,volume_yd3\n1,88,10\n2,89,9\n,,8\n")) == [10, 9, 8]


def test_a_running_total_is_compared(read):
    assert codes(read("load,volume_yd3,cum_yd\n1,10,10\n2,10,30\n")) == ["tickets-sum-differs"]


@pytest.mark.parametrize("row", ["2,,7:40", "2,ten,7:40", "2,-3,7:40"])
def test_a_row_that_cannot_be_read_is_named(read, row):
    with pytest.raises(InputError, match="line 3"):
        read(f"load,volume_yd3,finished\n1,10,7:20\n{row}\n")


def test_loads_go_by_their_numbers(read):
    tickets = read("load,volume_yd3\n10,9\n2,8\n1,7\n")
    assert volumes(tickets) == [7, 8, 9]


def test_more_than_a_truck_holds_is_told(read):
    assert codes(read("load,volume_yd3\n1,60\n")) == ["ticket-large"]


def test_a_last_row_that_was_cut_is_told(read):
    rows = "".join(f"{load},10,7:{10 * load},slab\n" for load in range(1, 6))
    assert codes(read("load,volume_yd3,finished,went_to\n" + rows)) == []
    cut = read("load,volume_yd3,finished,went_to\n" + rows[:-11])
    assert codes(cut) == ["file-cut-short"]
    assert "it has 2 cells where the others have 4" in cut.notes[0].text
