"""What is told of field sheets and of depths at points. All files are invented."""

import json

import pytest

from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import InputError
from gradevol.out.text.inventory import compose_inventory, compose_inventory_json

ACROSS, UP = range(0, 50, 10), range(0, 80, 10)


def reading(across, up):
    """A gentle fall, with a few hundredths that repeat nowhere."""
    return 5.2 + 0.004 * across + 0.006 * up + ((3 * across + 7 * up) % 11 - 5) / 500


def sheet(*, corner="", labels=ACROSS, rows=UP, more=(), **cells):
    """A sheet as rows of cells; `cells` as ``r20c10="wet"`` stand for what is read there."""
    lines = [[corner, *map(str, labels)]]
    for up in rows:
        held = [cells.get(f"r{up}c{across}", f"{reading(across, up):.2f}") for across in ACROSS]
        lines.append([str(up), *held])
    return [*lines, *more]


@pytest.fixture
def take(tmp_path):
    """Take the inventory of rows of cells."""

    def take(rows, mark=",", **asked):
        path = tmp_path / "rods.csv"
        path.write_text("\n".join(map(mark.join, rows)) + "\n", encoding="utf-8")
        return take_inventory(path, **asked)

    return take


def fact(inventory, key):
    (found,) = [each for each in inventory.facts if each.key == key]
    return found


def codes(inventory):
    return [finding.code for finding in inventory.findings]


def test_readings_in_fractions_of_an_inch_are_told_finer_than_a_foot(take):
    rows = [["", "0", "8", "16"], *([str(n), "6'-2 1/2\"", "6'-1\"", ""] for n in (0, 8, 16))]
    text = compose_inventory(take(rows, mark="\t"))
    assert "6.083 ft to 6.208 ft" in text


def test_depths_in_fractions_of_an_inch_are_told_with_decimals(take):
    rows = [["e", "n", "depth_in"], ["0", "0", "9 7/8"], ["9", "0", "10"], ["0", "9", "9 1/4"]]
    text = compose_inventory(take(rows))
    assert " 9.250 to 10.000 " in text
    assert "Decimals" not in text


def test_a_title_above_the_labels_does_not_hide_the_sheet(take):
    assert take([["Tuesday"], *sheet()], unit="ft").kind == "sheet"


def test_a_good_sheet_is_told_by_its_lines_and_readings(take):
    inventory = take(sheet(r30c20=""), unit="ft")
    assert inventory.kind == "sheet"
    assert codes(inventory) == []
    assert fact(inventory, "readings").value == {"count": 39, "blank": 1, "bad": 0}
    assert fact(inventory, "rows").value == {"count": 8, "first": "0", "last": "70"}
    assert fact(inventory, "range").value["low"] == pytest.approx(5.19, abs=0.02)
    assert 'base.rods = "rods.csv"' in fact(inventory, "next").text
    assert "distances from base.origin" in fact(inventory, "next").text
    assert "neighbours" in inventory.looked_at


def test_text_fits_eighty_columns_and_json_holds_the_same(take):
    inventory = take(sheet(), unit="ft")
    assert max(map(len, compose_inventory(inventory).splitlines())) <= 80
    assert json.loads(compose_inventory_json(inventory))["readings"]["count"] == 40


def test_two_digits_that_changed_places_are_named_with_what_was_meant(take):
    meant = f"{reading(20, 30):.2f}"
    written = f"{meant[0]}.{meant[3]}{meant[2]}"
    assert written != meant
    inventory = take(sheet(r30c20=written), unit="ft")
    assert codes(inventory) == ["leaves-neighbours"]
    (finding,) = inventory.findings
    assert (finding.points, finding.lines) == (("30/20",), (5,))
    assert f"two digits changed places ({meant} meant)" in finding.text


def test_without_a_unit_readings_are_not_compared_and_it_is_said(take):
    inventory = take(sheet(r30c20="6.95"))
    assert codes(inventory) == []
    assert "needs the unit" in fact(inventory, "neighbours").text
    assert "neighbours" not in inventory.looked_at


def test_a_row_in_an_edge_beam_is_told_and_not_called_a_slip(take):
    deep = {f"r0c{across}": f"{reading(across, 0) + 0.33:.2f}" for across in ACROSS}
    inventory = take(sheet(**deep), unit="ft")
    assert codes(inventory) == []
    assert "row 0 reads 0.3" in fact(inventory, "lines_apart").text


def test_a_misplaced_point_is_far_from_the_rest(take):
    inventory = take(sheet(r30c20="53.9"), unit="ft")
    assert codes(inventory) == ["far-elevations"]
    assert "30/20 at 53.90 ft" in inventory.findings[0].text


def test_cells_that_are_no_reading_are_counted_and_quoted(take):
    inventory = take(sheet(r30c20="wet", r40c0="5.40?", r50c10="5.40 reshoot 5.50"), unit="ft")
    assert codes(inventory) == ["bad-cells"]
    text = inventory.findings[0].text
    assert "line 5: the rod reading at 30/20, 'wet' is not a number" in text
    assert "'5.40?' carries a mark" in text
    assert "more than one reading" in text
    assert fact(inventory, "readings").value == {"count": 37, "blank": 0, "bad": 3}


def test_inches_in_a_column_of_tenths_are_seen(take):
    cells = {
        f"r{up}c{across}": f"{4 + (across // 10 + up // 10) % 3}.{(across + 3 * up) // 10 % 12:02d}"
        for across in ACROSS
        for up in UP
    }
    assert "inches-for-tenths" in codes(take(sheet(**cells), unit="ft"))


def test_each_setup_is_told_and_compared_by_itself(take):
    rows = sheet()
    for at, row in enumerate(rows):
        row.insert(1, "setup" if at == 0 else "AB"[at > 4])
        if at > 4:
            row[2:] = [f"{float(cell) - 1.5:.2f}" for cell in row[2:]]
    inventory = take(rows, unit="ft")
    assert codes(inventory) == []
    assert [(group.name, group.count) for group in inventory.groups] == [("A", 20), ("B", 20)]
    assert "[base.setups] for A and B" in fact(inventory, "next").text
    assert "Setup" in compose_inventory(inventory)


def test_lettered_columns_need_a_spacing_and_have_no_slope(take):
    inventory = take(sheet(labels="ABCDE"), unit="ft")
    assert codes(inventory) == []
    assert (
        "Labels only count: give base.spacing too, from base.origin" in fact(inventory, "next").text
    )
    assert inventory.findings == ()


def test_a_row_label_out_of_order_is_told(take):
    rows = sheet()
    rows[4][0] = "300"
    assert codes(take(rows, unit="ft")) == ["labels-not-in-order"]
    rows[4][0] = "20"
    assert codes(take(rows, unit="ft")) == ["labels-twice"]


def test_a_line_of_means_is_told(take):
    rows = sheet()
    rows.append(["mean", *rows[1][1:]])
    assert codes(take(rows, unit="ft")) == ["line-of-means"]


def test_decimal_commas_are_read(take):
    rows = [[cell.replace(".", ",") for cell in row] for row in sheet()]
    inventory = take(rows, mark=";", unit="ft")
    assert codes(inventory) == []
    assert fact(inventory, "range").value["high"] < 6


@pytest.mark.parametrize("corner", ["", "y \\ x", "row"])
def test_the_corner_may_hold_a_word(take, corner):
    assert take(sheet(corner=corner)).kind == "sheet"


def test_a_list_of_points_is_no_sheet(take):
    rows = [["x", "y", "z"], *([f"{5 * k}", f"{k * k}", "100.02"] for k in range(9))]
    assert take(rows).kind == "points"
    plain = [[f"{k}", f"{10 + k * k}.5", f"{20 + k}.25", "100.02"] for k in range(9)]
    assert take(plain).kind == "points"


def test_a_label_off_the_earth_is_refused(take):
    with pytest.raises(InputError, match="larger than any on Earth"):
        take(sheet(labels=[0, 10, 20, 30, "1e308"]), unit="ft")


def test_a_sheet_without_a_reading_is_refused(tmp_path):
    path = tmp_path / "rods.csv"
    path.write_text(",1,2,3\n1,,,\n2,,,\n")
    with pytest.raises(InputError, match="a field sheet without a reading"):
        take_inventory(path)


def test_depths_at_points_are_told_as_depths_in_their_own_unit(take):
    rows = [["point", "e_ft", "n_ft", "depth_in"]]
    rows += [[str(k), f"{k % 4 * 9}.0", f"{k // 4 * 10}.0", f"{9 + k % 3} 7/8"] for k in range(12)]
    inventory = take(rows)
    assert inventory.kind == "points"
    assert inventory.title.startswith("12 depths")
    assert fact(inventory, "columns").value == "PENT"
    assert fact(inventory, "depth").value == {"low": 9.875, "high": 11.875}
    assert fact(inventory, "depth").text.endswith("in)")
    assert fact(inventory, "easting").text.endswith("ft)")
    assert codes(inventory) == []
