"""The view of the base drawn with matplotlib alone: far triangles first, near ones over them."""

from typing import Any

import numpy as np

from gradevol.answer.drawing.bands import Bands
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.colours import SOFT_INK, TOP_GREY, paint
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
    colours = paint(bands, scene.thickness.mean(axis=1))[:, :3] * _light(stretched)[:, None]
    under = [on_paper(view.project(ring)) for ring in scene.base_rings]
    over = [on_paper(view.project(ring)) for ring in scene.top_rings]
    sheet.faces(on_paper(view.project(scene.faces))[order], colours[order], within=under)
    sheet.lines([*under, *on_paper(view.project(scene.posts))], width=0.8)
    if len(scene.shots):
        sheet.dots(on_paper(view.project(scene.shots)), size=2.6)
    sheet.fill(over, facecolor=TOP_GREY, alpha=0.2, zorder=5.5)
    sheet.lines(over, width=1.6, layer=6)
    sheet.write(
        0.25, 0.46, "A plainer drawing: no 3D renderer.", size=7, colour=SOFT_INK, up="baseline"
    )


def _light(faces: FloatArray) -> FloatArray:
    """Brightness of faces under a lamp above and to the left, 0.75 to 1."""
    normal = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    lamp = np.array([-0.5, -0.2, 0.84])
    return np.clip(0.7 + 0.34 * np.abs(normal @ lamp), 0, 1)
