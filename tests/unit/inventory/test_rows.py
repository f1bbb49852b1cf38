"""What is told of a table of shots, and of rows and columns that cannot be known."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.described import take_inventory
from gradevol.geometry.gaps import find_empty_circle
from gradevol.ground.errors import InputError
from tests.unit.inventory.conftest import codes, fact, only, shots


def test_a_good_file_is_told_and_nothing_looks_wrong(take):
    inventory = take(shots())

    assert inventory.kind == "points"
    assert codes(inventory) == []
    assert fact(inventory, "unit") == "ft"
    assert fact(inventory, "columns") == "PNEZD"
    assert fact(inventory, "rows") == {"count": 54, "bad": 0}
    assert fact(inventory, "easting") == {"low": 5000.0, "high": 5045.0}
    assert fact(inventory, "northing") == {"low": 2000.0, "high": 2080.0}
    assert fact(inventory, "decimals") == {"plan": 3, "elevation": 2}
    assert [(group.name, group.count) for group in inventory.groups] == [("BASE", 54)]


def test_spacing_and_gap_of_a_lattice_are_its_side_and_its_diagonal(take):
    spacing = fact(take(shots()), "spacing")
    assert_allclose(spacing["typical"], 9)
    assert_allclose(spacing["widest_gap"], np.hypot(9, 10))


def test_the_widest_gap_is_where_a_shot_was_left_out(take):
    rows = shots()
    del rows[4 * 6 + 3]  # E 5027, N 2040
    spacing = fact(take(rows), "spacing")
    east, north = spacing["widest_gap_at"]
    # through the shots 9 ft east and west and one 10 ft away: 9² + y² = (10 - y)², y = 0.95
    assert_allclose([east, abs(north - 2040)], [5027, 0.95])
    assert_allclose(spacing["widest_gap"], 2 * 9.05)


def test_no_shot_lies_in_the_widest_gap():
    places = np.random.default_rng(8).uniform(0, 30, (60, 2))
    found = find_empty_circle(places)
    assert found is not None
    centre, width = found
    away = np.hypot(*(places - centre).T)
    assert_allclose(away.min(), width / 2)


def test_places_on_one_line_have_no_gap_between_them():
    assert find_empty_circle(np.column_stack([np.arange(5.0), np.arange(5.0)])) is None


def test_bad_rows_are_counted_and_the_first_three_quoted(take):
    rows = shots()
    for at in (3, 9, 20, 40):
        rows[at][3] = "dry"
    rows[9] = rows[9][:3]
    inventory = take(rows)

    finding = only(inventory, "bad-rows")
    assert finding.lines == (5, 11, 22, 42)
    assert fact(inventory, "rows") == {"count": 54, "bad": 4}
    assert sum(group.count for group in inventory.groups) == 50
    assert "line 5, '104,2000.000,5027.000,dry,BASE': the elevation 'dry' is" in finding.text
    assert "line 11" in finding.text
    assert "line 22" in finding.text
    assert "line 42" not in finding.text
    assert "and 1 more" in finding.text


def test_a_file_without_one_good_row_is_refused(take):
    with pytest.raises(InputError, match=r"none of its 2 rows is a point by the columns PNEZD"):
        take("1,2,3,dry,BASE\n2,2,4,wet,BASE")


def test_prose_is_refused(take):
    with pytest.raises(InputError, match="no columns of numbers"):
        take("Dear Bob,\nplease find\nregards", header="")


def test_a_damaged_workbook_is_refused_as_such(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"PK\x03\x04rest")
    with pytest.raises(InputError, match="damaged workbook"):
        take_inventory(path)


def test_columns_that_cannot_be_known_are_told_one_by_one_with_the_choices(take):
    rows = [[row[2], row[1], row[3]] for row in shots()]
    inventory = take(rows, header="")

    assert inventory.kind == "table"
    assert fact(inventory, "column_1")["low"] == 5000.0
    assert fact(inventory, "column_3")["different"] > 10
    finding = only(inventory, "columns-not-known")
    assert "--columns: NEZ or ENZ" in finding.text


def test_stated_columns_settle_what_cannot_be_known(take):
    rows = [[row[2], row[1], row[3]] for row in shots()]
    inventory = take(rows, header="", columns="ENZ")
    assert codes(inventory) == []
    assert fact(inventory, "easting") == {"low": 5000.0, "high": 5045.0}


def test_a_header_goes_before_the_stated_columns_and_says_so(take):
    inventory = take(shots(), columns="PENZD")
    only(inventory, "header-followed")
    assert fact(inventory, "columns") == "PNEZD"


def test_a_header_that_is_not_known_leaves_the_stated_columns(take):
    rows = [row[:4] for row in shots()]
    inventory = take(rows, header="Nr,Hoch,Rechts,H", columns="PNEZ")
    only(inventory, "header-not-known")
    assert fact(inventory, "easting")["high"] == 5045.0


def test_columns_without_a_northing_are_refused(take):
    with pytest.raises(InputError, match="no northing and easting"):
        take(shots(), header="", columns="PZ")


@pytest.mark.parametrize(
    ("header", "asked", "unit", "found"),
    [
        ("point,northing,easting,elevation,code", None, None, []),
        ("point,northing,easting,elevation,code", "m", "m", []),
        ("point,northing_ft,easting_ft,elevation_ft,code", "us-ft", "us-ft", []),
        ("point,northing_ft,easting_ft,elevation_ft,code", "m", "ft", ["unit-contradicted"]),
        ("point,northing_ft,easting_ft,elevation_m,code", None, None, ["units-mixed"]),
        ("point,northing_cm,easting_cm,elevation_cm,code", None, None, ["units-mixed"]),
    ],
)
def test_the_unit_is_the_headers_else_as_stated_and_never_guessed(take, header, asked, unit, found):
    rows = [[*row[:3], f"{row[3]}5", row[4]] for row in shots()]  # three decimals suit metres too
    inventory = take(rows, header=header, unit=asked)
    assert fact(inventory, "unit") == unit
    assert codes(inventory) == found


def test_feet_and_inches_say_their_unit(take):
    rows = [[str(k), str(k % 4), str(k // 4), f"99'-{k % 12} 1/2\""] for k in range(12)]
    inventory = take(rows, header="point,northing,easting,elevation")
    assert fact(inventory, "unit") == "ft"
    assert_allclose(fact(inventory, "elevation")["high"], 99 + 11.5 / 12)


def test_decimal_commas_and_semicolons_are_read_and_told(take):
    text = "\n".join(";".join(row[:4]).replace(".", ",") for row in shots())
    inventory = take(text, header="Nr;N;E;Z")
    assert "semicolon-separated" in inventory.title
    assert "decimal commas" in inventory.title
    assert fact(inventory, "northing")["high"] == 2080.0
