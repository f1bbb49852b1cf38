"""glTF 2.0, binary: a mesh to look at in any viewer. The file is trimesh's.

References
----------
Khronos, "glTF 2.0 Specification": lengths are metres, y is up, numbers are single precision;
colours of vertices are linear, not sRGB (3.7.2.1). Its extension KHR_materials_unlit.
"""

from pathlib import Path
from typing import Any

import numpy as np

from gradevol.answer.surfaces.meshes import Mesh, find_origin
from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.ground.units import METRES
from gradevol.version import __version__

_UNLIT = "KHR_materials_unlit"
#: What is not coloured: concrete, linear.
_GREY = [0.5, 0.5, 0.48, 1.0]


def write_glb(
    path: Path,
    mesh: Mesh,
    *,
    colours: FloatArray | None = None,
    unit: str,
    name: str,
    title: str = "",
    words: str = "",
) -> None:
    """
    Write a mesh about an origin of its own, in metres, y up.

    Parameters
    ----------
    path : Path
    mesh : Mesh
    colours : (p, 3) array of float, optional
        Red, green, blue of each point, sRGB, 0 to 1; left out, all is grey and lit.
    unit : str
        What the mesh is in, a key of `units.METRES`.
    name : str
        Of the node.
    title : str
    words : str
        What the colours mean, or what the mesh is.

    Notes
    -----
    Single precision can't hold coordinates of millions, so whole units near the mesh's middle are
    taken off; they stand in the node's ``extras``, with how to get back: easting = x / metres +
    origin[0], northing = -z / metres + origin[1], elevation = y / metres + origin[2].
    """
    import trimesh  # noqa: PLC0415
    from trimesh.exchange.gltf import export_glb  # noqa: PLC0415

    origin = find_origin(mesh)
    east, north, level = ((mesh.points - origin) * METRES[unit]).T
    solid = trimesh.Trimesh(
        np.column_stack([east, level, -north]),
        mesh.triangles,
        vertex_colors=None if colours is None else _make_linear(colours),
        process=False,
    )
    extras = {
        "title": title,
        "colours" if colours is not None else "words": words,
        "unit": unit,
        "metres": METRES[unit],
        "origin": origin.tolist(),
        "axes": "x = east, y = up, z = south, in metres about the origin, which is in the unit",
    }

    def add(tree: dict[str, Any]) -> None:
        _complete(tree, extras, _describe_material(name, is_lit=colours is None))

    scene = trimesh.Scene()
    scene.add_geometry(solid, node_name=name, geom_name=name)
    path.write_bytes(export_glb(scene, tree_postprocessor=add))  # type: ignore[no-untyped-call]


def _complete(tree: dict[str, Any], extras: dict[str, Any], material: dict[str, Any]) -> None:
    """Add to trimesh's description of one mesh what it is, and what it is made of."""
    tree["asset"]["generator"] = f"gradevol {__version__}"
    (node,), (shape,) = tree["nodes"], tree["meshes"]
    node["extras"] = extras
    shape["primitives"][0]["material"] = 0
    tree["materials"] = [material]
    if "extensions" in material:
        tree["extensionsUsed"] = list(material["extensions"])


def _make_linear(colours: FloatArray) -> AnyArray:
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    paint = np.ones((len(colours), 4))
    paint[:, :3] = linear
    return np.round(paint * 255).astype(np.uint8)


def _describe_material(name: str, *, is_lit: bool) -> dict[str, Any]:
    rough: dict[str, Any] = {"metallicFactor": 0.0, "roughnessFactor": 1.0}
    if is_lit:
        return {"name": name, "pbrMetallicRoughness": {**rough, "baseColorFactor": _GREY}}
    # without light where the viewer can: a colour then says the same thickness everywhere
    return {
        "name": name,
        "doubleSided": True,
        "pbrMetallicRoughness": rough,
        "extensions": {_UNLIT: {}},
    }
