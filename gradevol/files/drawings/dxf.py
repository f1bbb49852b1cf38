"""DXF: points and faces.

References
----------
DXF reference, ENTITIES section: POINT, 3DFACE (a triangle repeats its third corner), polyface and
polygon meshes are in world coordinates.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.drawings.dxf_blocks import name_point
from gradevol.files.drawings.dxf_file import (
    choose_entities,
    find_blocks,
    read_unit,
    refuse_blocks,
    refuse_damage,
    say_layers,
)
from gradevol.files.drawings.points import DrawnPoints
from gradevol.files.drawings.polygons import SEVERAL, Polygons, join_corners
from gradevol.files.sniff import say_damaged
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, verb_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

_FACES = ("3DFACE", "POLYLINE", "MESH")


def find_points(drawing: "Drawing", path: Path, *, layer: str | None = None) -> DrawnPoints:
    """
    Find the POINT entities of a drawing.

    Parameters
    ----------
    drawing : ezdxf Drawing
    path : Path
        Its file.
    layer : str, optional
        Which layer, capitals do not matter; all, if left out.

    Returns
    -------
    DrawnPoints
        A point's code is its layer, its id its handle, or the number in its block.

    Raises
    ------
    InputError
        If there are no such points.
    """
    found = choose_entities(drawing, ("POINT",), layer=layer, path=path)
    notes = []
    blocks = find_blocks(drawing, ("POINT",), layer=layer)
    if found[0].is_virtual:
        text = (
            f"{count_of(len(found), 'point')} of {escape(path.name)} {verb_of(len(found), 'were')} "
            f"read out of its blocks, where they are placed: {escape(', '.join(blocks[:12]))}."
        )
        notes.append(Note("points-of-blocks", text))
    elif blocks:
        text = (
            f"Points within blocks of {escape(path.name)} were not read, only those outside: "
            f"{escape(', '.join(blocks[:12]))}. Explode the blocks if they are shots."
        )
        notes.append(Note("blocks-left-out", text))
    unseen = {str(point.dxf.layer) for point in found if _is_off(drawing, point)}
    if off := sorted(unseen) if layer is None else []:
        text = (
            f"Points on layers that are off or frozen in {escape(path.name)} were read too: "
            f"{escape(', '.join(off[:12]))}. If that is not meant, name the layer (layer)."
        )
        notes.append(Note("layers-off", text))
    places = [tuple(point.dxf.location) for point in found]
    return DrawnPoints(
        path,
        np.array(places, dtype=np.float64).reshape(-1, 3),
        tuple([name_point(point, path) for point in found]),
        tuple([str(point.dxf.layer) for point in found]),
        notes=tuple(notes),
        declared=read_unit(drawing),
    )


def _is_off(drawing: "Drawing", entity: "DXFEntity") -> bool:
    """Whether an entity is on a layer that is not seen in the drawing."""
    name = str(entity.dxf.layer)
    if not drawing.layers.has_entry(name):
        return False
    layer = drawing.layers.get(name)
    return layer.is_off() or layer.is_frozen()


def find_surface(drawing: "Drawing", path: Path, *, layer: str | None = None) -> Polygons:
    """
    Find the faces of a drawing: 3DFACE, polyface and polygon meshes (POLYLINE), and MESH.

    Parameters
    ----------
    drawing : ezdxf Drawing
    path : Path
        Its file.
    layer : str, optional
        Which layer, capitals do not matter; it may be left out where one layer has faces.

    Raises
    ------
    InputError
        If it is damaged, or has no faces on one layer.
    """
    found = [
        entity
        for entity in choose_entities(drawing, _FACES, layer=layer, path=path)
        if entity.dxftype() != "POLYLINE" or _is_mesh(entity)
    ]
    if not found:
        raise InputError(
            "it holds lines (POLYLINE), but no faces",
            remedy="Export the surface as 3DFACE, or its points as POINT",
            path=path,
        )
    if len({str(entity.dxf.layer).lower() for entity in found}) > 1:
        raise InputError(
            f"faces lie on several layers, which may be several surfaces: {say_layers(found)}",
            remedy="Name one of them (layer)",
            path=path,
            code=SEVERAL,
        )
    if not found[0].is_virtual:
        refuse_blocks(drawing, ("3DFACE", "MESH"), layer=layer, path=path)
    with refuse_damage(path):
        faces = [face for entity in found for face in _faces(entity, path)]
    return join_corners(
        np.array([corner for face in faces for corner in face], dtype=np.float64).reshape(-1, 3),
        np.array([len(face) for face in faces], dtype=np.intp),
        declared=read_unit(drawing),
    )


def _is_mesh(entity: "DXFEntity") -> bool:
    """Whether a POLYLINE is a polyface or polygon mesh (group 70: 64, 16), not a line."""
    return bool(entity.dxf.flags & (16 | 64))


def _faces(entity: Any, path: Path) -> Iterator[list[tuple[float, float, float]]]:
    """Corners of the faces of one entity, none repeated next to itself."""
    smoothing = {"POLYLINE": "smooth_type", "MESH": "subdivision_levels"}.get(entity.dxftype())
    if smoothing and entity.dxf.get(smoothing, 0):
        raise InputError(
            f"a mesh on layer {str(entity.dxf.layer)!r} is smoothed, so that its faces are not "
            "its surface",
            remedy="Turn it into 3DFACE in the drawing program",
            path=path,
        )
    if entity.dxftype() == "MESH":
        corners = [tuple(vertex) for vertex in entity.vertices]
        for face in entity.faces:
            if not all(0 <= at < len(corners) for at in face):
                raise say_damaged(
                    f"a face of a MESH has a corner that is none of its {len(corners):,} points",
                    path,
                )
            yield [corners[at] for at in face]
        return
    is_mesh = entity.dxftype() == "POLYLINE"
    parts = entity.virtual_entities() if is_mesh else [entity]
    for part in parts:
        yield [tuple(corner) for corner in part.wcs_vertices()]
