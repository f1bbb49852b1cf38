"""What looks wrong in a table: shots twice, groups, slips, and codes that do not meet."""

import pytest

from tests.unit.inventory.conftest import codes, fact, only, shots


def test_duplicate_ids_are_named_with_their_lines(take):
    rows = shots()
    rows[13][0] = rows[4][0]
    finding = only(take(rows), "duplicate-ids")
    assert finding.lines == (6, 15)
    assert "105 (lines 6 and 15)" in finding.text


def test_shots_at_one_place_are_named_with_their_difference(take):
    rows = shots()
    rows.append(["900", rows[7][1], rows[7][2], f"{float(rows[7][3]) + 0.04:.2f}", "BASE"])
    finding = only(take(rows), "same-place")
    assert finding.points == ("108", "900")
    assert "108 and 900 (0.04 ft)" in finding.text


@pytest.mark.parametrize(("code", "is_told"), [("BASE again", True), ("FORM TOP", False)])
def test_a_form_over_a_shot_of_the_base_is_at_no_place_of_another(take, code, is_told):
    rows = shots()
    rows.append(["900", rows[7][1], rows[7][2], f"{float(rows[7][3]) + 0.5:.2f}", code])
    assert ("same-place" in codes(take(rows))) == is_told


def test_shots_two_millimetres_apart_are_at_two_places(take):
    rows = shots()
    rows.append(["900", rows[7][1], f"{float(rows[7][2]) + 0.007:.3f}", rows[7][3], "BASE"])
    assert codes(take(rows)) == []


def test_elevations_of_zero_are_far_from_the_rest(take):
    rows = shots()
    rows[10][3] = "0.00"
    finding = only(take(rows), "far-elevations")
    assert finding.points == ("111",)
    assert "exactly 0 was probably never measured" in finding.text


def test_many_elevations_of_zero_were_placed_and_not_measured(take):
    rows = shots()
    for row in rows[::3]:
        row[3] = "0.00"
    finding = only(take(rows), "zero-elevations")
    assert len(finding.points) == 18


def test_two_benchmarks_show_as_two_groups(take):
    rows = shots()
    for row in rows[::3]:
        row[3], row[4] = f"{float(row[3]) + 12:.2f}", "SLAB"
    finding = only(take(rows), "two-groups")
    assert "36 from" in finding.text
    assert "(BASE)" in finding.text
    assert "18 from" in finding.text
    assert "(SLAB)" in finding.text


@pytest.mark.parametrize(("off", "found"), [(9, ["two-groups"]), (2, ["two-groups"]), (0.5, [])])
def test_two_benchmarks_a_foot_or_more_apart_show_as_two_groups(take, off, found):
    rows = shots()
    for row in rows[::3]:
        row[3], row[4] = f"{float(row[3]) + off:.2f}", "SLAB"
    assert codes(take(rows)) == found


def test_a_shot_at_the_origin_is_far_from_a_site_at_five_thousand(take):
    rows = [*shots(), ["900", "0.000", "0.000", "100.00", "CP"]]
    finding = only(take(rows), "far-in-plan")
    assert finding.points == ("900",)
    assert "exactly 0" in finding.text


def test_a_corner_at_the_origin_of_a_local_grid_is_a_corner(take):
    rows = [[p, str(float(n) - 2000), str(float(e) - 5000), z, d] for p, n, e, z, d in shots()]
    assert codes(take(rows)) == []


def test_a_foot_misread_is_named_as_the_slip(take):
    rows = shots()
    rows[22][3] = f"{float(rows[22][3]) + 1:.2f}"
    finding = only(take(rows), "leaves-neighbours")
    assert finding.points == ("123",)
    assert "reads like a foot misread, too high" in finding.text


def test_neighbours_are_not_compared_where_the_unit_is_not_known_and_it_is_said(take):
    rows = shots()
    rows[22][3] = f"{float(rows[22][3]) + 1:.2f}"
    inventory = take(rows, header="")
    assert codes(inventory) == []
    assert "needs the unit" in fact(inventory, "neighbours")
    assert "neighbours" not in inventory.looked_at


def test_each_code_is_compared_with_its_own(take):
    rows = shots()
    for row in rows[1::2]:
        row[3], row[4] = f"{float(row[3]) + 0.5:.2f}", "FORM"
    assert codes(take(rows)) == []


def forms(points, change=lambda e, n, z: (e, n, z)):
    """Shots on forms around the lattice, half a foot over it, as rows of text."""
    corners = ((-1, -1), (46, -1), (46, 81), (-1, 81), (20, -1))
    held = [change(5000 + e, 2000 + n, 100.8) for e, n in corners]
    return [
        *points,
        *(
            [str(200 + k), f"{n:.3f}", f"{e:.3f}", f"{z:.2f}", "FORM"]
            for k, (e, n, z) in enumerate(held)
        ),
    ]


def test_forms_over_the_base_are_as_they_should_be(take):
    assert codes(take(forms(shots()))) == []


def test_a_base_over_the_forms_is_seen(take):
    finding = only(take(forms(shots(), lambda e, n, z: (e, n, z - 1.2))), "base-above-forms")
    assert "100 % of the base's shots stand above the forms, by 0.6" in finding.text
    assert len(finding.points) == 54


@pytest.mark.parametrize(
    ("change", "code", "says"),
    [
        (lambda e, n, z: (n, e, z), "swapped-axes", "easting of FORM look swapped"),
        (lambda e, n, z: (e * 0.3048, n * 0.3048, z), "units-mixed", "Read in m, FORM would meet"),
        (lambda e, n, z: (e + 900, n, z), "far-apart", "in one coordinate system?"),
    ],
)
def test_shots_of_two_codes_that_do_not_meet_are_told_with_the_slip(take, change, code, says):
    finding = [each for each in take(forms(shots(), change)).findings if each.code == code]
    assert len(finding) == 1
    assert says in finding[0].text
    assert "BASE within E 5000.00 to 5045.00" in finding[0].text
