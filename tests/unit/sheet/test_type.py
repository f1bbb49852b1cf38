"""Words set in lines: as many to a line as are printed in its width."""

from itertools import pairwise

import pytest

from gradevol.out.paper.type import Typesetter, split
from gradevol.out.pictures import sheet as sheet_module
from gradevol.out.pictures.sheet import Sheet

WORDS = (
    "Iiiiiill, immense mammoths: mmmmm wwww MMMM little lilies fill it; an estimate of the points "
    "given, only as good as they are, illicit jilted tilts and all that"
)
TEXT = "6 ft 6 in from side 1, 12 ft 6 in from side 6; 11 x 5 ft"


def test_a_line_of_measures_is_filled_as_far_as_it_is_printed():
    type_ = Typesetter(Sheet.blank(1, 1))
    printed = type_.width(TEXT)
    assert len(type_.wrap(split(TEXT), printed * 1.02, most=2)) == 1
    assert len(type_.wrap(split(TEXT), printed * 0.98, most=2)) == 2


def test_letters_are_as_wide_as_they_are_large():
    type_ = Typesetter(Sheet.blank(1, 1))
    assert type_.width(TEXT, 14.0) == 2 * type_.width(TEXT, 7.0)


@pytest.mark.parametrize("wide", [0.1, 0.9, 2.3, 4.0, 40.0])
@pytest.mark.parametrize("size", [6.0, 8.5, 14.0])
def test_lines_hold_as_many_words_as_have_room(wide, size):
    sheet = Sheet.blank(1, 1)
    lines = sheet.wrap(WORDS, wide, size)
    assert " ".join(lines) == WORDS
    for line, after in pairwise(lines):
        assert " " not in line or sheet.measure(line, size)[0] <= wide
        longer = f"{line} {after.split()[0]}"
        assert sheet.measure(longer, size)[0] > wide


def test_of_a_line_few_beginnings_are_measured(monkeypatch):
    asked = []

    def measure(text, _size, _bold):
        asked.append(text)
        return 0.06 * len(text)

    monkeypatch.setattr(sheet_module, "measure_width", measure)
    assert len(Sheet.blank(1, 1).wrap(WORDS, 4.0, 8.5)) == 3
    assert len(asked) <= 9
