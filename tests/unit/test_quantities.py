import pytest
from numpy.testing import assert_allclose

from gradevol.ground.lengths import parse_length
from gradevol.ground.quantities import parse_area, parse_fall, parse_share, parse_volume
from gradevol.ground.units import CUBIC_YARD, METRES, Units, eighths

FEET = Units.of_job("ft")


@pytest.mark.parametrize(
    ("inches", "feet"),
    # Arithmetic (inches / 12), to the four places that tables print.
    [
        *((1, 0.0833), (2, 0.1667), (3, 0.25), (4, 0.3333), (5, 0.4167), (6, 0.5), (7, 0.5833)),
        *((8, 0.6667), (9, 0.75), (10, 0.8333), (11, 0.9167)),
    ],
)
def test_inches_in_feet_to_four_places(inches, feet):
    metres = parse_length(f"{inches} in", unit="m")
    assert round(FEET.to_length(metres), 4) == feet


@pytest.mark.parametrize(
    ("text", "feet"),
    # Arithmetic (eighths / 96), to the five places that tables print.
    [
        *(("1/8", 0.01042), ("1/4", 0.02083), ("3/8", 0.03125), ("1/2", 0.04167)),
        *(("5/8", 0.05208), ("3/4", 0.0625), ("7/8", 0.07292)),
    ],
)
def test_eighths_of_an_inch_in_feet_to_five_places(text, feet):
    metres = parse_length(f'{text}"', unit="m")
    assert_allclose(FEET.to_length(metres), feet, atol=5.1e-6)
    assert eighths(metres / METRES["in"]) == text


@pytest.mark.parametrize(
    ("thickness", "coverage"),
    # Square feet that a cubic yard covers: 324 / inches (arithmetic).
    [(2, 162), (3, 108), (4, 81), (5, 64.8), (6, 54), (7, 46.29), (8, 40.5)],
)
def test_coverage_of_a_cubic_yard(thickness, coverage):
    area = CUBIC_YARD / parse_length(f"{thickness} in", unit="m")
    assert_allclose(FEET.to_area(area), coverage, atol=5e-3)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("6 in", 6),
        ("6 inches", 6),
        ("6 in.", 6),
        ("6''", 6),
        ('5 3/8"', 5.375),
        ("6-1/2 in", 6.5),
        ('5-3/8"', 5.375),
        ("3/4 in", 0.75),
        ("5'-6 1/2\"", 66.5),
        ("5' 6\"", 66),
        ("5'6", 66),
        ("5 ft 6 in", 66),
        ("5 ft 1/2 in", 60.5),
        ("6-4-3/4", 76.75),
        ("6-4", 76),
        ("5.5 ft", 66),
        ("2'", 24),
        ("-5'-6\"", -66),
        ("− 6 in", -6),
        ("+6 in", 6),
        ("0.1524 m", 6),
        ("152.4 mm", 6),
        ("15.24 cm", 6),
        ("1.524e-1 m", 6),
    ],
)
def test_lengths_as_people_write_them(text, inches):
    assert_allclose(parse_length(text, unit="m"), inches * 0.0254, rtol=1e-14)


@pytest.mark.parametrize("unit", sorted(METRES))
def test_a_bare_number_is_in_the_given_unit(unit):
    assert parse_length(12.5, unit=unit) == 12.5 * METRES[unit]
    assert parse_length("12.5", unit=unit) == 12.5 * METRES[unit]
    assert parse_length("1e-3", unit=unit) == 1e-3 * METRES[unit]


def test_a_dashed_fraction_without_a_unit_is_refused_where_it_can_be_read_in_two_ways():
    with pytest.raises(ValueError, match="two ways"):
        parse_length("6-1/2", unit="ft")
    assert parse_length("6-1/2", unit="in") == 6.5 * 0.0254


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            "-",
            "six",
            "6 furlongs",
            "1,250.5 ft",
            "0,15 m",
            "--6",
            "+-6 in",
            "5'-12\"",
            "1/0 in",
        ),
        *("1e999", "6 in 5 ft", "5'-6'", True, float("nan"), float("inf"), 10**400),
    ],
)
def test_what_is_no_length_is_refused(text):
    with pytest.raises(ValueError, match=r"length|number|unit|twelve"):
        parse_length(text, unit="ft")


def test_the_unknown_unit_is_quoted():
    with pytest.raises(ValueError, match="'6 furlongs' names no known unit"):
        parse_length("6 furlongs", unit="ft")


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1/4 in per ft", 1 / 48),
        ('1/4"/ft', 1 / 48),
        ("1/8 in per foot", 1 / 96),
        ("6 in per 25 ft", 0.02),
        ("2 cm per m", 0.02),
        ("2 %", 0.02),
        ("1.5%", 0.015),
        ("0.02", 0.02),
        ("1:50", 0.02),
        ("1 : 60", 1 / 60),
        ("1 in 80", 1 / 80),
        ("1/48", 1 / 48),
        (0.02, 0.02),
        (0, 0.0),
    ],
)
def test_falls_as_people_write_them(text, ratio):
    assert_allclose(parse_fall(text), ratio, rtol=1e-14)


@pytest.mark.parametrize(
    "text", ["", "steep", "1 in per 0 ft", "1/0 %", "1:0", "1 in 60 in", True, float("nan")]
)
def test_what_is_no_fall_is_refused(text):
    with pytest.raises(ValueError, match=r"fall|number"):
        parse_fall(text)


@pytest.mark.parametrize("text", ["1/4", "3/16", "1/8", "1 1/2", "¼"])
def test_a_fraction_of_an_inch_is_no_ratio_of_a_fall(text):
    with pytest.raises(ValueError, match="inches in a foot or a ratio: write"):
        parse_fall(text)


@pytest.mark.parametrize(
    ("text", "square_inches"),
    [
        ("2 in2", 2),
        ("2 in²", 2),
        ("0.5 ft2", 72),
        ("645.16 mm2", 1),
        ("-6.4516 cm^2", -1),
        (1, 144),
    ],
)
def test_areas_as_people_write_them(text, square_inches):
    assert_allclose(parse_area(text, unit="ft"), square_inches * 0.0254**2, rtol=1e-14)


@pytest.mark.parametrize(
    ("text", "unit", "cubic_feet"),
    [
        ("27 ft3", "m", 27),
        ("1 yd3", "m", 27),
        ("1 1/2 yd³", "m", 40.5),
        ("10 yd", "m", 270),
        ("10 CY", "ft", 270),
        ("1½ cu yd", "ft", 40.5),
        ("-0.028316846592 m3", "ft", -1),
        (1, "ft", 27),
        (1, "us-ft", 27),
        ("1", "in", 27),
        (0.028316846592, "m", 1),
        (0.028316846592, "mm", 1),
    ],
)
def test_volumes_as_people_write_them(text, unit, cubic_feet):
    assert_allclose(parse_volume(text, unit=unit), cubic_feet * 0.3048**3, rtol=1e-14)


@pytest.mark.parametrize("text", ["2 ft2", "2 ft", "2 gal3", "1/0 ft3", True, float("inf"), ""])
def test_what_is_no_volume_is_refused(text):
    with pytest.raises(ValueError, match=r"volume|zero|number"):
        parse_volume(text, unit="ft")


@pytest.mark.parametrize(
    ("text", "share"), [(0.05, 0.05), ("5 %", 0.05), ("5%", 0.05), ("0.05", 0.05), ("1/2 %", 0.005)]
)
def test_shares_are_fractions_or_percent(text, share):
    assert_allclose(parse_share(text), share, rtol=1e-14)


@pytest.mark.parametrize("text", ["", "%", "five", "5 % %", "1/0 %", True, float("nan")])
def test_what_is_no_share_is_refused(text):
    with pytest.raises(ValueError, match=r"share|number"):
        parse_share(text)
