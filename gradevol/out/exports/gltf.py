"""glTF 2.0, binary: a mesh to look at in any viewer.

References
----------
Khronos, "glTF 2.0 Specification": lengths are metres, y is up, numbers are single precision;
colours of vertices are linear, not sRGB (3.7.2.1); of accessors only places must tell their bounds
(3.6.2.5). Its extension KHR_materials_unlit.
"""

import json
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from gradevol.answer.surfaces.meshes import Mesh, find_origin
from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.ground.units import METRES
from gradevol.version import __version__

_UNLIT = "KHR_materials_unlit"
#: Numbers of the types of components (3.6.2.2).
_TYPES = {"<u4": 5125, "<f4": 5126, "|u1": 5121}
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
    origin = find_origin(mesh)
    east, north, level = ((mesh.points - origin) * METRES[unit]).T
    arrays = {
        "indices": mesh.triangles.astype("<u4").ravel(),
        "POSITION": np.column_stack([east, level, -north]).astype("<f4"),
    }
    if colours is not None:
        arrays["COLOR_0"] = _make_linear(colours)
    extras = {
        "title": title,
        "colours" if colours is not None else "words": words,
        "unit": unit,
        "metres": METRES[unit],
        "origin": origin.tolist(),
        "axes": "x = east, y = up, z = south, in metres about the origin, which is in the unit",
    }
    numbers = {kind: number for number, kind in enumerate(arrays) if kind != "indices"}
    shape = {"attributes": numbers, "indices": 0, "material": 0}
    material = _describe_material(name, is_lit=colours is None)
    tree = {
        "asset": {"version": "2.0", "generator": f"gradevol {__version__}"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"name": name, "mesh": 0, "extras": extras}],
        "meshes": [{"name": name, "primitives": [shape]}],
        "materials": [material],
        **_describe_arrays(list(arrays.values())),
    }
    if "extensions" in material:
        tree["extensionsUsed"] = list(material["extensions"])
    said = json.dumps(tree, separators=(",", ":")).encode()
    said = said.ljust(-(-len(said) // 4) * 4)
    held = sum(array.nbytes for array in arrays.values())
    size = 12 + 8 + len(said) + 8 + held
    with path.open("wb") as file:
        file.write(struct.pack("<4sIII4s", b"glTF", 2, size, len(said), b"JSON") + said)
        file.write(struct.pack("<I4s", held, b"BIN\0"))
        for array in arrays.values():
            file.write(array.tobytes())


def _describe_arrays(arrays: Sequence[AnyArray]) -> dict[str, Any]:
    """What stands in the one buffer, an array after the other; each fills whole words of it."""
    accessors, views, start = [], [], 0
    for number, array in enumerate(arrays):
        kind = "SCALAR" if array.ndim == 1 else f"VEC{array.shape[1]}"
        accessor = {"bufferView": number, "componentType": _TYPES[array.dtype.str], "type": kind}
        accessor |= {"count": len(array)}
        if kind == "VEC3":
            accessor |= {"min": array.min(axis=0).tolist(), "max": array.max(axis=0).tolist()}
        if kind == "VEC4":
            accessor |= {"normalized": True}
        accessors.append(accessor)
        views.append({"buffer": 0, "byteOffset": start, "byteLength": array.nbytes})
        start += array.nbytes
    return {"accessors": accessors, "bufferViews": views, "buffers": [{"byteLength": start}]}


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
