"""A length comes back, however a hand writes it."""

from fractions import Fraction

import hypothesis.strategies as st
import pytest
from hypothesis import given
from numpy.testing import assert_allclose

from gradevol.files.tables.cells import parse_numbers
from gradevol.files.tables.notation import Notation
from gradevol.ground.lengths import parse_length

INCH = 0.0254
sixteenths = st.integers(0, 16 * 12 * 60)
VULGAR = {Fraction(1, 8): "⅛", Fraction(1, 4): "¼", Fraction(3, 8): "⅜", Fraction(1, 2): "½"}
VULGAR |= {Fraction(5, 8): "⅝", Fraction(3, 4): "¾", Fraction(7, 8): "⅞"}
MARKS = [("'", '"'), ("’", "”"), ("′", "″"), ("'", "''"), (" ft ", " in"), (" feet ", " inches")]


def mixed(whole, rest, dash=" "):
    """Inches as ``6 1/2``, ``6-1/2`` or ``6``."""
    return f"{whole}{dash}{rest}" if rest else f"{whole}"


def with_vulgar(whole, rest):
    """Inches as ``6½``; None where there is no such letter."""
    return f"{whole}{VULGAR[rest]}" if rest in VULGAR else None


def by_hand(length):
    """Every notation of a length in sixteenths of an inch, with the notation it needs."""
    inches, rest = Fraction(length // 16), Fraction(length % 16, 16)
    feet, over = divmod(inches, 12)
    for foot, inch in MARKS:
        for dash in (" ", "-"):
            yield f"{feet}{foot}{mixed(over, rest, dash)}{inch}", None
            yield f"{feet}{foot}-{mixed(over, rest, dash)}{inch}", None
            yield f"{mixed(inches, rest, dash)}{inch}", None
        if letter := with_vulgar(over, rest):
            yield f"{feet}{foot}-{letter}{inch}", None
            yield f"{with_vulgar(inches, rest)}{inch}", None
    if rest:
        yield f"{feet}-{over}-{rest}", None
        yield f"{feet}-{over} {rest}", None
    else:
        yield f"{feet}-{over}", "feet-inches"
        yield f"{feet} - {over}", "feet-inches-eighths"
    if (rest * 8).denominator == 1:
        yield f"{feet}-{over}-{rest * 8}", "feet-inches-eighths"
    if rest:
        yield mixed(inches, rest), "inches"
        yield mixed(inches, rest, "-"), "inches"
        if letter := with_vulgar(inches, rest):
            yield letter, "inches"


@given(sixteenths, st.sampled_from(["ft", "us-ft", "m", "mm"]))
def test_every_notation_of_a_length_is_that_length(length, unit):
    for text, notation in by_hand(length):
        read = parse_length(text, unit=unit, notation=notation)
        assert_allclose(read, length / 16 * INCH, rtol=1e-14, err_msg=text)


@given(st.lists(st.integers(1, 16 * 12 * 60), min_size=2, max_size=8), st.data())
def test_a_column_in_one_hand_is_read_whole(lengths, data):
    kind = data.draw(st.sampled_from([None, "feet-inches", "feet-inches-eighths", "inches"]))
    cells = []
    for length in lengths:
        ways = [text for text, needs in by_hand(length) if needs == kind]
        if kind is None:  # in marks
            ways = [text for text in ways if "'" in text or '"' in text]
        if not ways:
            return
        cells.append(data.draw(st.sampled_from(ways)))
    read = parse_numbers(cells, decimal=".", unit="ft", notation=Notation(kind), is_level=True)
    assert_allclose(read, [length / 16 * INCH for length in lengths], rtol=1e-14)


@given(st.lists(sixteenths, min_size=3, max_size=9), st.integers(1, 400), st.data())
def test_a_bare_number_among_marked_ones_is_never_read(lengths, number, data):
    cells = [
        data.draw(st.sampled_from([text for text, _ in by_hand(each) if text[-1] in "\"'"]))
        for each in lengths
    ]
    for bare in (str(number), f"{number}.5", f"{number} 1/2"):
        read = parse_numbers([*cells, bare], decimal=".", unit="ft")
        assert read[-1] != read[-1], bare


@given(st.sampled_from(["1", "1 ", "1/", "1-", "'1", "\t", '"', ".1", "1e"]))
def test_long_text_is_refused_at_once(part):
    with pytest.raises(ValueError, match=r"length|number") as caught:
        parse_length(part * 100_000, unit="ft")
    assert len(str(caught.value)) < 120
