import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.points import tell_points
from gradevol.answer.said.work import tell_work
from gradevol.answer.tree.result import present
from gradevol.ground.units import METRES, Units
from gradevol.out.tables.cells import compose_rows, guard
from gradevol.out.tables.topics import compose_table, write_table
from tests.pads import grid


def rows_of(text):
    return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture(scope="module")
def rows(apron):
    return rows_of(compose_table(*tell_work(apron)))


def test_one_row_a_line_of_work_in_order_of_rank(apron, rows):
    assert len(rows) == len(apron.work.fixes) == 3
    assert [row["rank"] for row in rows] == ["1", "2", "3"]
    assert [row["kind"] for row in rows] == ["thin", "thin", "low"]
    assert [row["must"] for row in rows] == ["yes", "yes", ""]


def test_names_of_columns_carry_their_units(apron):
    us_survey = replace(apron, units=Units.of_job("us-ft"))
    metric = replace(apron, units=Units.of_job("mm"))

    assert {"cut_or_fill_ft", "area_ft2", "bank_volume_yd3", "e_ft"} <= set(
        rows_of(compose_table(*tell_work(apron)))[0]
    )
    assert {"cut_or_fill_us_ft", "e_us_ft"} <= set(rows_of(compose_table(*tell_work(us_survey)))[0])
    row = rows_of(compose_table(*tell_work(metric)))[0]
    assert {"cut_or_fill_m", "area_m2", "bank_volume_m3", "e_m"} <= set(row)
    assert row["cut_or_fill"].endswith(" mm")


def test_the_cut_brings_the_worst_place_to_the_design_base(rows):
    for row in rows:
        sign = -1 if row["kind"] == "low" else 1
        design = float(row["thickness_ft"]) + sign * float(row["cut_or_fill_ft"])
        # printed to 0.01 ft, the thickness rounded down and the cut to the nearest
        assert_allclose(design, 0.5, atol=0.0151)
        assert ("fill" if row["kind"] == "low" else "shave") in row["do"]


def test_no_thickness_is_rounded_up(apron, rows):
    for fix, row in zip(apron.work.fixes, rows, strict=True):
        over = fix.thickness / METRES["ft"] - float(row["thickness_ft"])
        assert -1e-6 < over < 0.01


def test_measures_are_said_as_a_tape_shows_them(apron, rows):
    worst = apron.thin.listed[0]

    assert rows[0]["cut_or_fill"] == "1 in"  # 0.086 ft, 1.03 in
    assert_allclose((apron.slab.thickness - worst.worst) / METRES["in"], 1.03, atol=5e-3)
    assert rows[0]["thickness"] == "4 7/8 in"  # 4.97 in, rounded down
    assert_allclose(worst.worst / METRES["in"], 4.97, atol=5e-3)


def test_a_crew_is_told_to_reshoot_before_it_cuts(rows):
    assert rows[0]["do"] == "reshoot 51; if right, shave"


def test_a_file_is_marked_as_utf8_only_where_it_has_to_be(apron, tmp_path):
    write_table(tmp_path / "plain.csv", *tell_work(apron))
    named = replace(apron, slab=replace(apron.slab, side_names=("Süd", "Ost", "Nord", "West")))
    write_table(tmp_path / "named.csv", *tell_work(named))

    assert (tmp_path / "plain.csv").read_bytes().startswith(b"rank,")
    written = (tmp_path / "named.csv").read_bytes()
    assert written.startswith(b"\xef\xbb\xbfrank,")
    assert "Süd" in written.decode("utf-8-sig")
    assert b"\r" not in written


def test_points_are_plain_pnezd(apron, tmp_path):
    write_table(tmp_path / "fix_points.csv", *tell_points(apron))
    lines = (tmp_path / "fix_points.csv").read_text(encoding="ascii").splitlines()

    assert lines[0] == "P,N,E,Z,D"
    assert len(lines) > 2
    assert all(line.startswith("FIX") and len(line.split(",")) == 5 for line in lines[1:])
    number, north, east, level, what = lines[1].split(",")
    at = present(apron)["thin"]["spots"][0]["at"]
    assert number == "FIX1"
    assert_allclose([float(east), float(north)], at[:2], atol=5.1e-4)
    assert_allclose(float(level), 99.5, atol=2e-3)  # the design base, for the instrument to meet
    assert what == f"RESHOOT CUT 0.09 FROM {at[2]:.2f}"


def test_points_say_fill_where_the_base_is_low(apron):
    points = rows_of(compose_table(*tell_points(apron)))
    lowest = apron.low.listed[0]

    depth = lowest.worst / METRES["ft"]
    level = (lowest.at[2] + apron.survey.origin[2]) / METRES["ft"]
    assert points[-1]["D"] == f"FILL {depth:.2f} FROM {level:.2f}"
    assert_allclose(float(points[-1]["Z"]), 99.5, atol=2e-3)


def test_no_place_is_set_out_twice(apron):
    points = rows_of(compose_table(*tell_points(apron)))
    spots = [*apron.thin.listed, *apron.high.listed, *apron.low.listed]

    places = [(point["N"], point["E"]) for point in points]
    assert len(set(places)) == len(places) == len({spot.at for spot in spots}) < len(spots)


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "  =1+1", "＝1", "＋1", "－1", "＠x"],
)
def test_a_spreadsheet_runs_no_cell_of_text(text):
    assert guard(text) == f"'{text}"


@pytest.mark.parametrize("text", ["1 3/4 in", "at side 4", "", "a=b", "reshoot =1+1; if right"])
def test_harmless_text_is_left_as_it_is(text):
    assert guard(text) == text


def test_a_cell_holds_nothing_that_cannot_be_seen():
    assert guard("\x1b[31mA\x00 1\u202e") == "[31mA 1"
    assert guard("\ufeff=1+1") == "'=1+1"


def test_no_cell_of_the_fix_list_starts_as_a_formula_does(apron):
    ids = [f"=cmd{number}" for number in range(len(apron.survey.ids))]
    named = replace(
        apron,
        survey=replace(apron.survey, ids=tuple(ids)),
        slab=replace(apron.slab, side_names=("=1+1", "@x", "-y", "+z")),
    )
    cells = [cell for row in rows_of(compose_table(*tell_work(named))) for cell in row.values()]

    assert any("=cmd" in cell for cell in cells)
    assert any("=1+1" in cell for cell in cells)
    assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in cells)


def test_a_base_above_the_top_makes_no_formula(make_result):
    east, north = grid(np.arange(0, 13, 3.0), np.arange(0, 10, 3)).T
    level = 100 + np.where(east == 3, 0.2, 0.0)
    edge = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
    result = make_result(np.column_stack([east, north, level]), edge, 100.15)
    (row,) = rows_of(compose_table(*tell_work(result)))

    assert row["thickness"] == "'-50 mm"
    assert row["thickness_m"] == "-0.050"  # a number stays one


def test_cells_with_commas_and_quotes_read_back():
    rows = [["a,b", 'c "d"', "e\nf"], ["1", "2", "3"]]

    assert list(csv.reader(io.StringIO(compose_rows("xyz", rows), newline=""))) == [
        ["x", "y", "z"],
        *rows,
    ]
