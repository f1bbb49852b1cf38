"""What looks wrong in how a table was written: too coarse, all one, degrees, descriptions."""

import numpy as np
import pytest

from gradevol.out.text.inventory import compose_inventory
from tests.unit.inventory.conftest import HEADER, codes, fact, only, shots


def test_inches_written_as_decimals_are_seen(take):
    inches = np.random.default_rng(2).integers(0, 12, 40)
    rows = [[str(k), str(k // 6 * 10), str(k % 6 * 9), f"{4 + k % 4}.{inches[k]:02d}"]
            for k in range(40)]  # fmt: skip
    header = "point,northing,easting,rod_ft"
    finding = only(take(rows, header=header), "inches-for-tenths")
    assert "rod readings" in finding.text

    rows[5][3] = "4.12"
    assert codes(take(rows, header=header)) == []


def test_flat_ground_just_over_a_whole_foot_is_not_inches(take):
    rows = [[*row[:3], f"100.{k % 12:02d}", "BASE"] for k, row in enumerate(shots())]
    assert "inches-for-tenths" not in codes(take(rows))


def test_whole_numbers_are_too_coarse(take):
    rows = [[*row[:3], str(98 + k % 4), "BASE"] for k, row in enumerate(shots())]
    finding = only(take(rows, header="", unit=None), "coarse-elevations")
    assert "whole numbers" in finding.text


def test_whole_millimetres_are_not_coarse(take):
    rows = [
        [row[0], row[1].replace(".", ""), row[2].replace(".", ""), str(30000 + k), "B"]
        for k, row in enumerate(shots())
    ]
    assert codes(take(rows, header="", unit="mm")) == []


def test_elevations_that_are_all_equal_are_seen(take):
    rows = [[*row[:3], "100.00", "BASE"] for row in shots()]
    assert "100.00 ft" in only(take(rows), "all-equal").text


def test_shots_on_one_line_make_no_surface(take):
    rows = [[*row[:2], "5000.000", *row[3:]] for row in shots()[::6]]
    only(take(rows), "one-line")


def test_degrees_are_seen(take):
    rng = np.random.default_rng(4)
    rows = [
        [str(k), f"{47.1 + rng.random() / 1000:.7f}", f"{-122.3 + rng.random() / 1000:.7f}",
         f"{100 + rng.random():.2f}"]
        for k in range(30)
    ]  # fmt: skip
    only(take(rows, header="point,northing,easting,elevation"), "looks-like-degrees")


def test_a_comma_too_many_shows_in_the_description(take):
    rows = shots()
    rows[5][2] = "50,45.000"
    inventory = take(rows)
    assert "description-with-number" in codes(inventory)


def test_codes_that_differ_by_capitals_are_named(take):
    rows = shots()
    rows[5][4] = "base"
    assert "'BASE' (53) and 'base' (1)" in only(take(rows), "codes-alike").text


def test_two_shots_are_too_few(take):
    only(take(shots()[:2]), "too-few")


def test_a_header_alone_holds_no_rows(take):
    only(take("", header=HEADER), "no-rows")


def test_level_notes_are_recognised(take):
    inventory = take("BM1,4.26,,100.00\n101,,4.88,\nTP1,,4.47,", header="point,BS,FS,known")
    assert inventory.kind == "levels"
    assert "gradevol levels" in fact(inventory, "next")


def test_braces_and_escapes_in_a_file_reach_no_terminal(take):
    rows = shots()
    rows[3][0] = rows[4][0] = "{0}\x9b2J"
    text = compose_inventory(take(rows))
    assert "{0}·2J" in text
    assert "\x9b" not in text


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ({5: "100.311"}, "1 elevation has one decimal more than the others: 106 (BASE) (100.311)."),
        ({5: "100.311", 9: "100.22"}, "1 elevation has one decimal more than the others"),
        ({5: "100.311", 9: "100.3"}, "1 elevation has one decimal more than the others"),
        ({5: "100.311", 9: "100.244"}, "2 elevations have one decimal more than the others"),
        ({5: "100.315"}, ""),  # between two hundredths
        ({5: "100.3110000"}, ""),  # as a program writes a number
        (dict.fromkeys(range(9), "100.311"), ""),
    ],
)
def test_a_digit_that_may_stand_twice_is_seen(take, readings, said):
    rows = shots()
    for row, reading in readings.items():
        rows[row][3] = reading
    found = [finding.text for finding in take(rows).findings if finding.code == "decimal-more"]
    assert bool(found) == bool(said)
    assert said in "".join(found)
