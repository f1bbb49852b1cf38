"""What is written on a drawn sheet, where each word stands, and which words stand on others."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from gradevol.answer.drawing import Drawing
from gradevol.out.paper.layout import RIM
from gradevol.out.pictures.base3d import base3d_beside
from gradevol.out.pictures.sheet import Sheet

#: Points to an inch; height of a capital by its size, as DejaVu Sans has it (0.729 em).
POINTS, CAPITAL = 72, 0.73
#: Share of a word's ink box that may touch another's: boxes are a little larger than letters.
TOUCH = 0.04
LARGER = 8
#: How the slab's edge is drawn: above all other lines of the map, and how wide, points.
EDGE_LAYER, EDGE_WIDTH = 4.8, 2.6


@dataclass(frozen=True)
class Word:
    """A line of text, its size in points, and the box of its capitals on paper, in."""

    text: str
    size: float
    box: shapely.Polygon


def draw_base3d(drawing: Drawing, path: Path, **options: Any) -> str | None:
    """Draw the view in space, with nothing else meanwhile."""
    with base3d_beside(drawing) as draw:
        return draw(path, **options)


def words_on(sheet: Sheet) -> list[Word]:
    """List all that is written on a sheet, turned words too."""
    return [_word(sheet, text) for text in sheet.axes.texts]


def _word(sheet, text):
    size, said = text.get_fontsize(), text.get_text()
    # measured on large letters, which are not fitted to pixels
    wide = sheet.measure(said, LARGER * size, bold=text.get_fontweight() == "bold")[0] / LARGER
    high = CAPITAL * size / POINTS
    left = {"left": 0.0, "center": -wide / 2, "right": -wide}[text.get_horizontalalignment()]
    below = {"center_baseline": -high / 2, "baseline": 0.0}[text.get_verticalalignment()]
    corners = np.array([(0, 0), (wide, 0), (wide, high), (0, high)]) + np.array([left, below])
    turn = np.radians(text.get_rotation())
    way = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    return Word(said, size, shapely.Polygon(corners @ way + text.get_position()))


def find_overlaps(words: list[Word]) -> list[tuple[str, str]]:
    """Pairs of words of which one stands on the other."""
    boxes = np.array([word.box for word in words])
    first, second = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    is_pair = first < second
    first, second = first[is_pair], second[is_pair]
    shared = shapely.area(shapely.intersection(boxes[first], boxes[second]))
    least = np.minimum(shapely.area(boxes[first]), shapely.area(boxes[second]))
    return [
        (words[one].text, words[other].text)
        for one, other in zip(
            first[shared > TOUCH * least], second[shared > TOUCH * least], strict=True
        )
    ]


def find_cut_off(sheet: Sheet, words: list[Word]) -> list[str]:
    """Words that do not lie wholly on the paper."""
    paper = shapely.box(0, 0, sheet.width, sheet.height)
    return [word.text for word in words if not paper.covers(word.box)]


def find_on_borders(sheet: Sheet, words: list[Word]) -> list[str]:
    """Words that stand on the border of a box to be filled by hand."""
    borders = [
        shapely.LinearRing(patch.get_path().vertices[:-1])
        for patch in sheet.axes.patches
        if patch.get_edgecolor()[3] > 0 and shapely.Polygon(patch.get_path().vertices).area > 0.5
    ]
    assert borders
    return [word.text for word in words if any(word.box.intersects(line) for line in borders)]


def measure_map(sheet: Sheet) -> tuple[float, float]:
    """Width and height of the map on a paper, its rim of side names and ticks with it, in."""
    (edge,) = [
        np.vstack(drawn.get_segments())
        for drawn in sheet.axes.collections
        if drawn.get_zorder() == EDGE_LAYER and set(drawn.get_linewidths()) == {EDGE_WIDTH}
    ]
    wide, high = (edge.max(axis=0) - edge.min(axis=0) + 2 * RIM).tolist()
    return wide, high
