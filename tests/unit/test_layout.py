import itertools

import pytest

from gradevol.answer.drawing.room import Room
from gradevol.out.pictures.layout import FOOT, HEAD, LONG, SHORT, lay_out

BLOCKS = ((2.0, 2.5), (2.3, 2.4), (1.9, 0.75))


@pytest.mark.parametrize(
    "ground", [(6, 4), (45, 80), (3, 40), (40, 3), (0.4, 0.5), (900, 700), (100, 1)]
)
def test_map_and_key_fit_on_a_sheet_and_do_not_meet(ground):
    layout = lay_out(ground, BLOCKS)
    assert max(layout.width, layout.height) <= LONG + 1e-9
    assert min(layout.width, layout.height) <= SHORT + 1e-9
    west, south = layout.map_corner
    boxes = [(west, south, west + ground[0] * layout.scale, south + ground[1] * layout.scale)]
    for (x, y), (wide, high) in zip(layout.blocks, BLOCKS, strict=True):
        boxes.append((x, y - high, x + wide, y))
    for left, bottom, right, top in boxes:
        assert 0 <= left < right <= layout.width + 1e-9
        assert FOOT - 1e-9 <= bottom < top <= layout.height - HEAD + 1e-9
    for one, other in itertools.combinations(boxes, 2):
        is_apart = (
            one[2] <= other[0] + 1e-9
            or other[2] <= one[0] + 1e-9
            or one[3] <= other[1] + 1e-9
            or other[3] <= one[1] + 1e-9
        )
        assert is_apart, (one, other)


def test_a_word_takes_its_room_and_no_more():
    room = Room.over(4, 3)
    assert room.is_free(2, 1.5, 1, 0.2)
    room.take(2, 1.5, 1, 0.2, 45)
    assert not room.is_free(2, 1.5, 0.1, 0.1)
    assert not room.is_free(2.3, 1.8, 0.05, 0.05)  # along the slant
    assert room.is_free(2.3, 1.2, 0.05, 0.05)  # across it


def test_words_do_not_leave_the_sheet():
    assert not Room.over(4, 3).is_free(3.9, 1.5, 1, 0.2)
