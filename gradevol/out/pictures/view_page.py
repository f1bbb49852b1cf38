"""The sheet around the view of the base: where the view lies, and the words about it."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.captions import say_heights
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.chart import measure_path
from gradevol.out.pictures.colours import ALERT, INK
from gradevol.out.pictures.layout import FOOT, HEAD, LONG, MARGIN, SHORT
from gradevol.out.pictures.placing import name_on_sheet
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.shots import NEXT, SUSPECT, list_suspects, mark_next, ring_suspects
from gradevol.out.pictures.styles import AREAS, PLACES
from gradevol.out.pictures.view3d import Scene, View
from gradevol.out.pictures.words import draw_foot, draw_head

_RIM = 0.4
_LIFT = 0.12
#: Room below the key for the arrow to the north, in.
_ARROW = 1.2


@dataclass(frozen=True, slots=True)
class ViewPage:
    """
    Where the view lies on its sheet.

    Attributes
    ----------
    width, height : float
        Of the sheet, in.
    left, right, bottom, top : float
        Borders of the view, in.
    scale : float
        Inches on paper to a metre as seen.
    middle : (2,) array of float
        What is seen in the middle of the view, m.
    """

    width: float
    height: float
    left: float
    right: float
    bottom: float
    top: float
    scale: float
    middle: FloatArray

    def on_paper(self, seen: FloatArray) -> FloatArray:
        """Places as seen, m, on the sheet, in."""
        centre = np.array([self.left + self.right, self.bottom + self.top]) / 2
        return np.asarray(centre + (seen - self.middle) * self.scale)


def lay_out_view(scene: Scene, view: View, key_size: tuple[float, float]) -> ViewPage:
    """Fit the view and the key beside it, in, onto a sheet."""
    seen = view.project(np.vstack([*scene.top_rings, *scene.base_rings, scene.top.reshape(-1, 3)]))
    low, high = seen.min(axis=0), seen.max(axis=0)
    room = np.array([LONG - 2 * MARGIN - key_size[0], SHORT - HEAD - FOOT - _LIFT]) - 2 * _RIM
    scale = float((room / (high - low)).min())
    wide, tall = (high - low) * scale + 2 * _RIM
    tall = max(tall, key_size[1] + _ARROW)
    right, bottom = MARGIN + float(wide), FOOT + _LIFT
    return ViewPage(
        width=right + 0.1 + key_size[0] + MARGIN,
        height=bottom + float(tall) + HEAD,
        left=MARGIN,
        right=right,
        bottom=bottom,
        top=bottom + float(tall),
        scale=scale,
        middle=(low + high) / 2,
    )


def annotate(
    sheet: Sheet, page: ViewPage, view: View, scene: Scene, drawing: Drawing
) -> dict[str, int]:
    """
    Write title, exaggeration, north, the least thickness, names of shots, the numbers of sides.

    Returns
    -------
    dict of str to int
        How many suspect and next shots found no room for their name, by their mark.
    """
    captions = drawing.captions
    draw_head(sheet, drawing.title, f"{captions.view} {say_heights(view.exaggeration)}")
    _draw_north(sheet, page, view)
    for rings in scene.thin:
        AREAS["thin"].draw(sheet, [page.on_paper(view.project(ring)) for ring in rings])
    # what must be found is marked and named first: lesser words give way to it
    suspects, ahead = (page.on_paper(view.project(held)) for held in (scene.suspects, scene.next))
    ring_suspects(sheet, suspects)
    mark_next(sheet, ahead)
    _write_least(sheet, page.on_paper(view.project(scene.least)), captions.least)
    unnamed = _name_places(sheet, suspects, ahead, drawing)
    _number_sides(sheet, page, view, scene, drawing)
    draw_foot(sheet)
    return unnamed


def _write_least(sheet: Sheet, at: FloatArray, text: str) -> None:
    """Mark the least thickness, and say it about the place, where no mark of a shot is."""
    PLACES["worst"].draw(sheet, at[None])
    wide, high = sheet.measure(text, 8.5, bold=True)
    across = wide / 2 + 0.14
    offs = ((0.0, 0.16), (0.0, -0.16), (across, 0.0), (-across, 0.0))
    places = [(at[0] + right, at[1] + up, 0.0) for right, up in offs]
    x, y, _ = sheet.room.find(places, wide + 0.04, 0.7 * high) or places[0]
    sheet.write(x, y, text, size=8.5, bold=True, colour=ALERT, across="center", plate=True)
    sheet.room.take(x, y, wide + 0.1, high + 0.06)
    sheet.room.take(at[0], at[1], 0.14, 0.14)


def _name_places(
    sheet: Sheet, suspects: FloatArray, ahead: FloatArray, drawing: Drawing
) -> dict[str, int]:
    """Name suspect shots and next ones; how many found no room for it."""
    shots = drawing.shots
    named = {
        "suspect": (zip(suspects, list_suspects(shots), strict=True), SUSPECT),
        "next": (zip(ahead, (shot.name for shot in shots.next), strict=True), NEXT),
    }
    return {
        mark: sum(not name_on_sheet(sheet, at, name, size=size) for at, name in names)
        for mark, (names, size) in named.items()
    }


def _draw_north(sheet: Sheet, page: ViewPage, view: View) -> None:
    """Draw an arrow that lies on the ground and points north."""
    north = view.project(np.array([0.0, 1.0, 0.0]))
    across = view.project(np.array([1.0, 0.0, 0.0]))
    flat = np.array([(0.5, 0), (-0.3, 0.22), (-0.14, 0), (-0.3, -0.22)])
    middle = np.array([page.right + 0.8, page.bottom + 0.45])
    sheet.fill([middle + 0.8 * (flat[:, :1] * north + flat[:, 1:] * across)], facecolor=INK)
    tip = middle + (0.4 + 0.13 / float(np.hypot(*north))) * north
    sheet.write(tip[0], tip[1], "N", size=10, bold=True, across="center")


def _number_sides(sheet: Sheet, page: ViewPage, view: View, scene: Scene, drawing: Drawing) -> None:
    """Number the sides that are long enough, just outside: above far ones, below near ones."""
    for number, side in enumerate(drawing.slab.paths, start=1):
        over, under = (
            page.on_paper(view.project(_at_corners(np.vstack(rings), side)))
            for rings in (scene.top_rings, scene.base_rings)
        )
        at = (len(side) - 1) // 2  # of an arc the chord in its middle
        step = side[at + 1] - side[at]
        out = drawing.slab.turn * np.array([step[1], -step[0], 0.0])
        is_near = view.project(out)[1] < 0
        ring = under if is_near else over
        start, end = ring[at], ring[at + 1]
        along = end - start
        length = float(np.hypot(*along))
        if measure_path(ring) < 0.8:
            continue
        aside = np.array([along[1], -along[0]]) / length
        aside *= np.sign(aside @ view.project(out)) or 1.0
        angle = float((np.degrees(np.arctan2(along[1], along[0])) + 89.9) % 180 - 89.9)
        where = (start + end) / 2 + 0.17 * aside
        sheet.label([(*where, angle)], f"side {number}", size=8.5, bold=True, halo=2.0)


def _at_corners(places: FloatArray, edge: FloatArray) -> FloatArray:
    """The places (n, 3) that stand at the corners of the edge, (m, 3)."""
    away = np.hypot(*(places[:, None, :2] - edge[None]).transpose(2, 0, 1))
    return np.asarray(places[away.argmin(axis=0)])
