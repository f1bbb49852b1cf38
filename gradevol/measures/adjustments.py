"""Moving the top: what raising, tilting or crowning it would do. It offers; it chooses nothing."""

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from gradevol.geometry.prisms import area_above, integral, span_of_corners, volume_above
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.measures.cover import measure_cover
from gradevol.measures.field import ThicknessField, find_near, split_field
from gradevol.site.locating import LEAST_SIDE
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, known_slopes
from gradevol.site.tie_ins import TieIns

MoveKind: TypeAlias = Literal["raise", "tilt", "crown"]

#: A side that moves less than this stays where it is, m: rounding.
_STAYS = 1e-9
#: Corners may lie this far on the outer side of a side that is held, m.
_STRAIGHT = 0.001


@dataclass(frozen=True, slots=True)
class Steps:
    """How far the top is moved, m; negative: down."""

    raises: tuple[float, ...]
    tilts: tuple[float, ...]
    crowns: tuple[float, ...]


_INCH, _MM = METRES["in"], METRES["mm"]
#: What a crew can set a form or a string by (common practice, no source).
INCHES = Steps(
    raises=tuple(step * _INCH for step in (-0.5, -0.25, -0.125, 0.125, 0.25, 0.5)),
    tilts=(-0.25 * _INCH, 0.25 * _INCH),
    crowns=(0.25 * _INCH, 0.5 * _INCH),
)
MILLIMETRES = Steps(
    raises=tuple(step * _MM for step in (-10, -5, 5, 10)),
    tilts=(-10 * _MM, 10 * _MM),
    crowns=(5 * _MM, 10 * _MM),
)
#: By whether a job is metric.
STEPS = {False: INCHES, True: MILLIMETRES}


@dataclass(frozen=True, slots=True)
class Move:
    """
    What one way of moving the top would do.

    Attributes
    ----------
    kind : {"raise", "tilt", "crown"}
        The whole top up by `by`; the far side up by it while the held side stays; or the middle up
        by it while the held side and the far side stay, along a parabola.
    by : float
        m; negative: down.
    held : int or None
        The side that stays, counted from 1; None where the whole top moves.
    volume : float
        Change of the concrete, m³; exact.
    thin_area : float
        Area under the least thickness it would leave, m². A crown is taken as straight within
        each piece of the thickness field; so is the next.
    least : float
        Least thickness it would leave, m.
    cover : tuple of float
        Least cover it would leave over each item that has a cover, in the order of the covers, m.
    least_fall : float
        Least fall of the moved top, a ratio; exact.
    off_flush, off_measured : tuple of int
        Sides that it would take off the measured edge they meet, and off the points along them.
    """

    kind: MoveKind
    by: float
    held: int | None
    volume: float
    thin_area: float
    least: float
    cover: tuple[float, ...]
    least_fall: float
    off_flush: tuple[int, ...]
    off_measured: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Held:
    """The side that is held: a corner of it, the way from it across the slab, how far that goes."""

    side: int
    start: FloatArray
    across: FloatArray
    far: float

    def share(self, places: FloatArray) -> FloatArray:
        """How far across the slab places (..., 2) lie: 0 at the side, 1 farthest from it."""
        return np.asarray((places - self.start) @ self.across / self.far)


@dataclass(frozen=True, slots=True)
class _Shift:
    """How far up each place goes."""

    kind: MoveKind
    by: float
    held: _Held | None

    def at(self, places: FloatArray) -> FloatArray:
        """Shift at places (..., 2), m."""
        share = np.zeros(places.shape[:-1]) if self.held is None else self.held.share(places)
        return self.at_share(share)

    def at_share(self, share: FloatArray) -> FloatArray:
        """Shift at places so far across the slab (`_Held.share`), m."""
        match self.kind:
            case "raise":
                return np.full(share.shape, self.by)
            case "tilt":
                return self.by * share
        return self.by * 4 * share * (1 - share)

    def least_fall(self, corners: FloatArray, slope: FloatArray) -> float:
        """Least fall of a top (t, 3, 3) with slopes (t, 2) once it is shifted."""
        if self.held is None:
            return float(np.nanmin(np.hypot(slope[:, 0], slope[:, 1])))
        across = self.held.across
        steep = self.by / self.held.far
        if self.kind == "tilt":
            return float(np.nanmin(np.hypot(*(slope + steep * across).T)))
        share = self.held.share(corners[..., :2])
        ends = 4 * steep * (1 - 2 * np.stack(span_of_corners(share)))
        own = slope @ across
        # a triangle meets every share of the crown between its ends: the one that levels it most
        along = own + np.clip(-own, ends.min(axis=0), ends.max(axis=0))
        return float(np.nanmin(np.hypot(slope @ [-across[1], across[0]], along)))


def measure_moves(
    field: ThicknessField, top: Surface, slab: Slab, tie_ins: TieIns, *, steps: Steps
) -> tuple[Move, ...]:
    """
    Measure what moving the top would do.

    Parameters
    ----------
    field : ThicknessField
    top : Surface
        The top that the field was made with.
    slab : Slab
    tie_ins : TieIns
    steps : Steps

    Returns
    -------
    tuple of Move
        All raises; tilts and crowns where the slab has a side to hold: one that runs along a
        measured edge, or else the highest.
    """
    wanted: list[tuple[MoveKind, float]] = [("raise", by) for by in steps.raises]
    held = _find_held(top, slab, tie_ins)
    if held is not None:
        wanted += [("tilt", by) for by in steps.tilts]
        wanted += [("crown", by) for by in steps.crowns]
    shifts = [_Shift(kind, by, held if kind != "raise" else None) for kind, by in wanted]
    volume, thin = np.zeros((2, len(shifts)))
    least = np.full(len(shifts), np.inf)
    for part in (_Pieces.of(some, held) for some in split_field(field)):
        for number, shift in enumerate(shifts):
            delta = shift.at_share(part.share)
            volume[number] += _volume_change(part, delta, shift)
            thin[number] += _thin_area(part, delta, slab.least_thickness)
            least[number] = min(least[number], (part.thickness + delta).min())
    under = _under_lines(field, slab)
    corners, slope = top.corners, known_slopes(top)
    moves = []
    for number, shift in enumerate(shifts):
        off = _sides_off(shift, slab)
        moves.append(
            Move(
                kind=shift.kind,
                by=shift.by,
                held=shift.held.side if shift.held is not None else None,
                volume=float(volume[number]),
                thin_area=float(thin[number]),
                least=float(least[number]),
                cover=_cover_under(under, shift, slab),
                least_fall=shift.least_fall(corners, slope),
                off_flush=tuple(side for side in tie_ins.flush if side in off),
                off_measured=tuple(side for side in tie_ins.measured if side in off),
            )
        )
    return tuple(moves)


def measure_thickening(field: ThicknessField, by: float) -> float:
    """Change of the concrete, m³, where it is thicker by so much all over, m; exact."""
    shift = _Shift("raise", by, None)
    return _volume_change(_Pieces.of(field, None), np.full(field.rows.shape, by), shift)


class _Pieces(NamedTuple):
    """What is moved: pieces by area, thickness at their corners, the least, how far across."""

    area: FloatArray
    thickness: FloatArray
    low: FloatArray
    share: FloatArray

    @classmethod
    def of(cls, field: ThicknessField, held: _Held | None) -> "_Pieces":
        thickness = field.thickness
        share = np.zeros(thickness.shape) if held is None else held.share(field.corners)
        return cls(field.area, thickness, span_of_corners(thickness)[0], share)


def _volume_change(part: _Pieces, delta: FloatArray, shift: _Shift) -> float:
    """Change of the volume above the base, m³."""
    reach = float(np.abs(delta).max(initial=0.0))
    is_near = part.low - reach <= 0  # the base may stand above the top before or after
    change = integral(part.area, delta)[~is_near].sum()
    if is_near.any():
        near = part.thickness[is_near]
        change += volume_above(part.area[is_near], near + delta[is_near]).sum()
        change -= volume_above(part.area[is_near], near).sum()
    if shift.kind == "crown":  # what the parabola stands above its chords; exact by side middles
        over = shift.by * (part.share - np.roll(part.share, -1, axis=1)) ** 2
        is_full = ~is_near | ((part.thickness + delta) > 0).all(axis=1)
        change += integral(part.area, over)[is_full].sum()
    return float(change)


def _thin_area(part: _Pieces, delta: FloatArray, least: float) -> float:
    """Area that is under the least thickness, m²."""
    may = part.low + float(delta.min()) < least
    return float(area_above(part.area[may], least - part.thickness[may] - delta[may]).sum())


def _under_lines(field: ThicknessField, slab: Slab) -> ThicknessField | None:
    """Part of a field that the lines of voids may cross; None where there are no lines."""
    lines = [part.line[:, :2] for part in slab.voids if part.line is not None]
    if not lines:
        return None
    near = [find_near(field, line.min(axis=0), line.max(axis=0)) for line in lines]
    return field.take(np.any(near, axis=0))


def _cover_under(under: ThicknessField | None, shift: _Shift, slab: Slab) -> tuple[float, ...]:
    if under is None:
        return ()
    moved = under.with_thickness(under.thickness + shift.at(under.corners))
    return tuple(cover.least for cover in measure_cover(moved, slab))


def _sides_off(shift: _Shift, slab: Slab) -> frozenset[int]:
    """Sides, counted from 1, that do not stay where they are."""
    return frozenset(
        number
        for number, path in enumerate(slab.paths, start=1)
        if np.abs(shift.at(np.vstack([path, (path[1:] + path[:-1]) / 2]))).max() > _STAYS
    )


def _find_held(top: Surface, slab: Slab, tie_ins: TieIns) -> _Held | None:
    """Straight side to hold; the slab must lie on one side of it. None where there is none."""
    sides = []
    for number, (start, end) in enumerate(slab.sides, start=1):
        length = float(np.hypot(*(end - start)))
        if length < LEAST_SIDE or not slab.is_straight(number):
            continue
        across = np.array([start[1] - end[1], end[0] - start[0]]) / length
        away = (slab.edge - start) @ across
        if away.max() < -away.min():
            across, away = -across, -away
        if away.min() >= -_STRAIGHT:
            sides.append(_Held(number, start, across, float(away.max())))
    flush = [held for held in sides if held.side in tie_ins.flush]
    if flush or not sides:
        return flush[0] if flush else None
    # to the millimetre, so that of equals the first is taken
    return max(sides, key=lambda held: round(_mean_level(top, held, slab), 3))


def _mean_level(top: Surface, held: _Held, slab: Slab) -> float:
    """Mean elevation of a top along a side, m."""
    start, end = slab.sides[held.side - 1]
    places = top.points[np.abs((top.points[:, :2] - start) @ held.across) < _STRAIGHT]
    length = float(np.hypot(*(end - start)))
    station = (places[:, :2] - start) @ (end - start) / length
    on = (station > -_STRAIGHT) & (station < length + _STRAIGHT)
    order = np.argsort(station[on], kind="stable")
    at, level = station[on][order], places[on, 2][order]
    span = float(at[-1] - at[0])
    return float(np.sum(np.diff(at) * (level[1:] + level[:-1]) / 2) / span)
