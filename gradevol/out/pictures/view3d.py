"""How a slab is looked at in space: from above and aside, heights exaggerated by a round number."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.field import DrawnField
from gradevol.answer.drawing.sampling import Image, carry_on, faces_between, sample_nodes
from gradevol.answer.drawing.shots import Shots
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.hatching import holds

#: Heights are drawn this many times too large.
_ROUND = (1, 2, 5, 10, 20, 50, 100, 200)
#: Share of the plan's diagonal that the heights may reach.
_REACH = 0.22
_ELEVATION = 33.0
#: An edge with more corners than this has arcs, and no posts.
_MOST_POSTS = 24
#: More shots than this would hide the base.
_MOST_SHOTS = 2000
#: Headings to look along, degrees clockwise from north; the first that suits the sheet is taken.
_HEADINGS = (25.0, -25.0, 65.0, -65.0)


@dataclass(frozen=True, slots=True)
class View:
    """
    A view without perspective.

    Attributes
    ----------
    right, up, forward : (3,) array of float
        Directions of the sheet in space, heights already exaggerated.
    """

    right: FloatArray
    up: FloatArray
    forward: FloatArray
    exaggeration: int

    def stretch(self, points: FloatArray) -> FloatArray:
        """Points (..., 3) with their heights exaggerated."""
        return np.asarray(points * [1.0, 1.0, self.exaggeration])

    def project(self, points: FloatArray) -> FloatArray:
        """Points (..., 3), m, as seen: right and up, (..., 2), m."""
        stretched = self.stretch(points)
        return np.stack([stretched @ self.right, stretched @ self.up], axis=-1)


@dataclass(frozen=True, slots=True)
class Scene:
    """
    What is seen; about the job's origin, heights as they are, m.

    Attributes
    ----------
    faces : (k, 3, 3) array of float
        The base.
    thickness : (k, 3) array of float
        At the corners of `faces`.
    top : (t, 3, 3) array of float
        The design top.
    top_rings, base_rings : tuple of (n, 3) arrays of float
        The slab's edge and its openings, closed, on the top and on the base.
    posts : (p, 2, 3) array of float
        From base to top at the corners of the slab.
    shots : (s, 3) array of float
        On the base; none of a cloud.
    levels : tuple of (n, 3) arrays of float
        Lines between the bands of thickness, on the base.
    thin : tuple of tuple of (n, 3) arrays of float
        Rings of the places that are too thin, none closed, on the base.
    suspects, next : (s, 3) array of float
        Suspect shots and the next ones, on the base.
    least : (3,) array of float
        Where the concrete is thinnest, on the base.
    """

    faces: FloatArray
    thickness: FloatArray
    top: FloatArray
    top_rings: tuple[FloatArray, ...]
    base_rings: tuple[FloatArray, ...]
    posts: FloatArray
    shots: FloatArray
    levels: tuple[FloatArray, ...]
    thin: tuple[tuple[FloatArray, ...], ...]
    suspects: FloatArray
    next: FloatArray
    least: FloatArray


def choose_view(scene: Scene) -> View:
    """Choose a heading that lays the slab across the sheet, and a round exaggeration."""
    places = np.vstack(scene.top_rings + scene.base_rings)
    relief = max(
        float(np.ptp(np.concatenate([scene.top[..., 2].ravel(), scene.faces[..., 2].ravel()]))),
        1e-6,
    )
    diagonal = float(np.hypot(*np.ptp(places[:, :2], axis=0)))
    fitting = [times for times in _ROUND if times * relief <= _REACH * diagonal]
    views = [_view(heading, max(fitting, default=1)) for heading in _HEADINGS]
    shapes = [np.ptp(view.project(places), axis=0) for view in views]
    off = [abs(np.log(shape[0] / shape[1] / 1.8)) for shape in shapes]
    return views[int(np.argmin(np.round(off, 2)))]


def _view(heading: float, exaggeration: int) -> View:
    turn, tilt = np.radians(heading), np.radians(_ELEVATION)
    ahead = np.array([np.sin(turn), np.cos(turn), 0.0])
    upright = np.array([0.0, 0.0, 1.0])
    return View(
        right=np.array([np.cos(turn), -np.sin(turn), 0.0]),
        up=np.sin(tilt) * ahead + np.cos(tilt) * upright,
        forward=np.cos(tilt) * ahead - np.sin(tilt) * upright,
        exaggeration=exaggeration,
    )


def build_scene(drawing: Drawing, *, most: int, is_even: bool = False) -> Scene:
    """
    Gather what is seen.

    Parameters
    ----------
    drawing : Drawing
    most : int
        Triangles of the base; a larger surface is thinned, for the drawing only.
    is_even : bool
        Whether the base is cut into small triangles of one size, a little beyond the slab too.
    """
    field, slab = drawing.field, drawing.slab
    fine = float(slab.size.max()) / 500
    base = carry_on(sample_nodes(field.places, field.base_at, field.rows, cell=fine), 3)
    room = carry_on(sample_nodes(field.places, field.thickness_at, field.rows, cell=fine), 3)
    paths = [_densify(ring, 10 * fine) for ring in slab.rings]
    base_rings = tuple(np.column_stack([path, _at(base, path)]) for path in paths)
    top_rings = tuple(ring + _at(room, ring)[:, None] * [0, 0, 1] for ring in base_rings)
    foot = np.column_stack([slab.edge, _at(base, slab.edge)])
    foot = foot[np.isfinite(foot[:, 2])]  # an opening may hold a corner
    posts = np.stack([foot, foot + _at(room, foot)[:, None] * [0, 0, 1]], axis=1)
    if is_even or len(field.rows) > most:
        cell = float(np.sqrt(4.4 * slab.area / most))
        faces, thickness = _thin(field, cell=cell, is_carried_on=is_even)
    else:
        faces = np.dstack([field.corners, field.base])
        thickness = field.thickness
    least = np.argmin(((field.places - field.least_at) ** 2).sum(axis=1))
    return Scene(
        faces=faces,
        thickness=thickness,
        top=field.top,
        top_rings=top_rings,
        base_rings=base_rings,
        posts=posts if len(posts) <= _MOST_POSTS else posts[:0],
        shots=_shots(drawing.shots, base),
        levels=tuple(
            _lay(part, base)
            for lines in drawing.relief.levels
            for line in lines
            for part in _cut(line, slab.rings)
        ),
        thin=tuple(
            tuple(_lay(_densify(ring, 10 * fine)[:-1], base) for ring in rings)
            for rings in drawing.relief.thin
        ),
        suspects=_lay(drawing.shots.places[drawing.shots.suspects], base),
        next=_lay(drawing.shots.next_places, base),
        least=np.array([*field.places[least], field.base_at[least]]),
    )


def _at(image: Image, places: FloatArray) -> FloatArray:
    """Value of the cell that holds a place, or the nearest of the image."""
    rows, columns = image.thickness.shape
    column = ((places[:, 0] - image.west) / image.cell).astype(int).clip(0, columns - 1)
    row = ((places[:, 1] - image.south) / image.cell).astype(int).clip(0, rows - 1)
    return image.thickness[row, column]


def _densify(ring: FloatArray, step: float) -> FloatArray:
    """Closed ring with a place at every step, m."""
    parts = []
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        count = max(1, int(np.ceil(np.hypot(*(end - start)) / step)))
        parts.append(start + np.arange(count)[:, None] / count * (end - start))
    return np.vstack([*parts, ring[:1]])


def _thin(field: DrawnField, *, cell: float, is_carried_on: bool) -> tuple[FloatArray, FloatArray]:
    """Faces between the middles of cells, or a little beyond the slab, and their thickness."""
    values = (field.base_at, field.thickness_at)
    images = [sample_nodes(field.places, value, field.rows, cell=cell) for value in values]
    if is_carried_on:
        images = [carry_on(image, 2) for image in images]
    (plan, level), (_, thickness) = (faces_between(image) for image in images)
    return np.dstack([plan, level]), thickness


def _shots(shots: Shots, base: Image) -> FloatArray:
    """Shots within the slab, laid on the base as it is drawn."""
    if not shots.names or len(shots.names) > _MOST_SHOTS:
        return np.empty((0, 3))
    return _lay(shots.places[shots.is_on_slab], base)


def _cut(line: FloatArray, rings: Sequence[FloatArray]) -> list[FloatArray]:
    """Parts of a line on the slab: one through means runs on beyond it."""
    is_on = holds(rings, line)
    ends = np.flatnonzero(np.diff(is_on.astype(int))) + 1
    parts = zip(np.split(line, ends), np.split(is_on, ends), strict=True)
    return [part for part, is_held in parts if is_held[0] and len(part) > 1]


def _lay(places: FloatArray, base: Image) -> FloatArray:
    """Places (n, 2) laid on the base as it is drawn, (n, 3)."""
    return np.column_stack([places, _at(base, places)])
