"""glTF 2.0, binary: a mesh to look at in any viewer.

References
----------
Khronos, "glTF 2.0 Specification": lengths are metres, y is up, numbers are single precision;
colours of vertices are linear, not sRGB (3.7.2.1); the container is in 4.4.
Its extension KHR_materials_unlit.
"""

import json
import struct
from pathlib import Path
from typing import Any

import numpy as np

from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.ground.units import METRES
from gradevol.out.exports.meshes import Mesh
from gradevol.version import __version__

_UNLIT = "KHR_materials_unlit"
_FLOAT, _UNSIGNED, _BYTE = 5126, 5125, 5121
_ARRAY, _ELEMENTS = 34962, 34963


def write_glb(
    path: Path,
    mesh: Mesh,
    *,
    colours: FloatArray,
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
    colours : (p, 3) array of float
        Red, green, blue of each point, sRGB, 0 to 1.
    unit : str
        What the mesh is in, a key of `units.METRES`.
    name : str
        Of the node.
    title : str
    words : str
        What the colours mean.

    Notes
    -----
    Single precision can't hold coordinates of millions, so whole units near the mesh's middle are
    taken off; they stand in the node's ``extras``, with how to get back: easting = x / metres +
    origin[0], northing = -z / metres + origin[1], elevation = y / metres + origin[2].
    """
    low, high = mesh.points.min(axis=0), mesh.points.max(axis=0)
    origin = np.round((low + high) / 2)
    east, north, level = ((mesh.points - origin) * METRES[unit]).T
    places = np.column_stack([east, level, -north]).astype("<f4")
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    paint = np.ones((len(places), 4))
    paint[:, :3] = linear
    parts: list[AnyArray] = [
        places,
        np.round(paint * 255).astype("u1"),
        mesh.triangles.astype("<u4"),
    ]
    extras = {
        "title": title,
        "colours": words,
        "unit": unit,
        "metres": METRES[unit],
        "origin": origin.tolist(),
        "axes": "x = east, y = up, z = south, in metres about the origin, which is in the unit",
    }
    _write_container(path, _describe(parts, name=name, extras=extras), parts)


def _describe(parts: list[AnyArray], *, name: str, extras: dict[str, Any]) -> dict[str, Any]:
    """The JSON of one mesh: places, colours, corners."""
    places, paint, corners = parts
    starts = np.cumsum([0, places.nbytes, paint.nbytes]).tolist()
    targets = (_ARRAY, _ARRAY, _ELEMENTS)
    views = [
        {"buffer": 0, "byteOffset": start, "byteLength": part.nbytes, "target": target}
        for part, start, target in zip(parts, starts, targets, strict=True)
    ]
    accessors: list[dict[str, Any]] = [
        {
            "bufferView": 0,
            "componentType": _FLOAT,
            "count": len(places),
            "type": "VEC3",
            "min": places.min(axis=0).tolist(),
            "max": places.max(axis=0).tolist(),
        },
        {
            "bufferView": 1,
            "componentType": _BYTE,
            "normalized": True,
            "count": len(paint),
            "type": "VEC4",
        },
        {
            "bufferView": 2,
            "componentType": _UNSIGNED,
            "count": corners.size,
            "type": "SCALAR",
        },
    ]
    surface = {"attributes": {"POSITION": 0, "COLOR_0": 1}, "indices": 2, "material": 0}
    rough = {"metallicFactor": 0.0, "roughnessFactor": 1.0}
    return {
        "asset": {"version": "2.0", "generator": f"gradevol {__version__}"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"name": name, "mesh": 0, "extras": extras}],
        "meshes": [{"name": name, "primitives": [surface]}],
        "extensionsUsed": [_UNLIT],
        # without light where the viewer can: a colour then says the same thickness everywhere
        "materials": [
            {
                "name": name,
                "doubleSided": True,
                "pbrMetallicRoughness": rough,
                "extensions": {_UNLIT: {}},
            }
        ],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": sum(part.nbytes for part in parts)}],
    }


def _write_container(path: Path, scene: dict[str, Any], parts: list[AnyArray]) -> None:
    text = json.dumps(scene, allow_nan=False).encode("ascii")
    text += b" " * (-len(text) % 4)
    size = sum(part.nbytes for part in parts)  # of floats, quadruples and integers: no padding
    with path.open("wb") as file:
        file.write(struct.pack("<4sII", b"glTF", 2, 12 + 8 + len(text) + 8 + size))
        file.write(struct.pack("<I4s", len(text), b"JSON") + text)
        file.write(struct.pack("<I4s", size, b"BIN\0"))
        for part in parts:
            file.write(part.tobytes())
