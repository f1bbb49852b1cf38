"""A process that renders a scene in space while another draws on."""

import importlib.util
import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from subprocess import DEVNULL, Popen, TimeoutExpired
from typing import Any, TypeAlias

import numpy as np

from gradevol.ground.arrays import AnyArray

#: Picture (rows, columns, 3), and a sentence for the user where there is none.
Rendered: TypeAlias = tuple[AnyArray | None, str | None]

#: It is stopped when it has been waited for so long, s.
TIMEOUT = 60.0

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


@contextmanager
def rendering(scene: Mapping[str, Any]) -> Iterator[Callable[[], Rendered]]:
    """
    Start to render a scene; the process ends with the context at the latest.

    Parameters
    ----------
    scene : mapping of str to ndarray
        Arrays of `base3d.pack_scene`.

    Yields
    ------
    callable
        Waits for the picture.
    """
    if importlib.util.find_spec("pyvista") is None:
        yield lambda: (None, NOT_INSTALLED)
        return
    script = Path(__file__).with_name("base3d_scene.py")
    # no screen is wanted, so none is looked for
    screens = {"DISPLAY", "WAYLAND_DISPLAY"}
    environment = {name: text for name, text in os.environ.items() if name not in screens}
    with tempfile.TemporaryDirectory(prefix="gradevol-") as folder:
        arrays, picture = Path(folder) / "scene.npz", Path(folder) / "picture.png"
        np.savez(arrays, **scene)
        words = [sys.executable, "-P", str(script), str(arrays), str(picture)]
        try:
            process = Popen(words, stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL, env=environment)
        except OSError:
            yield lambda: (None, NO_LIBRARIES)
            return
        try:
            yield lambda: _wait(process, picture)
        finally:
            process.kill()
            process.wait()


def _wait(process: "Popen[bytes]", picture: Path) -> Rendered:
    """Let a renderer come to its end, and take what it drew."""
    from matplotlib.image import imread  # noqa: PLC0415

    try:
        code = process.wait(TIMEOUT)
    except TimeoutExpired:
        return None, TOO_SLOW
    if code:
        return None, FAILED if code == 1 else NO_LIBRARIES  # 1: an exception of Python's
    try:
        pixels = imread(picture)[..., :3]
    except (OSError, SyntaxError):  # none, or half of one: pillow raises either
        return None, NO_LIBRARIES
    if np.ptp(pixels) < 0.1:  # drew nothing and did not say so
        return None, NO_LIBRARIES
    return pixels, None
