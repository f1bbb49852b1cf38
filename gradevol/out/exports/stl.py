"""STL, binary: triangles in single precision, for modelling and printing. The file is trimesh's."""

from pathlib import Path

from gradevol.answer.surfaces.meshes import Mesh, find_origin

_HEADER = 80


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
    from trimesh import Trimesh  # noqa: PLC0415
    from trimesh.exchange.stl import export_stl  # noqa: PLC0415

    origin = find_origin(mesh)
    east, north, level = (f"{whole:.0f}" for whole in origin)
    words = f"gradevol {name} in {unit}, taken off: E {east} N {north} Z {level}".encode("ascii")
    content = export_stl(Trimesh(mesh.points - origin, mesh.triangles, process=False))
    path.write_bytes(words[:_HEADER].ljust(_HEADER) + content[_HEADER:])
