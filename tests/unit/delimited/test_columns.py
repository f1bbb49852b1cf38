"""Which column of a table is which, and in which unit."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES, Units
from tests.unit.delimited.conftest import ENZ, PNEZD, absolute, codes_of


def test_plain_points_are_read_as_pnezd(read):
    survey = read(PNEZD)
    assert_allclose(absolute(survey), ENZ, rtol=1e-15)
    assert survey.ids == ("1", "2", "3", "4")
    assert survey.codes == ("BASE", "FORM", "BASE", "BASE")
    assert survey.readings == ("100.1", "100.2", "100.3", "100.4")
    assert survey.setups == ()
    assert survey.notes == ()
    assert survey.reading_unit == "m"


@pytest.mark.parametrize("unit", sorted(METRES))
def test_the_jobs_unit_is_applied_to_all_three(read, unit):
    survey = read(PNEZD, unit=unit)
    assert_allclose(absolute(survey), np.array(ENZ) * METRES[unit], rtol=1e-14)
    assert survey.reading_unit == unit


def test_state_plane_millions_lose_nothing(read):
    survey = read(
        "1,2345678.123,6543210.456,100.01\n2,2345679.123,6543210.456,100.02\n"
        "3,2345678.123,6543211.457,100.03\n",
        unit="us-ft",
    )
    foot = METRES["us-ft"]
    assert_allclose(np.diff(survey.points[:, 0])[1], 1.001 * foot, atol=2e-9)
    assert_allclose(np.diff(survey.points[:, 1])[0], 1.0 * foot, atol=2e-9)
    assert survey.points.max() < 2  # about a local origin


@pytest.mark.parametrize(
    ("columns", "text"),
    [
        ("ENZ", "20.25,10.5,100.1\n21,11,100.2\n22.5,12,100.3\n20,13,100.4\n"),
        ("xyz", "20.25,10.5,100.1\n21,11,100.2\n22.5,12,100.3\n20,13,100.4\n"),
        ("NEZ", "10.5,20.25,100.1\n11,21,100.2\n12,22.5,100.3\n13,20,100.4\n"),
        ("Z-NE", "100.1,a,10.5,20.25\n100.2,,11,21\n100.3,c,12,22.5\n100.4,9,13,20\n"),
    ],
)
def test_columns_say_which_is_which(read, columns, text):
    assert_allclose(absolute(read(text, columns=columns)), ENZ)


@pytest.mark.parametrize(
    "header",
    [
        "easting,northing,elevation",
        "E,N,Z",
        "x,y,z",
        "East (m),North (m),Elev (m)",
        "x_m,y_m,rl_m",
        "Easting [m],NORTHING,Reduced Level",
        "# easting, northing, elevation",
        "// E,N,RL",
    ],
)
def test_a_header_overrides_columns(read, header):
    text = f"{header}\n20.25,10.5,100.1\n21,11,100.2\n22.5,12,100.3\n20,13,100.4\n"
    assert_allclose(absolute(read(text)), ENZ)
    survey = read(text, columns="NEZ")
    assert_allclose(absolute(survey), ENZ)
    assert codes_of(survey) == ["header-followed"]


def test_a_mark_for_number_as_the_first_heading_is_the_point(read):
    rows = "a,20.25,10.5,100.1\nb,21,11,100.2\nc,22.5,12,100.3\nd,20,13,100.4\n"
    for header in ("#,E,N,Z", "# E,N,Z", "#, E, N, Z"):
        survey = read(f"{header}\n{rows}")
        assert_allclose(absolute(survey), ENZ)
        assert survey.ids == ("a", "b", "c", "d")


def test_titles_above_the_header_are_left_out_and_do_not_hide_it(read):
    rows = "point,easting,northing,elevation\n" + "".join(
        f"{point},{e},{n},{z}\n" for point, (e, n, z) in enumerate(ENZ, start=1)
    )
    above = ("Job 12: Miller patio\n", "Job 12, Miller patio,,\nTuesday,,,\n")
    for titles in (*above, "Patio\n,Position,,Level\n", "Patio\nJob,4711\nof,Miller,and,Son\n"):
        survey = read(titles + rows)
        assert_allclose(absolute(survey), ENZ)
        assert survey.ids == ("1", "2", "3", "4")
    with pytest.raises(InputError, match=r"line 2: it names its columns below rows with numbers"):
        read("Patio,Nov,30,2026\n" + rows)


def test_a_row_of_units_below_the_header_is_of_it(read):
    header = "point,easting,northing,elevation,description\n"
    rows = "".join(f"{e:.0f},{e},{n},{z},BASE\n" for e, n, z in ENZ)
    assert_allclose(absolute(read(f"{header},(m),(m),m\n{rows}")), ENZ)
    with pytest.raises(InputError, match=r"its header says 'easting \(ft\)', in ft, but the job"):
        read(f"{header}-,ft,ft,ft,\n{rows}")


def test_units_may_stand_in_the_header_and_in_the_row_below_it(read):
    header = "point,easting_m,N (m),Elev. m,description\n"
    rows = "".join(f"{e:.0f},{e},{n},{z},BASE\n" for e, n, z in ENZ)
    assert_allclose(absolute(read(f"{header},(m),m,m\n{rows}")), ENZ)
    with pytest.raises(InputError, match="line 2"):
        read(f"{header},ft,ft,ft\n{rows}")


def test_a_point_called_n_of_shots_coded_e_is_no_header(read):
    survey = read("N,10.5,20.25,100.1,E\nS,11,21,100.2,W\nE,12,22.5,100.3,N\n4,13,20,100.4,S\n")
    assert_allclose(absolute(survey), ENZ)
    assert survey.ids == ("N", "S", "E", "4")


@pytest.mark.parametrize("comment", ["#,Job: slab,Crew: Bo", "#,,,,", "#\tslab\tBo"])
def test_a_comment_with_fewer_cells_than_the_rows_is_no_header(read, comment):
    assert_allclose(absolute(read(f"{comment}\n{PNEZD}")), ENZ)


@pytest.mark.parametrize("first", ["BM1", "101,,,", "BM1,,,100.1"])
def test_a_row_that_may_be_a_shot_is_no_title(read, first):
    with pytest.raises(InputError, match="line 1"):
        read(f"{first}\n1,20,10,100,BASE\n2,21,11,100,BASE\n3,20,14,100,BASE\n")


def test_a_comment_that_names_other_columns_than_there_are_is_refused(read):
    with pytest.raises(InputError, match="comment above it names 3 columns"):
        read("# E,N,Z\n1,20,10,100,BASE\n2,21,11,100,BASE\n3,20,14,100,BASE\n")


def test_columns_that_a_header_does_not_know_are_skipped(read):
    survey = read(
        "Point No.,Quality,Easting,Northing,Setup,Rod,Elev.,Date,Note,Code\n"
        "7,good,20,10,S1,5.1,100.1,2024-05-01,wet,BASE\n"
        "8,poor,21,11,S1,5.2,100.2,2024-05-01,,BASE\n"
        "9,good,20,13,S2,5.3,100.3,2024-05-01,,EDGE\n"
    )
    assert survey.ids == ("7", "8", "9")
    assert survey.codes == ("BASE", "BASE", "EDGE")
    assert survey.setups == ("S1", "S1", "S2")
    assert survey.readings == ("100.1", "100.2", "100.3")
    assert_allclose(absolute(survey)[0], [20, 10, 100.1])


def test_stated_columns_go_for_those_that_a_header_does_not_know(read):
    text = "pt,x,y,elev,instr,quality\n7,20,10,100.1,A,2\n8,21,11,100.2,A,2\n9,20,13,100.3,B,2\n"
    survey = read(text, columns="PENZS")
    assert survey.setups == ("A", "A", "B")
    assert codes_of(survey) == []


@pytest.mark.parametrize(
    "header",
    ["Pt #,Northing (Y),Easting (X),Elev (Z) ft,Code", "Stake,Y (North),X (East),Elevation Z,Code"],
)
def test_a_heading_that_names_its_column_twice_is_known(read, header):
    survey = read(f"{header}\n7,10,20,100.1,B\n8,11,21,100.2,B\n9,13,20,100.3,B\n", unit="ft")
    assert survey.ids == ("7", "8", "9")
    assert_allclose(absolute(survey)[0], np.array([20, 10, 100.1]) * 0.3048)


@pytest.mark.parametrize(
    ("header", "unit", "said"),
    [
        ("p,n_ft,e_ft,elev_ft", "m", "in ft, but the job says that its numbers are in m"),
        ("p,n,e,z (mm)", "m", "in mm"),
        ("p,N (m),E (m),Z (m)", "ft", "'N \\(m\\)', in m, but .* in ft"),
        ("p,n us-ft,e us-ft,z us-ft", "ft", "in us-ft, but .* in ft"),
        ("p,n,e,elevation (US survey feet)", "ft", "in us-ft, but .* in ft"),
    ],
)
def test_a_header_in_another_unit_is_refused_with_both(read, header, unit, said):
    with pytest.raises(InputError, match=said):
        read(f"{header}\n1,10,20,100\n2,11,21,100\n3,12,20,100\n", unit=unit)


def test_plain_feet_in_a_header_may_be_survey_feet(read):
    read("p,n_ft,e_ft,elev_ft\n1,10,20,100\n2,11,21,100\n3,12,20,100\n", unit="us-ft")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("10.5,20,100\n11,21,100\n12,20,100\n", "3 columns, whose order cannot be known"),
        ("1,10,20\n2,11,21\n3,12,20\n", "3 columns"),
        ("10.5,20,100,7\n11,21,100,7\n12,20,100,8\n", "no point ids in its first column"),
        ("1,20,100,7\n1,21,100,7\n2,20,100,8\n", "repeat"),
        ("10,20,100,BASE\n11,21,100,BASE\n12,20,100,BASE\n", "no numbers where PNEZD"),
        ("1,10,20,100,0.5\n2,11,21,100,0.6\n3,12,20,100,0.7\n", "measured numbers where"),
        ("10 20 99 255 255 9\n11 21 99 0 0 9\n12 20 99 1 2 3\n", "more columns of numbers than"),
        ("just\nsome\nwords\n", "1 column"),
    ],
)
def test_what_does_not_fit_pnezd_is_not_guessed(read, text, said):
    with pytest.raises(InputError, match=said) as caught:
        read(text)
    assert "base.columns" in str(caught.value)


def test_whole_numbers_may_be_codes_of_pnezd(read):
    assert read("1,10,20,100,5\n2,11,21,100,5\n3,12,20,100,6\n").codes == ("5", "5", "6")


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("punkt,hoch,rechts,höhe", "names no northing and no easting and no elevation"),
        ("p,n,e,ellipsoid", "names no elevation"),
        ("id,lat,lon,elev", "Latitude and longitude are no distances"),
        ("id,n (ft),e (ft),elev (m)", r"'e \(ft\)' and 'elev \(m\)': two units in one file"),
        ("p,northing,y,x,z", "'northing' and 'y' both name the northing"),
    ],
)
def test_a_header_that_is_not_understood_is_refused(read, header, said):
    with pytest.raises(InputError, match=said):
        read(f"{header}\n1,10,20,100\n2,11,21,100\n3,12,20,100\n")


def test_stated_columns_settle_a_header_that_is_not_understood(read):
    survey = read("punkt,hoch,rechts,{h}\n" + PNEZD, columns="PNEZD")
    assert_allclose(absolute(survey), ENZ)
    (note,) = survey.notes
    assert note.code == "header-not-known"
    assert "punkt,hoch,rechts,{h}" in note.say(Units.of_job("m"))


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ("PNEQ", "'Q' names no column"),
        ("PNXEZ", "easting twice"),
        ("PNE", "names no elevation"),
        ("PNER", "rod readings .R. but no elevations"),
    ],
)
def test_columns_that_make_no_sense_are_refused(read, columns, said):
    with pytest.raises(InputError, match=said):
        read(PNEZD, columns=columns)


def test_a_header_with_rods_but_no_elevations_is_refused(read):
    with pytest.raises(InputError, match=r"but no elevations.*List the instrument setups"):
        read("p,n,e,rod\n1,10,20,5.1\n2,11,21,5.2\n3,12,20,5.2\n")
