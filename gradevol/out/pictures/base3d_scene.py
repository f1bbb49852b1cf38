"""Render a scene with pyvista, off screen: run as a script of its own.

Where system libraries are missing the renderer ends the process that runs it, so it runs in one
that may end. The script knows nothing of the rest: arrays come in a file, a picture goes out.

    python base3d_scene.py SCENE.npz PICTURE.png
"""

import gc
import os
import sys
from typing import Any

import numpy as np

#: Exit code where pyvista can't be imported.
NO_LIBRARY = 3


def render(pyvista: Any, scene_path: str, picture_path: str) -> None:
    """Render the arrays of a file (see `base3d.pack_scene`) to a PNG."""
    scene = np.load(scene_path)
    plotter = pyvista.Plotter(
        off_screen=True, window_size=scene["window"].tolist(), lighting="none"
    )
    plotter.set_background("white")
    table = pyvista.LookupTable(
        values=scene["colours"], scalar_range=tuple(scene["limits"].tolist())
    )
    plotter.add_mesh(
        _mesh(pyvista, scene["faces"]),
        scalars=scene["thickness"].ravel(),
        cmap=table,
        interpolate_before_map=True,
        show_scalar_bar=False,
        lighting=False,  # light and shade would make other colours of those of the key
    )
    for number, width in enumerate(scene["line_widths"].tolist()):
        line = pyvista.lines_from_points(scene[f"line_{number}"])
        plotter.add_mesh(line, color="#1c1f24", line_width=width, lighting=False)
    if len(scene["shots"]):
        plotter.add_points(
            scene["shots"], color="#1c1f24", point_size=13, render_points_as_spheres=True
        )
    plotter.camera.focal_point = scene["focus"]
    plotter.camera.position = scene["eye"]
    plotter.camera.up = scene["up"]
    plotter.camera.parallel_projection = True
    plotter.camera.parallel_scale = float(scene["half_height"])
    plotter.renderer.ResetCameraClippingRange()
    plotter.enable_anti_aliasing("ssaa")
    plotter.screenshot(picture_path)
    plotter.close()


def _mesh(pyvista: Any, corners: np.ndarray[Any, Any]) -> Any:
    """Triangles (k, 3, 3) as a mesh, each with corners of its own."""
    triangles = np.arange(corners.shape[0] * 3).reshape(-1, 3)
    return pyvista.PolyData.from_regular_faces(corners.reshape(-1, 3), triangles)


if __name__ == "__main__":
    gc.disable()  # what it drops goes with the process, a second later
    try:
        import pyvista
    except ImportError:  # a shared library of the system is not there
        sys.exit(NO_LIBRARY)
    render(pyvista, *sys.argv[1:3])
    os._exit(0)  # to take the libraries down one by one would be a fifth of the work
