"""The sheet's map: at least half of the paper, whatever the slab's shape and how long its list."""

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.out.paper.paper import MARGIN
from gradevol.out.paper.sheet import draw_sheet
from tests.lettering import find_cut_off, find_on_borders, find_overlaps, measure_map, words_on
from tests.pads import grid

LONG = [[0, 0], [44, 0], [44, 4], [0, 4]]
UPRIGHT = [[0, 0], [3, 0], [3, 40], [0, 40]]
ANGLE = [[0, 0], [26, 0], [26, 12], [11, 12], [11, 22], [0, 22]]
SQUARE = [[0, 0], [21, 0], [21, 20], [0, 20]]
#: How far apart they are shot, m.
SHAPES = {
    "long": (LONG, 1.9),
    "upright": (UPRIGHT, 1.45),
    "angle": (ANGLE, 2),
    "square": (SQUARE, 2),
}


def shoot(edge, spacing, bumps):
    """Shots (n, 3) of a flat base with so many places that are out of tolerance."""
    corner = np.array(edge).max(axis=0)
    east, north = (np.arange(0.05, side, spacing) for side in corner.tolist())
    plan = grid(east, north)
    if edge is ANGLE:
        plan = plan[(plan[:, 0] < 11) | (plan[:, 1] < 12)]
    level = np.zeros(len(plan))
    where = np.linspace(2, len(plan) - 3, bumps).round().astype(int)
    level[where] = np.where(np.arange(bumps) % 2 == 0, 0.02, -0.03)
    return np.column_stack([plan, level])


@pytest.fixture(
    params=[("long", 8), ("upright", 3), ("upright", 8), ("angle", 8), ("square", 3)],
    ids=str,
    scope="module",
)
def sheet(request, make_result):
    """Sheet of a slab of odd shape, with a short and a long fix list, on the paper it asks for."""
    shape, rows = request.param
    edge, spacing = SHAPES[shape]
    shots = shoot(edge, spacing, rows)
    result = make_result(
        shots, np.array(edge, float), 0.15, base_high=0.008, base_low=0.008, title="Yard (invented)"
    )
    answer = compose_answer(result)
    assert len(answer.drawing.spots.tasks) == rows
    return draw_sheet(answer), rows


def test_the_map_has_half_of_the_paper_or_reaches_from_margin_to_margin(sheet):
    drawn, _ = sheet
    wide, high = measure_map(drawn)
    share = wide * high / (drawn.width * drawn.height)
    # of a strip no map has half: it reaches along the paper, but for the head and the map's foot
    along = (wide / (drawn.width - 2 * MARGIN), high / (drawn.height - 2 * MARGIN - 0.9))
    is_strip = max(wide, high) > 4 * min(wide, high)
    # half of the paper, but for a hundredth of that where it would reach from margin to margin
    assert share >= 0.495 or (is_strip and max(along) > 0.95)


def test_its_words_are_whole_large_enough_and_apart(sheet):
    drawn, rows = sheet
    words = words_on(drawn)
    assert find_overlaps(words) == []
    assert find_cut_off(drawn, words) == []
    assert find_on_borders(drawn, words) == []
    assert [word.text for word in words if word.size < 7] == []
    said = {word.text for word in words}
    assert {str(row + 1) for row in range(rows)} <= said
    assert not [text for text in said if text.endswith("…") or "more: see" in text]
