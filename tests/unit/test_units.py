from fractions import Fraction

import pytest
from numpy.testing import assert_allclose

from gradevol.ground.units import CUBIC_YARD, METRES, SQUARE_FOOT, Units, eighths

FEET = Units.of_job("ft")
METRIC = Units.of_job("m")
INCHES = FEET.written("inches")


def test_the_international_foot_is_exact():
    # 0.3048 m exactly: 24 FR 5348, 1 July 1959, as told at
    # https://www.pobonline.com/articles/101992- (a secondary source).
    assert METRES["ft"] == 0.3048
    assert METRES["in"] == 0.0254


def test_the_us_survey_foot_is_1200_by_3937_metres():
    # NIST's page on the US survey foot (read in a copy): 1200/3937 m = 0.304800609601...
    assert METRES["us-ft"] == 1200 / 3937
    assert_allclose(METRES["us-ft"], 0.304800609601, atol=5e-13)  # printed to 12 digits


def test_the_two_feet_part_by_a_hundredth_in_a_mile_and_four_feet_in_two_million():
    # 0.01 ft in a mile: NIST's page, as above; the rest follows from the two exact definitions.
    ratio = METRES["us-ft"] / METRES["ft"]
    assert_allclose(ratio, 1.000002000004, atol=5e-13)
    assert_allclose(5280 * (ratio - 1), 0.01, atol=0.005)
    assert_allclose(2_000_000 * (ratio - 1), 4.000, atol=5e-4)


def test_a_cubic_yard_in_cubic_metres():
    # Follows from the yard of 0.9144 m: 1493271207/1953125000 m³.
    exact = Fraction(9144, 10000) ** 3
    assert exact == Fraction(1493271207, 1953125000)
    assert_allclose(CUBIC_YARD, float(exact), rtol=1e-15)
    assert_allclose(CUBIC_YARD, 27 * SQUARE_FOOT * METRES["ft"], rtol=1e-15)


@pytest.mark.parametrize(
    ("inches", "shown", "shown_down"),
    [
        (5.375, "5 3/8", "5 3/8"),
        (5.4999, "5 1/2", "5 3/8"),
        (0.74, "3/4", "5/8"),
        (0, "0", "0"),
        (-0.3, "-1/4", "-3/8"),
        (11.99, "12", "11 7/8"),
    ],
)
def test_eighths_round_to_the_nearest_or_down(inches, shown, shown_down):
    assert eighths(inches) == shown
    assert eighths(inches, down=True) == shown_down


@pytest.mark.parametrize(
    ("unit", "names"),
    [
        ("m", ("m", "m2", "m3")),
        ("mm", ("m", "m2", "m3")),
        ("ft", ("ft", "ft2", "yd3")),
        ("in", ("ft", "ft2", "yd3")),
        ("us-ft", ("us-ft", "ft2", "yd3")),
    ],
)
def test_a_job_is_answered_in_metres_or_in_feet_and_yards(unit, names):
    units = Units.of_job(unit)
    assert (units.length, units.area, units.volume) == names


def test_measures_said_in_feet():
    assert FEET.say_tape(12.32 * 0.3048) == "12 ft 4 in"
    assert FEET.say_tape(-0.0254) == "-0 ft 1 in"
    assert FEET.say_tape(11.999 * 0.3048) == "12 ft 0 in"
    assert FEET.say_thickness(5.375 * 0.0254) == "5 3/8 in"
    assert FEET.say_thickness(5.49 * 0.0254, down=True) == "5 3/8 in"
    assert FEET.say_area(1234.4 * SQUARE_FOOT) == "1,234 ft²"
    assert FEET.say_volume(73.04 * CUBIC_YARD) == "73.0 yd³"
    assert FEET.say_volume(0.262 * CUBIC_YARD) == "0.26 yd³"
    assert FEET.say_level(100.018 * 0.3048) == "100.02 ft"


def test_measures_said_in_metres():
    assert METRIC.say_tape(3.756) == "3.76 m"
    assert METRIC.say_thickness(0.1366) == "137 mm"
    assert METRIC.say_thickness(0.1366, down=True) == "136 mm"
    assert METRIC.say_area(12.04) == "12.0 m²"
    assert METRIC.say_volume(55.84) == "55.8 m³"
    assert METRIC.say_level(30.4856) == "30.486 m"


@pytest.mark.parametrize(
    ("units", "area", "volume", "level"),
    [
        (FEET, "less than 1 ft²", "less than 0.01 yd³", "less than 0.01 ft"),
        (METRIC, "less than 0.1 m²", "less than 0.01 m³", "less than 0.001 m"),
        (INCHES, "less than 1 ft²", "less than 0.01 yd³", "less than 1/8 in"),
    ],
)
def test_what_is_there_is_never_said_as_nought(units, area, volume, level):
    assert units.say_some_level(1e-4) == level
    assert units.say_some_level(0.012) == units.say_level(0.012)
    assert units.say_some_area(1e-4) == area
    assert units.say_some_area(3.6) == units.say_area(3.6)
    assert units.say_some_volume(1e-4) == volume
    assert units.say_some_volume(-1e-4) == f"{volume} off"
    assert units.say_some_volume(3.6) == units.say_volume(3.6)


@pytest.mark.parametrize("units", [FEET, METRIC])
def test_nought_is_never_said_to_be_negative(units):
    for say in (
        units.say_tape,
        units.say_thickness,
        units.say_area,
        units.say_volume,
        units.say_level,
    ):
        assert "-" not in say(-1e-9)


@pytest.mark.parametrize(
    ("notation", "thickness", "down", "tape", "level", "fine"),
    [
        ("", "5 3/8 in", "5 1/4 in", "12 ft 4 in", "100.02 ft", "0.05 in"),
        ("inches", "5 3/8 in", "5 1/4 in", "12 ft 4 in", "100'-0 1/4\"", "0.05 in"),
        ("hundredths", "0.45 ft", "0.44 ft", "12.3 ft", "100.02 ft", "0.004 ft"),
    ],
)
def test_lengths_of_jobs_in_feet_are_written_in_one_notation(
    notation, thickness, down, tape, level, fine
):
    units = Units.of_job("ft").written(notation)
    thick = 5.35 * 0.0254
    assert units.say_thickness(thick) == thickness
    assert units.say_thickness(thick, down=True) == down
    assert units.say_tape(12.33 * 0.3048) == tape
    assert units.say_level(100.02 * 0.3048) == level
    assert units.say_fine(0.05 * 0.0254) == fine


def test_differences_of_level_in_inches_are_short():
    units = Units.of_job("ft").written("inches")
    assert units.say_level(0.1 * 0.3048) == "1 1/4 in"
    assert units.say_level(-0.1 * 0.3048) == "-1 1/4 in"
    assert units.say_level(-1.5 * 0.3048) == "-1'-6\""
    assert units.say_level(0.0) == "0 in"
