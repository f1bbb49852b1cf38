"""Words set in lines: as many to a line as are printed in its width."""

from gradevol.out.paper.type import Typesetter, split
from gradevol.out.pictures.sheet import Sheet

TEXT = "6 ft 6 in from side 1, 12 ft 6 in from side 6; 11 x 5 ft"


def test_a_line_of_measures_is_filled_as_far_as_it_is_printed():
    type_ = Typesetter(Sheet.blank(1, 1))
    printed = type_.width(TEXT)
    assert len(type_.wrap(split(TEXT), printed * 1.02, most=2)) == 1
    assert len(type_.wrap(split(TEXT), printed * 0.98, most=2)) == 2


def test_letters_are_as_wide_as_they_are_large():
    type_ = Typesetter(Sheet.blank(1, 1))
    assert type_.width(TEXT, 14.0) == 2 * type_.width(TEXT, 7.0)
