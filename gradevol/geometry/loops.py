"""Pieces of a plan as loops of corners: one place for what stands at one place, sides shared."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.groups import label_groups
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, number_rows, order_by


@dataclass(frozen=True, slots=True)
class Loops:
    """
    Pieces, each a ring of corners; the corners stand piece after piece.

    Attributes
    ----------
    piece : (m,) array of int
        The piece of each corner, ascending.
    place : (m,) array of int
        The place of each corner; corners of several pieces share one.
    value : (m, v) array of float
        What the piece has there, linear over it.
    """

    piece: IntArray
    place: IntArray
    value: FloatArray

    @property
    def starts(self) -> BoolArray:
        """Whether each corner is the first of its piece, (m,)."""
        return np.diff(self.piece, prepend=-1) > 0

    @property
    def after(self) -> IntArray:
        """The next corner around the piece, (m,)."""
        starts = self.starts
        after = np.arange(1, len(starts) + 1)
        after[np.append(starts[1:], True)[: len(starts)]] = np.flatnonzero(starts)
        return after

    def keep(self, is_kept: BoolArray) -> "Loops":
        """Return some of the corners."""
        if is_kept.all():
            return self
        return Loops(self.piece[is_kept], self.place[is_kept], self.value[is_kept])

    def at(self, place: IntArray) -> "Loops":
        """
        Put the corners at other places.

        Of neighbours that fall together one is left, and of pieces with fewer than three corners
        none: what they lay between now meets.
        """
        if len(place) == 0:
            return self
        moved = Loops(self.piece, place, self.value)
        moved = moved.keep(place != place[self.after])
        if len(moved.place) == len(place):
            return moved
        return moved.keep(np.bincount(moved.piece, minlength=1)[moved.piece] >= 3)

    def insert(
        self, side: IntArray, share: FloatArray, place: IntArray, value: FloatArray
    ) -> "Loops":
        """
        Put corners into sides.

        Parameters
        ----------
        side : (n,) array of int
            The corner where the side begins.
        share : (n,) array of float
            How far along the side, 0 to 1: the order of several on one.
        place : (n,) array of int
        value : (n, v) array of float
        """
        row = np.concatenate([np.arange(len(self.piece)), side])
        along = np.concatenate([np.full(len(self.piece), -1.0), share])
        order = np.lexsort((along, row))
        return Loops(
            self.piece[row][order],
            np.concatenate([self.place, place])[order],
            np.concatenate([self.value, value]).take(order, axis=0),
        )

    def find_twins(self) -> IntArray:
        """
        Find the side that runs the other way between the same two places.

        Returns
        -------
        (m,) array of int
            Of the side that begins at each corner, the corner where its twin begins; -1 where
            nothing lies beyond it. Each has one at most, also where more than two sides meet.
        """
        end = self.place[self.after]
        low, high = np.minimum(self.place, end), np.maximum(self.place, end)
        is_down = self.place > end
        order = order_by(low, high, is_down)
        is_down = is_down[order]
        is_new = _begin_anew(low.take(order), high.take(order))
        first = np.flatnonzero(is_new)
        size = np.diff(first, append=len(order))
        ways = size - np.add.reduceat(is_down, first, dtype=np.intp) if len(first) else size
        run = np.cumsum(is_new) - 1
        rank = np.arange(len(order)) - first[run]
        pairs = np.flatnonzero(rank < np.minimum(ways, size - ways)[run])
        twins = np.full(len(order), -1)
        up, down = order[pairs], order[pairs + ways[run[pairs]]]
        twins[up], twins[down] = down, up
        return twins


def find_lone(rows: IntArray) -> IntArray:
    """
    Find the sides of triangles (n, 3) beyond which no other lies.

    Returns
    -------
    (m,) array of int
        In the order of ``rows.ravel()``, the side from each corner to the next. Where more run one
        way between two nodes than the other, none of them has a neighbour.
    """
    start, end = rows.ravel(), np.roll(rows, -1, axis=1).ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    order = order_by(low, high)
    first = np.flatnonzero(_begin_anew(low.take(order), high.take(order)))
    ways = np.where(start < end, 1, -1).take(order)
    is_even = np.add.reduceat(ways, first) == 0
    return order[~np.repeat(is_even, np.diff(first, append=len(order)))]


def _begin_anew(low: IntArray, high: IntArray) -> BoolArray:
    """Which of some sides in order are the first between their two ends, (n,)."""
    is_new = np.ones(len(low), bool)
    is_new[1:] = (low[1:] != low[:-1]) | (high[1:] != high[:-1])
    return is_new


def weld(plan: FloatArray, *, within: float) -> tuple[IntArray, FloatArray]:
    """
    Make corners that stand at one place share it.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing, m.
    within : float
        Corners no farther apart than this are one, m.

    Returns
    -------
    place : (n,) array of int
        Of each corner.
    where : (p, 2) array of float
        Each place, which is that of one of its corners, m.
    """
    where, place = number_rows(plan)
    pairs = _pair_up(where, within)
    kept, group = np.unique(label_groups(len(where), pairs), return_inverse=True)
    return group[place], where[kept]


def _pair_up(where: FloatArray, within: float) -> IntArray:
    """Pairs (m, 2) of places no farther apart than `within`; the places stand in order by east."""
    lone_by = np.ones(len(where) + 1, bool)
    lone_by[1:-1] = np.diff(where[:, 0]) > within
    # a pair lies in one run of eastings without a gap, and there in one run of northings
    run = np.cumsum(lone_by[:-1])
    near = np.flatnonzero(~(lone_by[:-1] & lone_by[1:]))
    near = near[np.lexsort((where[near, 1], run[near]))]
    is_first = np.ones(len(near), bool)
    is_first[1:] = (np.diff(run[near]) > 0) | (np.diff(where[near, 1]) > within)
    chain = np.cumsum(is_first)
    found, ahead, at = [np.empty((0, 2), np.intp)], 1, np.arange(len(near))
    while len(at := at[at + ahead < len(near)]):
        at = at[chain[at] == chain[at + ahead]]
        off = where[near[at]] - where[near[at + ahead]]
        is_near = np.hypot(off[:, 0], off[:, 1]) <= within
        found.append(np.column_stack([near[at[is_near]], near[at[is_near] + ahead]]))
        ahead += 1
    return np.concatenate(found)


def share_corners(loops: Loops, where: FloatArray, *, within: float) -> Loops:
    """
    Put corners of neighbours that stand on a piece's side into that side.

    Parameters
    ----------
    loops : Loops
        No piece narrower than `within`.
    where : (p, 2) array of float
        The places, m.
    within : float
        A place no farther from a side than this stands on it, m.

    Returns
    -------
    Loops
        Pieces that lay side by side now share the whole of each side. Only corners of sides
        without a twin can stand on another such side, so only those are looked at.
    """
    after = loops.after
    lone = np.flatnonzero(loops.find_twins() < 0)
    ends = np.stack([loops.place[lone], loops.place[after[lone]]], axis=1)
    held = np.unique(ends)
    tree = shapely.STRtree(shapely.points(where[held]))
    side, found = tree.query(shapely.linestrings(where[ends]), "dwithin", distance=within)
    start, place = where[ends[side, 0]], held[found]
    along = where[ends[side, 1]] - start
    share = ((where[place] - start) * along).sum(axis=1) / (along**2).sum(axis=1)
    is_within = (share > 0) & (share < 1) & (ends[side] != place[:, None]).all(axis=1)
    side, share, place = lone[side[is_within]], share[is_within], place[is_within]
    one, other = loops.value[side], loops.value[after[side]]
    return loops.insert(side, share, place, one + share[:, None] * (other - one))
