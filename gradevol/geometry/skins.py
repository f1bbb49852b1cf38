"""
The skin of a solid that stands on pieces of a plan, from a base up to a top.

Over each piece stands a prism, and the skin is what is left of the prisms' skins where those that
lie against one another are taken away. So it is closed whatever the pieces are like: between
neighbours whose levels differ a wall stands as high as the step, along all other sides one from
base to top.
"""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.groups import label_groups
from gradevol.geometry.loops import Loops
from gradevol.geometry.nodes import number_used
from gradevol.ground.arrays import FloatArray, IntArray, count_up, order_by


@dataclass(frozen=True, slots=True)
class _Columns:
    """
    What stands over each corner of the pieces: a column of nodes, upwards, one a rung.

    Rungs are the levels that any piece has at the place, numbered upwards, place after place.

    Attributes
    ----------
    top, base : (m,) array of int
        The rungs between which the column stands.
    foot : (m,) array of int
        Its lowest node; the others follow.
    """

    top: IntArray
    base: IntArray
    foot: IntArray

    @property
    def height(self) -> IntArray:
        """Nodes of each column but one."""
        return self.top - self.base

    @property
    def head(self) -> IntArray:
        """The highest node of each column."""
        return self.foot + self.height

    def node(self, corner: IntArray, rung: IntArray) -> IntArray:
        """Nodes of some columns on some rungs."""
        return self.foot[corner] + rung - self.base[corner]


def close_skin(loops: Loops, grid: FloatArray) -> tuple[FloatArray, IntArray]:
    """
    Close the skin of what stands over pieces.

    Parameters
    ----------
    loops : Loops
        Convex pieces; their values are top and base, whole numbers, the top nowhere lower.
    grid : (p, 2) array of float
        Easting, northing of each place, whole numbers.

    Returns
    -------
    vertices : (v, 3) array of float
        Whole numbers.
    faces : (f, 3) array of int
        Rows of `vertices`, counter-clockwise seen from without. An edge belongs to two of them:
        parts that touch along a line or at a place alone have vertices of their own there. Only
        where such parts hang together at both ends of the line does it belong to four.
    """
    spot, level = np.repeat(loops.place, 2), loops.value.ravel()
    order = order_by(spot, (level - level.min(initial=0)).astype(np.intp))
    is_new = (np.diff(spot[order], prepend=-1) > 0) | (np.diff(level[order], prepend=0) > 0)
    rung = np.empty(len(order), np.intp)
    rung[order] = np.cumsum(is_new) - 1
    first = order[is_new]
    top, base = rung.reshape(-1, 2).T
    columns = _Columns(top, base, np.cumsum(top - base + 1) - (top - base + 1))
    after = loops.after
    twins = _find_neighbours(loops, columns, after)

    vertex, at = _name_nodes(loops, columns, after, twins, spot[first])
    middles, caps = _cap(loops, grid, columns, len(vertex))
    vertex = np.concatenate([vertex, len(at) + np.arange(len(middles))])
    places = np.column_stack([grid.take(spot[first], axis=0), level[first]])
    faces = np.concatenate([caps, _wall(columns, after, twins)])
    return np.concatenate([places.take(at, axis=0), middles]), vertex[faces]


def _find_neighbours(loops: Loops, columns: _Columns, after: IntArray) -> IntArray:
    """Twins of the sides, as `Loops.find_twins`, but of pieces that stand clear of one another."""
    twins = loops.find_twins()
    side = np.flatnonzero(twins >= 0)
    is_clear = np.zeros(len(side), bool)
    for one, other in ((side, after[twins[side]]), (after[side], twins[side])):
        is_clear |= columns.top[one] < columns.base[other]
        is_clear |= columns.top[other] < columns.base[one]
    twins[side[is_clear]] = -1
    return twins


def _name_nodes(
    loops: Loops, columns: _Columns, after: IntArray, twins: IntArray, place: IntArray
) -> tuple[IntArray, IntArray]:
    """
    Give nodes at one place and level one vertex, if what stands there hangs together.

    Parameters
    ----------
    place : (r,) array of int
        The place of each rung.

    Returns
    -------
    vertex : (n,) array of int
        Of each node.
    rung : (v,) array of int
        Of each vertex.
    """
    size = columns.height + 1
    corner = np.repeat(np.arange(len(size)), size)
    vertex = columns.base[corner] + np.arange(len(corner)) - columns.foot[corner]  # its rung
    count = int(loops.place.max(initial=-1)) + 1
    # all hangs together where the border passes once and no surface has a step
    passes = np.bincount(loops.place[twins < 0], minlength=count)
    is_knot = (passes > 1) | (np.bincount(place, minlength=count) > 2)
    if not is_knot.any():
        return vertex, np.arange(len(place))
    one = np.flatnonzero(is_knot[loops.place] & (twins >= 0))
    links = _link(columns, one, after[twins[one]])
    held = np.flatnonzero(is_knot[loops.place[corner]])
    number = np.full(len(corner), -1)
    number[held] = np.arange(len(held))
    groups = len(place) + label_groups(len(held), number[links])
    rung = np.concatenate([np.arange(len(place)), vertex[held]])
    vertex[held] = groups
    used, number = number_used(vertex, len(rung))
    return number[vertex], rung[used]


def _link(columns: _Columns, one: IntArray, other: IntArray) -> IntArray:
    """Pairs of nodes (l, 2) of columns side by side, on the rungs where concrete joins them."""
    low = np.maximum(columns.base[one], columns.base[other])
    high = np.minimum(columns.top[one], columns.top[other])
    # one rung in common is an edge in common, but at the tip of a wedge
    is_tip = np.minimum(columns.height[one], columns.height[other]) == 0
    count = np.where((high > low) | is_tip, high - low + 1, 0)
    owner, rung = count_up(low, count)
    return np.column_stack([columns.node(one[owner], rung), columns.node(other[owner], rung)])


def _cap(
    loops: Loops, grid: FloatArray, columns: _Columns, n_nodes: int
) -> tuple[FloatArray, IntArray]:
    """
    Faces of top and base; pieces of more than three corners are fanned about their middle.

    Corners may stand in a line with their neighbours, where a fan from one of them has no area.
    The places made for it (k, 3) are nodes that follow the first `n_nodes`.
    """
    starts = loops.starts
    size = np.bincount(loops.piece, minlength=1)[loops.piece]
    three = np.flatnonzero(starts & (size == 3))[:, None] + np.arange(3)
    many = np.flatnonzero(size > 3)
    following = loops.after[many]
    begin = np.flatnonzero(starts[many])
    owner = np.cumsum(starts[many]) - 1
    held = np.column_stack([grid[loops.place[many]], loops.value[many]])
    total = np.add.reduceat(held, begin) if len(begin) else held
    middle = total / size[many[begin], None]
    plan = np.rint(middle[:, :2])
    # rounded apart: however thin, the two don't become one
    levels = (np.ceil(middle[:, 2]), np.floor(middle[:, 3]))
    over, under = n_nodes + owner, n_nodes + len(begin) + owner
    head, foot = columns.head, columns.foot
    faces = [
        head[three],
        foot[three[:, ::-1]],
        np.column_stack([head[many], head[following], over]),
        np.column_stack([foot[following], foot[many], under]),
    ]
    made = [np.column_stack([plan, level]) for level in levels]
    return np.concatenate(made), np.concatenate(faces)


def _wall(columns: _Columns, after: IntArray, twins: IntArray) -> IntArray:
    """Faces of walls: of sides without a neighbour, and of steps of top and base beside one."""
    lone, pair = np.flatnonzero(twins < 0), np.flatnonzero(twins > np.arange(len(twins)))
    feet, heads = columns.foot, columns.head
    ends = after[lone]
    faces = [_fill((feet[lone], heads[lone]), (feet[ends], heads[ends]))]
    twin = twins[pair]
    for level, way in ((columns.top, 1), (columns.base, -1)):
        start, end = (
            _find_step(columns, one, other, level, way)
            for one, other in ((pair, after[twin]), (after[pair], twin))
        )
        faces.append(_fill(start, end, way=way))
    return np.concatenate(faces)


def _find_step(
    columns: _Columns, one: IntArray, other: IntArray, level: IntArray, way: int
) -> tuple[IntArray, IntArray]:
    """Nodes between the tops (1) or bases (-1) of columns side by side, of that which has them."""
    owner = np.where(way * level[one] >= way * level[other], one, other)
    low, high = (columns.node(owner, level[corner]) for corner in (other, one)[::way])
    return low, high


def _fill(
    start: tuple[IntArray, IntArray], end: tuple[IntArray, IntArray], *, way: int = 1
) -> IntArray:
    """
    Triangles between two uprights, each from a lower to an upper node.

    Seen with the start on the left they face the viewer; where lower and upper are the other way
    round, so are they. Where that is so at one end alone, two triangles cross: the edge between
    them then runs as high as it may (1), or as low (-1), clear of the skin's other side.
    """
    is_turned = way * (end[1] - end[0]) > 0
    is_turned &= way * (start[1] - start[0]) < 0
    over_start, over_end = np.where(is_turned, (end[1], start[0]), (end[0], start[1]))
    return np.concatenate([_fan(start[0], start[1], over_start), _fan(end[1], end[0], over_end)])


def _fan(start: IntArray, end: IntArray, apex: IntArray) -> IntArray:
    """Triangles from an apex over the nodes of an upright, from one of them to another."""
    owner, node = count_up(np.minimum(start, end), np.abs(end - start))
    is_up = (start < end)[owner]
    return np.column_stack([node + ~is_up, apex[owner], node + is_up])
