from fractions import Fraction

import hypothesis.strategies as st
import pytest
from hypothesis import given
from numpy.testing import assert_allclose

from gradevol.ground.lengths import parse_length
from gradevol.ground.quantities import parse_area, parse_volume
from gradevol.ground.units import METRES, Units, eighths
from tests.conftest import ODD

feet = st.integers(0, 5000)
inches = st.integers(0, 11)
parts = st.integers(1, 15)
units = st.sampled_from(sorted(METRES))
numbers = st.floats(-1e7, 1e7, allow_subnormal=False)


@given(feet, inches, parts)
def test_every_way_to_write_feet_inches_and_sixteenths_is_the_same_length(feet, inches, parts):
    fraction = Fraction(parts, 16)
    expected = float(12 * feet + inches + fraction) * 0.0254
    for text in (
        f"{feet}'-{inches} {fraction}\"",
        f"{feet}' {inches}-{fraction}\"",
        f"{feet} ft {inches} {fraction} in",
        f"{feet}-{inches}-{fraction}",
    ):
        assert_allclose(parse_length(text, unit="m"), expected, rtol=1e-14)
        assert_allclose(parse_length(f"-{text}", unit="m"), -expected, rtol=1e-14)


@given(st.integers(0, 500), parts)
def test_a_dash_or_a_space_before_the_fraction_of_an_inch_is_the_same(whole, parts):
    fraction = Fraction(parts, 16)
    dashed = parse_length(f'{whole}-{fraction}"', unit="ft")
    assert dashed == parse_length(f"{whole} {fraction} in", unit="ft")
    assert_allclose(dashed, float(whole + fraction) * 0.0254, rtol=1e-14)


@given(numbers, units, units)
def test_a_number_with_its_unit_does_not_depend_on_the_unit_of_bare_numbers(number, own, bare):
    assert parse_length(f"{number!r} {own}", unit=bare) == parse_length(number, unit=own)


@given(numbers, units)
def test_lengths_come_back_as_they_were_given(number, unit):
    metres = parse_length(number, unit=unit)
    assert_allclose(metres / METRES[unit], number, rtol=4e-16)


@given(numbers, st.sampled_from(["m", "ft", "us-ft"]))
def test_answers_come_back_in_the_units_of_the_job(number, unit):
    answer = Units.of_job(unit)
    assert_allclose(answer.to_length(parse_length(number, unit=unit)), number, rtol=4e-16)
    assert_allclose(answer.to_volume(parse_volume(number, unit=unit)), number, rtol=4e-16)
    text = f"{number!r} {answer.area}"
    assert_allclose(answer.to_area(parse_area(text, unit="m")), number, rtol=4e-16)


@given(st.integers(-4000, 4000))
def test_eighths_that_are_whole_are_read_back_exactly(count):
    for down in (False, True):
        shown = eighths(count / 8, down=down)
        assert_allclose(parse_length(f"{shown} in", unit="m"), count / 8 * 0.0254, rtol=1e-14)


@given(st.floats(-500, 500))
def test_eighths_are_within_a_sixteenth_and_rounded_down_never_above(inches):
    nearest = parse_length(f"{eighths(inches)} in", unit="in") / 0.0254
    down = parse_length(f"{eighths(inches, down=True)} in", unit="in") / 0.0254
    assert abs(nearest - inches) <= 1 / 16 + 1e-9
    assert inches - 1 / 8 - 1e-6 <= down <= inches + 1e-6


@given(st.text(ODD, max_size=12))
def test_any_text_is_a_length_or_is_refused_with_a_value_error(text):
    try:
        metres = parse_length(text, unit="ft")
    except ValueError:
        return
    assert abs(metres) < float("inf")


@given(st.text(alphabet="0123456789 -/.'\"infteE%+", max_size=12))
def test_text_of_field_notes_is_a_length_or_is_refused_with_a_value_error(text):
    try:
        metres = parse_length(text, unit="ft")
    except ValueError:
        return
    assert metres == pytest.approx(-parse_length(_negated(text), unit="ft"), abs=1e-12)


def _negated(text: str) -> str:
    bare = text.strip()
    if bare.startswith("-"):
        return bare[1:]
    return f"-{bare.removeprefix('+')}"
