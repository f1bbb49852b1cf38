"""Readers: files to things, by one road.

A file is opened, its kind sniffed (`sniff`), and parsed once a run (`opened`) to what it holds in
its own words and numbers; that becomes a survey, faces or a ring, in metres, or is refused. What a
job may ask for is in `sources`.
"""

from dataclasses import replace

import numpy as np

from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, Rods, Sheets
from gradevol.files.sources import BaseSource, CodedOutline, OutlineFile, Shots, SurfaceFile
from gradevol.geometry.curves import Ring
from gradevol.geometry.rings import ring_area
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.cluster import Cluster
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.progress import Progress
from gradevol.ground.words import count_of
from gradevol.site.survey import Survey

__all__ = ["Files", "read_base", "read_edge", "read_faces", "read_ring", "read_shots"]


def read_base(
    source: BaseSource,
    files: Files | None = None,
    *,
    edge: FloatArray | None = None,
    marks: FloatArray | None = None,
    progress: Progress,
    cluster: Cluster | None = None,
) -> tuple[Survey, IntArray | None]:
    """
    Read the base as measured.

    Parameters
    ----------
    source : Shots, Rods, Depths, Sheets, Cloud or SurfaceFile
    files : Files, optional
        What the run has opened.
    edge : (m, 2) array of float, optional
        Corners of the slab, m: points of a cloud that lie farther off its extents than a margin are
        left out, and those on it are not averaged with those beside it.
    marks : (m, 2) array of float, optional
        Places about which a cloud's points are kept as they were read, m.
    progress : callable
        Told what is being done and the share that is done.
    cluster : Cluster, optional
        Whose workers read a cloud.

    Returns
    -------
    survey : Survey
        Its points.
    faces : (t, 3) array of int or None
        Rows of the survey's points, where the file has faces of its own.

    Raises
    ------
    InputError
        If the file can't be used.
    """
    files = files or Files()
    if isinstance(source, Shots):
        return read_shots(source, files), None
    if isinstance(source, SurfaceFile):
        points, faces = read_faces(source, files)
        return Survey.about_local_origin(points, method="surface file"), faces
    if isinstance(source, Rods | Depths | Sheets):
        from gradevol.files.sheets.survey import read_sheets  # noqa: PLC0415

        return read_sheets(source, files), None
    from gradevol.files.clouds.survey import read_cloud, read_near  # noqa: PLC0415

    if edge is None:
        return read_cloud(source, marks=marks, progress=progress, cluster=cluster), None
    return read_near(source, edge, marks=marks, progress=progress, cluster=cluster), None


def read_shots(source: Shots, files: Files | None = None) -> Survey:
    """
    Read points from text, LandXML, DXF or GeoJSON.

    Raises
    ------
    InputError
        If the file can't be used, or several are named of which one is no text.
    """
    from gradevol.files.shots.delimited import read_delimited  # noqa: PLC0415
    from gradevol.files.tables.table import refuse_sheet  # noqa: PLC0415

    files = files or Files()
    others = [
        file for file in map(files.open, source.paths) if file.kind not in {"text", "workbook"}
    ]
    if not others:
        return read_delimited(source, files)
    refuse_sheet(others[0], source.sheet)
    if len(source.paths) > 1:
        raise InputError(
            f"it is {others[0].words}, named beside other files of shots",
            remedy="Name one file of that format, or several of delimited text",
            path=others[0].path,
        )
    from gradevol.files.drawings.formats import find_points  # noqa: PLC0415  (a reader of each format)
    from gradevol.files.drawings.points import build_survey  # noqa: PLC0415

    drawn = find_points(source, files)
    drawn = replace(drawn, declared=()) if source.ignores_unit else drawn
    return build_survey(drawn, unit=source.unit, wanted=source.codes)


def read_faces(source: SurfaceFile, files: Files | None = None) -> tuple[FloatArray, IntArray]:
    """Read points (p, 3), m, and faces (t, 3) of a file; see `make_faces`."""
    from gradevol.files.drawings.formats import find_surface  # noqa: PLC0415
    from gradevol.files.drawings.polygons import make_faces  # noqa: PLC0415

    mesh = find_surface(source, files or Files())
    mesh = replace(mesh, declared=()) if source.ignores_unit else mesh
    return make_faces(mesh, unit=source.unit, path=source.path)


def read_ring(
    ring: FloatArray | OutlineFile | CodedOutline, files: Files | None = None
) -> FloatArray:
    """Corners (m, 2) of a ring, m, whether the job has them, a file, or coded shots draw it."""
    if isinstance(ring, CodedOutline):
        survey = read_shots(ring.shots, files)
        corners = survey.points[:, :2] + survey.origin[:2]
        is_closed = bool(np.hypot(*(corners[0] - corners[-1])) <= ONE_PLACE)
        return corners[:-1] if is_closed else corners
    if not isinstance(ring, OutlineFile):
        return np.asarray(ring)
    from gradevol.files.drawings.outline import read_outline  # noqa: PLC0415

    return read_outline(ring, files)


def read_edge(
    edge: FloatArray | OutlineFile | CodedOutline, files: Files | None = None
) -> tuple[Ring, tuple[FloatArray, ...], tuple[Note, ...]]:
    """
    Read the slab's edge.

    Returns
    -------
    ring : Ring
        m; of an edge that the job lists, all its places begin sides.
    holes : tuple of (k, 2) arrays of float
        Openings that the edge's file draws with it, m.
    notes : tuple of Note
        That it does.
    """
    if not isinstance(edge, OutlineFile):
        return Ring(read_ring(edge, files)), (), ()
    from gradevol.files.drawings.outline import read_sides  # noqa: PLC0415

    ring, holes = read_sides(edge, files)
    if not holes:
        return ring, (), ()
    note = Note(
        "openings-of-edge",
        f"The polygon of {escape(edge.path.name)} has {count_of(len(holes), 'hole')}, {{}}: no "
        "concrete is counted there, as in openings.",
        (Measure(sum(abs(ring_area(hole)) for hole in holes), Kind.AREA),),
    )
    return ring, holes, (note,)
