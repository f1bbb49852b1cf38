"""base3d.png: the base as surveyed under the design top, in space."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.bands import Bands
from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.out.pictures import key
from gradevol.out.pictures.colours import shades
from gradevol.out.pictures.layout import HEAD
from gradevol.out.pictures.plain3d import MOST, draw_plain
from gradevol.out.pictures.renderer import rendering
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.view3d import Scene, View, build_scene, choose_view
from gradevol.out.pictures.view_page import ViewPage, annotate, lay_out_view
from gradevol.out.pictures.widths import DPI

#: Writes the picture to a path.
Draw: TypeAlias = Callable[..., str | None]

#: Triangles of the base that the renderer gets, at most.
MOST_RENDERED = 200_000
#: Room is kept for words about so many names left out; between the scale and the marks, in.
_MANY, _APART = 99, 0.1
#: Widths of lines, dots of the picture before it is smoothed to half its size.
_HEAVY, _LIGHT, _HAIR = 7.0, 3.0, 1.6


@contextmanager
def base3d_beside(drawing: Drawing) -> Iterator[Draw]:
    """
    Have the base rendered in a process of its own while the caller draws other things.

    Parameters
    ----------
    drawing : Drawing

    Yields
    ------
    callable
        Writes the picture to a path, at ``dpi`` dots an inch of a sheet that is at most ten inches
        long, and returns a sentence for the user where a plainer drawing had to do, or None.
    """
    scene = build_scene(drawing, most=MOST_RENDERED)
    view = choose_view(scene)
    longest = _list_entries(scene, drawing, dict.fromkeys(("suspect", "next"), _MANY))
    (scale_wide, scale_high), (wide, high) = (
        key.scale_size(drawing),
        key.entries_size(Sheet.blank(1, 1), longest),
    )
    page = lay_out_view(scene, view, (max(scale_wide, wide), scale_high + _APART + high))
    with rendering(pack_scene(scene, view, drawing.bands, page)) as finish:

        def draw(path: Path, *, dpi: int = DPI) -> str | None:
            picture, sentence = finish()
            sheet = Sheet.blank(page.width, page.height)
            if picture is not None:
                extent = (page.left, page.right, page.bottom, page.top)
                sheet.image(picture[::-1], extent, smooth=True)
            else:
                plainer = build_scene(drawing, most=MOST, is_even=True)
                draw_plain(sheet, plainer, view, drawing.bands, on_paper=page.on_paper)
            left, top = page.right + 0.1, page.height - HEAD - 0.15
            beside = page.width - left
            sheet.room.take(left + beside / 2, page.height / 2, beside, page.height)
            unnamed = annotate(sheet, page, view, scene, drawing)
            key.draw_scale(sheet, (left, top), drawing)
            entries = _list_entries(scene, drawing, unnamed)
            key.draw_entries(sheet, (left, top - scale_high - _APART), entries)
            sheet.save(path, dpi=dpi)
            return sentence

        yield draw


def _list_entries(scene: Scene, drawing: Drawing, unnamed: Mapping[str, int]) -> list[key.Entry]:
    """List the marks of the view, and how many of them have no name beside them."""
    shown = {"thin", "suspect", "next", *(("shot",) if len(scene.shots) else ())}
    hidden = {entry.mark for entry in drawing.captions.key} - shown
    return key.list_entries(drawing, tick=None, unnamed=unnamed, hidden=hidden)


def pack_scene(scene: Scene, view: View, bands: Bands, page: ViewPage) -> dict[str, Any]:
    """Arrays that the renderer draws, heights exaggerated, about the middle of the base."""
    middle = view.stretch(scene.faces.reshape(-1, 3)).mean(axis=0)

    def moved(points: FloatArray, lift: float = 0.0) -> AnyArray:
        return (view.stretch(points) - middle - lift * view.forward).astype(np.float32)

    reach = 4.0 * float(np.ptp(scene.faces.reshape(-1, 3), axis=0).max() + 1)
    near = 0.002 * reach  # lines and dots stand before the surface they lie on
    seen = page.middle - np.array([middle @ view.right, middle @ view.up])
    focus = seen[0] * view.right + seen[1] * view.up
    lines = [(_HEAVY, ring) for ring in scene.top_rings]
    lines += [(_LIGHT, line) for line in (*scene.base_rings, *scene.posts)]
    lines += [(_HAIR, line) for line in scene.levels]
    steps = np.rint(255 * shades(bands.steps)).astype(np.uint8)
    window = np.array([page.right - page.left, page.top - page.bottom]) * DPI
    return {
        "faces": moved(scene.faces),
        "thickness": scene.thickness.astype(np.float32),
        "shots": moved(scene.shots, near),
        "line_widths": np.array([width for width, _ in lines]),
        **{f"line_{n}": moved(line, near) for n, (_, line) in enumerate(lines)},
        "colours": np.column_stack([steps, np.full(len(steps), 255, np.uint8)]),
        "limits": bands.levels[[0, -1]],
        "focus": focus,
        "eye": focus - reach * view.forward,
        "up": view.up,
        "half_height": (page.top - page.bottom) / page.scale / 2,
        "window": np.rint(window).astype(int),
    }
