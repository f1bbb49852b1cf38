"""Surfaces with faces of their own: PLY and OBJ.

Read by hand, not by trimesh: of a file that was cut short trimesh takes what is there, and it
moves faces of OBJ whose corners are counted backwards. In a picture that is a blemish, in a
volume it is yards. The tests hold the readers against it on whole files.
"""

from gradevol.files.obj import read_obj
from gradevol.files.ply import read_ply
from gradevol.files.polygons import check_polygons, fan_polygons
from gradevol.files.sources import SurfaceFile
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES


def read_mesh(source: SurfaceFile) -> tuple[FloatArray, IntArray]:
    """
    Read the faces of a PLY or OBJ file.

    Parameters
    ----------
    source : SurfaceFile
        The file and its unit.

    Returns
    -------
    points : (p, 3) array of float
        Easting, northing, elevation, m; as the file has them, also those of no face.
    triangles : (t, 3) array of int
        Rows of `points`, turned as the file has them; polygons are fanned from their first corner.

    Raises
    ------
    InputError
        If the file is damaged, has no faces, cannot hold a millimetre, or has a polygon with a
        hollow, which can't be fanned. OBJ declares no counts: one that was cut short between two
        lines can't be told from a whole one.
    """
    path = source.path
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"the file cannot be read ({error.strerror})",
            remedy="Check its name and that you may read it",
            path=path,
        ) from error
    if content[:3] == b"ply" and content[3:4].isspace():
        mesh = read_ply(path, content)
    elif path.suffix.lower() == ".obj":
        mesh = read_obj(path, content)
    else:
        raise InputError(
            f"neither PLY nor OBJ: it begins with {content[:8]!r}",
            remedy="Export the surface as PLY or OBJ",
            path=path,
        )
    check_polygons(mesh, path, METRES[source.unit])
    return mesh.points * METRES[source.unit], fan_polygons(mesh, path)
