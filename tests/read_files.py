"""One file read as a job would have it read, by its path and what is said of it."""

from gradevol.files import read_faces, read_ring, read_shots
from gradevol.files.sources import OutlineFile, Shots, SurfaceFile


def read_points_of(path, *, unit, layer=None, codes=()):
    """Survey of the points in a file."""
    return read_shots(Shots((path,), unit, codes=tuple(codes), layer=layer))


def read_faces_of(path, *, unit, layer=None, name=None):
    """Points and triangles of the surface in a file."""
    return read_faces(SurfaceFile(path, unit, layer=layer, name=name))


def read_ring_of(path, *, unit, layer=None):
    """Corners of the ring in a file."""
    return read_ring(OutlineFile(path, unit, layer=layer))
