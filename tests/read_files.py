"""One file read as a job would have it read, and a job read up to its volume."""

from gradevol.files import Files, read_base, read_faces, read_ring, read_shots
from gradevol.files.sources import OutlineFile, Shots, SurfaceFile
from gradevol.job import read_job
from gradevol.job.placement import find_edge, place_slab, place_survey, place_top
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.depths import hang_depths
from gradevol.site.top import build_top


def read_points_of(path, *, unit, layer=None, codes=()):
    """Survey of the points in a file."""
    return read_shots(Shots((path,), unit, codes=tuple(codes), layer=layer))


def read_faces_of(path, *, unit, layer=None, name=None):
    """Points and triangles of the surface in a file."""
    return read_faces(SurfaceFile(path, unit, layer=layer, name=name))


def read_ring_of(path, *, unit, layer=None):
    """Corners of the ring in a file."""
    return read_ring(OutlineFile(path, unit, layer=layer))


def measure_job(path):
    """Concrete of a job and how many shots it read: the road of `check_job` up to the volume."""
    job = read_job(path)
    files = Files()
    edge = find_edge(job, files)
    survey, faces = read_base(job.base.source, files, edge=edge, progress=lambda *_: None)
    survey = place_survey(survey, job)
    slab = place_slab(job, files, survey.origin)
    top = build_top(place_top(job.top, files, survey.origin), slab)
    survey = hang_depths(survey, top.surface, slab)
    base = build_base(MeasuredBase(survey, faces), slab, top)
    volume = measure_concrete(build_field(base.surface, top.surface, slab), slab).volume
    return volume, len(survey.points)
