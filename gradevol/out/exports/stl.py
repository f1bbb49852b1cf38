"""STL, binary: triangles in single precision, for modelling and printing."""

import struct
from pathlib import Path

import numpy as np

from gradevol.answer.surfaces.meshes import Mesh, find_origin

_HEADER = 80
_FACE = np.dtype([("way", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def write_stl(path: Path, mesh: Mesh, *, unit: str, name: str) -> None:
    """
    Write a mesh about an origin of its own.

    Parameters
    ----------
    path : Path
    mesh : Mesh
    unit : str
        What the mesh is in; STL has no place to say it but the free text at its head.
    name : str
        ASCII.

    Notes
    -----
    Single precision can't hold coordinates of millions, so whole units near the mesh's middle are
    taken off. They stand in the first 80 bytes, which readers skip.
    """
    origin = find_origin(mesh)
    east, north, level = (f"{whole:.0f}" for whole in origin)
    words = f"gradevol {name} in {unit}, taken off: E {east} N {north} Z {level}".encode("ascii")
    corners = (mesh.points - origin)[mesh.triangles]
    way = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 1])
    length = np.linalg.norm(way, axis=1, keepdims=True)
    face = np.zeros(len(corners), _FACE)
    face["way"] = np.divide(way, length, out=np.zeros_like(way), where=length > 0)
    face["corners"] = corners
    with path.open("wb") as file:
        file.write(words[:_HEADER].ljust(_HEADER) + struct.pack("<I", len(face)))
        file.write(face.tobytes())
