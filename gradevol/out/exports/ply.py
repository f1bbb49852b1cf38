"""PLY: a mesh with its thickness and colours, binary, in double precision.

References
----------
Greg Turk, "The PLY Polygon File Format" (Stanford, 1994).
"""

from pathlib import Path

import numpy as np

from gradevol.ground.arrays import AnyArray
from gradevol.out.exports.meshes import Mesh


def write_ply(
    path: Path, mesh: Mesh, *, colours: AnyArray, unit: str, comments: tuple[str, ...] = ()
) -> None:
    """
    Write a mesh whose points carry their thickness.

    Parameters
    ----------
    path : Path
    mesh : Mesh
        With thickness.
    colours : (p, 3) array of uint8
        Red, green, blue of each point, sRGB.
    unit : str
        What coordinates and thickness are in; said in a comment, for the format has no word for it.
    comments : tuple of str
        Further lines; ASCII.
    """
    if mesh.thickness is None:
        raise ValueError("the mesh has no thickness")
    vertex = np.zeros(
        len(mesh.points),
        dtype=[("place", "<f8", 3), ("colour", "u1", 3), ("thickness", "<f8")],
    )
    vertex["place"], vertex["colour"] = mesh.points, colours
    vertex["thickness"] = mesh.thickness
    face = np.zeros(len(mesh.triangles), dtype=[("size", "u1"), ("corners", "<i4", 3)])
    face["size"], face["corners"] = 3, mesh.triangles
    words = (f"easting, northing, elevation, thickness in {unit}", *comments)
    header = [
        "ply",
        "format binary_little_endian 1.0",
        *(f"comment {word}" for word in words),
        f"element vertex {len(vertex)}",
        *(f"property double {axis}" for axis in "xyz"),
        *(f"property uchar {name}" for name in ("red", "green", "blue")),
        "property double thickness",
        f"element face {len(face)}",
        "property list uchar int vertex_indices",
        "end_header",
    ]
    with path.open("wb") as file:
        file.write("".join(f"{line}\n" for line in header).encode("ascii", "replace"))
        file.write(vertex.tobytes())
        file.write(face.tobytes())
