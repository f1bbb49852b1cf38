"""base3d.png: the base as surveyed under the design top, in space."""

import importlib.util
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
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
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.view3d import Scene, View, build_scene, choose_view
from gradevol.out.pictures.view_page import ViewPage, annotate, lay_out_view
from gradevol.out.pictures.widths import DPI

#: As `subprocess.run`.
Run: TypeAlias = Callable[..., subprocess.CompletedProcess[bytes]]

#: The renderer is stopped after this, s.
TIMEOUT = 60.0
#: Triangles of the base that the renderer gets, at most.
MOST_RENDERED = 200_000
#: Room is kept for words about so many names left out; between the scale and the marks, in.
_MANY, _APART = 99, 0.1
#: Widths of lines, dots of the picture before it is smoothed to half its size.
_HEAVY, _LIGHT, _HAIR = 7.0, 3.0, 1.6

NOT_INSTALLED = (
    "base3d.png is a plainer drawing, because pyvista is not installed: "
    "pip install 'gradevol[view]' adds it."
)
NO_LIBRARIES = (
    "base3d.png is a plainer drawing, because the 3D renderer did not start. It may want system "
    "libraries; on Debian: apt-get install libegl1 libgl1-mesa-dri (or libosmesa6 libx11-6)."
)
FAILED = (
    "base3d.png is a plainer drawing, because the 3D renderer failed. A newer pyvista may help: "
    "pip install --upgrade 'gradevol[view]'."
)
TOO_SLOW = (
    f"base3d.png is a plainer drawing, because the 3D renderer was not done in {TIMEOUT:.0f} s."
)


def draw_base3d(
    drawing: Drawing,
    path: Path,
    *,
    run: Run = subprocess.run,
    dpi: int = DPI,
) -> str | None:
    """
    Draw the base in space.

    Parameters
    ----------
    drawing : Drawing
    path : Path
        Of the PNG.
    run : callable
        Runs the renderer; as `subprocess.run`.
    dpi : int
        Dots an inch; the sheet is at most ten inches long.

    Returns
    -------
    str or None
        A sentence for the user where a plainer drawing had to do.
    """
    scene = build_scene(drawing, most=MOST_RENDERED)
    view = choose_view(scene)
    longest = _list_entries(scene, drawing, dict.fromkeys(("suspect", "next"), _MANY))
    (scale_wide, scale_high), (wide, high) = (
        key.scale_size(drawing),
        key.entries_size(Sheet.blank(1, 1), longest),
    )
    page = lay_out_view(scene, view, (max(scale_wide, wide), scale_high + _APART + high))
    packed = pack_scene(scene, view, drawing.bands, page)
    picture, sentence = _render(packed, run)
    sheet = Sheet.blank(page.width, page.height)
    if picture is not None:
        sheet.image(picture[::-1], (page.left, page.right, page.bottom, page.top), smooth=True)
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


def _list_entries(scene: Scene, drawing: Drawing, unnamed: Mapping[str, int]) -> list[key.Entry]:
    """List the marks of the view, and how many of them have no name beside them."""
    shown = {"thin", "suspect", "next", *(("shot",) if len(scene.shots) else ())}
    hidden = {entry.mark for entry in drawing.captions.key} - shown
    return key.list_entries(drawing, tick=None, unnamed=unnamed, hidden=hidden)


def _render(packed: dict[str, Any], run: Run) -> tuple[AnyArray | None, str | None]:
    """Picture (rows, columns, 3) of the renderer, or why there is none."""
    if importlib.util.find_spec("pyvista") is None:
        return None, NOT_INSTALLED
    from matplotlib.image import imread  # noqa: PLC0415

    script = Path(__file__).with_name("base3d_scene.py")
    with tempfile.TemporaryDirectory(prefix="gradevol-") as folder:
        arrays, picture = Path(folder) / "scene.npz", Path(folder) / "picture.png"
        np.savez(arrays, **packed)
        sentence = _start(run, [str(script), str(arrays), str(picture)])
        if sentence is not None:
            return None, sentence
        try:
            pixels = imread(picture)[..., :3]
        except (OSError, SyntaxError):  # none, or half of one: pillow raises either
            return None, NO_LIBRARIES
    if np.ptp(pixels) < 0.1:  # drew nothing and did not say so
        return None, NO_LIBRARIES
    return pixels, None


def _start(run: Run, words: list[str]) -> str | None:
    """Run a script to its end; a sentence where it did not come to it."""
    # no screen is wanted, so none is looked for
    screens = {"DISPLAY", "WAYLAND_DISPLAY"}
    try:
        done = run(
            [sys.executable, "-P", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=TIMEOUT,
            env={name: text for name, text in os.environ.items() if name not in screens},
            check=False,
        )
    except subprocess.TimeoutExpired:
        return TOO_SLOW
    except OSError:
        return NO_LIBRARIES
    if done.returncode == 1:  # an exception of Python's
        return FAILED
    return NO_LIBRARIES if done.returncode else None


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
