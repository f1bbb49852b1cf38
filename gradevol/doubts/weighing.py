"""The concrete weighed a second way: as one closed body, by its skin alone."""

from collections.abc import Callable, Iterator

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, at_a_time, order_by
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.measures.body import STEP, Body, build_body, close_plain
from gradevol.measures.concrete import Concrete
from gradevol.measures.field import ThicknessField

#: How far the body's skin may lie from the field's, in steps. Each of these takes one at most:
#: corners made one, corners put into a neighbour's side, pieces left out as lines, rounding to
#: whole steps, thickness of nought made a step less.
_SKIN = 5
#: And how much of the largest coordinate, in units of its last place, for reckoning with it.
_PLACES = 8
#: Pieces that make one body: their arrays stay near the processor.
_PIECES = 60_000
#: Places along a side that blocks are told apart by: as many as are counted at once.
_ALONG = 0xFFFF
#: Faces that are weighed at a time.
_AT_ONCE = 1 << 18
#: Sums of so many terms lose no more than this share.
_SUM = 1e-12


def refuse_unlike_weights(
    field: ThicknessField,
    concrete: Concrete,
    *,
    progress: Callable[[float], None] = lambda _: None,
) -> None:
    """
    Refuse a volume that the body of the slab, weighed on its own, does not have.

    Parameters
    ----------
    field : ThicknessField
    concrete : Concrete
        Measured on it.
    progress : callable, optional
        Told the share done.

    Raises
    ------
    GeometryError
        With both volumes.

    Notes
    -----
    `Concrete.slab` adds up prisms over the plan; the body's volume is an integral over its skin,
    which lives mostly by the walls around it. A skin that lies off by a distance changes the
    volume by that distance times the body's surface at most; what is thinner than that distance
    may be missing all over the slab. A field of many pieces is weighed in blocks, each a closed
    body: memory stays that of one.
    """
    progress(0.0)
    weights, done, is_plain = [], 0, _are_plain(field)
    for which, close in ((is_plain, close_plain), (~is_plain, build_body)):
        for part in _cut_blocks(field, np.flatnonzero(which)):
            progress(done / len(field.area))
            weights.append(weigh_body(close(part)))
            done += len(part.area)
    volume, surface = (sum(held) for held in zip(*weights, strict=True))
    off = _SKIN * STEP + _PLACES * float(np.spacing(np.abs(field.places).max()))
    allowed = off * (surface + float(field.area.sum())) + _SUM * concrete.slab
    if abs(volume - concrete.slab) <= allowed:
        return
    raise GeometryError(
        "The concrete between base and top comes to {} added up piece by piece, but to {} weighed "
        "as one closed body. Rounding explains {} between the two, so one of them is wrong: do not "
        "order by this job, and report it with its files."
    ).measuring(*(Measure(size, Kind.EXACT_VOLUME) for size in (concrete.slab, volume, allowed)))


def _are_plain(field: ThicknessField) -> BoolArray:
    """Whether pieces are thicker than nought all over, and share each of their corners."""
    users = np.bincount(field.rows.ravel(), minlength=len(field.places))
    is_plain = (users > 1) & (field.thickness_at > 0)
    one, other, third = (is_plain[node] for node in field.rows.T)
    return np.asarray(one & other & third)


def _cut_blocks(field: ThicknessField, which: IntArray) -> Iterator[ThicknessField]:
    """Some pieces of a field, those together that lie together, so many at a time."""
    count = -(-len(which) // _PIECES)
    if count > 1:
        corner = field.rows[which, 0]
        east, north = (_count_along(at.take(corner)) for at in field.places.T)
        strip = np.empty_like(east)
        for number, part in enumerate(np.array_split(order_by(east), round(count**0.5))):
            strip[part] = number
        which = which[order_by(strip, north)]
    yield from map(field.take, np.array_split(which, count or 1)[:count])


def _count_along(value: FloatArray) -> IntArray:
    """Say whereabouts values stand between the least and the greatest, in whole steps."""
    off = value - value.min()
    off *= _ALONG / max(float(off.max()), STEP)
    return off.astype(np.int32)


def weigh_body(body: Body) -> tuple[float, float]:
    """
    Volume, m³, and surface, m², of a body.

    By the divergence theorem: a closed skin holds a third of the sum of its faces, each times how
    far it lies from the origin.
    """
    if len(body.faces) == 0:
        return 0.0, 0.0
    about = body.vertices - body.vertices.mean(axis=0)  # far from the origin digits are lost
    volume = surface = 0.0
    for some in at_a_time(len(body.faces), _AT_ONCE):
        first, second, third = about.take(body.faces[some].T, axis=0)
        across = np.cross(second - first, third - first)  # out of the body, twice the face long
        volume += float(np.einsum("fk,fk->", first, across)) / 6
        surface += float(np.sqrt(np.einsum("fk,fk->f", across, across)).sum()) / 2
    return volume, surface
