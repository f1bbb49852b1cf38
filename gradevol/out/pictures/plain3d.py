"""The view of the base drawn with matplotlib alone: far triangles first, near ones over them."""

from typing import Any

import numpy as np

from gradevol.answer.drawing.bands import Bands
from gradevol.out.pictures.colours import SOFT_INK, paint
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.view3d import Scene, View

#: Triangles of the base, at most.
MOST = 16_000


def draw_plain(sheet: Sheet, scene: Scene, view: View, bands: Bands, *, on_paper: Any) -> None:
    """
    Draw a scene.

    Parameters
    ----------
    sheet : Sheet
    scene : Scene
        With a base of small triangles of one size.
    view : View
    bands : Bands
    on_paper : callable
        From places as seen, m, to the sheet, in.
    """
    stretched = view.stretch(scene.faces)
    order = np.argsort(-(stretched.mean(axis=1) @ view.forward))
    colours = paint(bands, scene.thickness.mean(axis=1))[:, :3]
    under = [on_paper(view.project(ring)) for ring in scene.base_rings]
    over = [on_paper(view.project(ring)) for ring in scene.top_rings]
    sheet.faces(on_paper(view.project(scene.faces))[order], colours[order], within=under)
    sheet.lines([*under, *on_paper(view.project(scene.posts))], width=0.8)
    sheet.lines([on_paper(view.project(line)) for line in scene.levels], width=0.4, alpha=0.8)
    if len(scene.shots):
        sheet.dots(on_paper(view.project(scene.shots)), size=2.6)
    sheet.lines(over, width=1.6, layer=6)
    sheet.write(
        0.25, 0.46, "A plainer drawing: no 3D renderer.", size=7, colour=SOFT_INK, up="baseline"
    )
