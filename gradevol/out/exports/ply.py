"""PLY: a mesh, and its thickness in colours, binary, in double precision.

trimesh writes single precision only.

References
----------
Greg Turk, "The PLY Polygon File Format" (Stanford, 1994).
"""

from pathlib import Path

import numpy as np

from gradevol.answer.surfaces.meshes import Mesh
from gradevol.ground.arrays import AnyArray

_TYPES = {"double": "<f8", "uchar": "u1"}


def write_ply(
    path: Path,
    mesh: Mesh,
    *,
    unit: str,
    colours: AnyArray | None = None,
    comments: tuple[str, ...] = (),
) -> None:
    """
    Write a mesh; its points carry their thickness where it is known.

    Parameters
    ----------
    path : Path
    mesh : Mesh
    unit : str
        What coordinates and thickness are in; said in a comment, for the format has no word for it.
    colours : (p, 3) array of uint8, optional
        Red, green, blue of each point, sRGB.
    comments : tuple of str
        Further lines; ASCII.
    """
    columns: list[tuple[str, str, AnyArray]] = [
        ("double", axis, column) for axis, column in zip("xyz", mesh.points.T, strict=True)
    ]
    if colours is not None:
        names = ("red", "green", "blue")
        columns += [("uchar", name, of) for name, of in zip(names, colours.T, strict=True)]
    words = "easting, northing, elevation"
    if mesh.thickness is not None:
        columns.append(("double", "thickness", mesh.thickness))
        words += ", thickness"
    vertex = np.zeros(len(mesh.points), [(name, _TYPES[kind]) for kind, name, _ in columns])
    for _, name, column in columns:
        vertex[name] = column
    face = np.zeros(len(mesh.triangles), dtype=[("size", "u1"), ("corners", "<i4", 3)])
    face["size"], face["corners"] = 3, mesh.triangles
    header = [
        "ply",
        "format binary_little_endian 1.0",
        *(f"comment {said}" for said in (f"{words} in {unit}", *comments)),
        f"element vertex {len(vertex)}",
        *(f"property {kind} {name}" for kind, name, _ in columns),
        f"element face {len(face)}",
        "property list uchar int vertex_indices",
        "end_header",
    ]
    with path.open("wb") as file:
        file.write("".join(f"{line}\n" for line in header).encode("ascii", "replace"))
        file.write(vertex.tobytes())
        file.write(face.tobytes())
