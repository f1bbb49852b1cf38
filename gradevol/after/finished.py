"""The finished top as it was shot, and the thickness of the concrete under it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import integral, volume_above
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import count_of, first_of, list_of, noun_of, verb_of
from gradevol.measures.base import BaseSurface
from gradevol.measures.field import ThicknessField, take_pieces
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface, level_beside, merge_shots
from gradevol.site.survey import DATUM_SIGMA, FOOT_SIGMA, SHOT_SIGMA, Survey
from gradevol.site.top import TOP_SIGMA, Top
from gradevol.uncertainty.sensitivity import measure_shares, sum_by_setup

#: How far a finished top stands off its own mean at one place, one standard deviation, 1/8 in, m:
#: common practice, no source. What the shots show of it counts beside it as their number allows.
FLATNESS, _AS_SURE_AS = 0.0032, 4
#: A shot that is off by more of these than the others spread, and than tops do, is told of.
_DOUBTFUL = 5.0
#: Where less of the slab than this lies between the shots, they are no survey of its top: beyond
#: them it is as unsure as one that nobody shot. A judgement, no source.
_LEAST = 0.5
#: A shot this near to the slab is on it, m.
NEAR = 1.0
#: Setup of finished-top shots of which no other is known.
OWN_SETUP = "finished top"


@dataclass(frozen=True, slots=True)
class Finished:
    """
    The finished top.

    Attributes
    ----------
    survey : Survey
        The shots on it, about the job's origin, with their accuracy.
    surface : Surface
        How far the top stands above its design between the shots, over all of the slab; beyond
        them it is that of the nearest place between them.
    field : ThicknessField
        Finished top less base.
    volume : float
        What the top as finished adds to the concrete, m³.
    mean : float
        How far it stands above its design, m.
    random : float
        One standard deviation of that from single shots, what lies between them, and where they
        are too few of the slab what lies beyond them, m³.
    local : float
        One standard deviation of the top at a place about what the shots show, m.
    setups : mapping of str to float
        Area of the top by the setup it was shot from, m².
    coverage : float
        Share of the slab that lies between the shots, 0 to 1.
    """

    survey: Survey
    surface: Surface
    field: ThicknessField
    volume: float
    mean: float
    random: float
    local: float
    setups: Mapping[str, float]
    coverage: float
    notes: tuple[Note, ...] = ()


def finish_top(
    shots: Survey,
    base: Survey,
    *,
    field: ThicknessField,
    top: Top,
    slab: Slab,
    top_sigma: float = TOP_SIGMA,
) -> Finished:
    """
    Put a finished top, as it was shot, upon a base.

    Parameters
    ----------
    shots : Survey
        On the finished top, about the origin of the base.
    base : Survey
        The base's, with the accuracy of its shots.
    field : ThicknessField
        Design top less base.
    top : Top
        The design.
    slab : Slab
    top_sigma : float
        One standard deviation of the mean level of a top that nobody shot, m.

    Raises
    ------
    GeometryError
        Fewer than three places, all on one line, or none near the slab.

    Notes
    -----
    A few shots can't show the bends of a warped top, so what lies between them linearly is the
    departure from the design, not the level itself.
    """
    shots = _keep_on_slab(shots, slab)
    plan, level = shots.points[:, :2], shots.points[:, 2]
    # off the design first, then made one a place: at the edge of a step two may stand at one
    off = level - level_beside(top.surface, plan, level)
    departed, place, notes = merge_shots(replace(shots, points=np.column_stack([plan, off])))
    surface = extend_level(build_surface(departed), slab.outline)
    corners, parent, holder = overlay(field.corners, surface.corners[..., :2])
    raised = level_in(surface.corners, holder, corners)
    is_surveyed = surface.is_surveyed[holder]
    drawn = take_pieces(field, parent, corners)
    made = replace(
        drawn.with_thickness(drawn.thickness + raised),
        is_surveyed=drawn.is_surveyed & is_surveyed,
    )
    made_of = BaseSurface(surface, len(departed), place)
    shares = measure_shares(replace(made, parent=holder), made_of)
    shots = _state(shots, base)
    local = _measure_local(departed, shots.sigma)
    coverage = float(made.area[is_surveyed].sum() / made.area.sum())
    beyond = top_sigma * (1 - coverage) * float(made.area.sum()) if coverage < _LEAST else 0.0
    before, filled = (volume_above(each.area, each.thickness).sum() for each in (field, made))
    return Finished(
        survey=shots,
        surface=surface,
        field=made,
        volume=float(filled - before),
        mean=float(integral(made.area, raised).sum() / made.area.sum()),
        random=float(np.hypot(local * np.sqrt((shares**2).sum()), beyond)),
        local=local,
        setups=sum_by_setup(shares, made_of, shots),
        coverage=coverage,
        notes=(*shots.notes, *notes, *_doubt(departed, place, shots), *_note_beyond(coverage)),
    )


def _keep_on_slab(shots: Survey, slab: Slab) -> Survey:
    """Leave out what is no shot of this top: a bench mark in the file, the slab next to it."""
    is_on = shapely.dwithin(slab.outline, shapely.points(shots.points[:, :2]), NEAR)
    kept, gone = (np.flatnonzero(each).tolist() for each in (is_on, ~is_on))
    if not kept:
        raise GeometryError(
            "No shot of the finished top lies on the slab: are both in one system?",
            place=(float(shots.points[0, 0]), float(shots.points[0, 1])),
        )
    if not gone:
        return shots
    names = tuple(map(shots.name, gone))
    text = (
        f"{count_of(len(gone), 'shot')} on the finished top {verb_of(len(gone), 'lie')} more than "
        f"{{}} off the slab and {verb_of(len(gone), 'are')} left out: {escape(first_of(names))}."
    )
    note = Note("top-shots-off-slab", text, (Measure(NEAR, Kind.TAPE),), points=names)

    def pick(held: Sequence[str]) -> tuple[str, ...]:
        return tuple(held[index] for index in kept) if held else ()

    return replace(
        shots,
        points=shots.points[kept],
        ids=tuple(map(shots.name, kept)),
        codes=pick(shots.codes),
        setups=pick(shots.setups),
        readings=pick(shots.readings),
        notes=(*shots.notes, note),
    )


def _state(shots: Survey, base: Survey) -> Survey:
    """Give the shots the accuracy of the base's, where those are of a rod too, else the usual."""
    is_alike = base.method in FOOT_SIGMA
    return replace(
        shots,
        sigma=base.sigma if is_alike else SHOT_SIGMA["shots"],
        datum_sigma=base.datum_sigma if is_alike else DATUM_SIGMA["shots"],
        setups=tuple(name or OWN_SETUP for name in shots.setups or ("",) * len(shots.points)),
    )


def _doubt(points: FloatArray, place: IntArray, shots: Survey) -> tuple[Note, ...]:
    """Name shots that stand off all others; none is left out."""
    off = points[:, 2] - np.median(points[:, 2])
    far = np.abs(off) > _DOUBTFUL * max(robust_spread(off), FLATNESS)
    if not far.any():
        return ()
    names = tuple(shots.name(index) for index in np.flatnonzero(far[place]).tolist())
    note = Note(
        "top-shots-suspect",
        f"On the finished top {noun_of(len(names), 'shot')} {escape(list_of(names))} "
        f"{verb_of(len(names), 'stand')} up to {{}} off what the others tell of it against the "
        "drawing. They count all the same: look for a misread, or another bench mark.",
        (Measure(float(np.abs(off).max()), Kind.LEVEL),),
        points=names,
    )
    return (note,)


def _note_beyond(coverage: float) -> tuple[Note, ...]:
    """Tell where the shots hold too little of the slab between them."""
    if coverage >= _LEAST:
        return ()
    text = (
        f"Only {100 * coverage:.0f} % of the slab lies between the shots on the finished top: "
        "beyond them it is taken to stand as far off the drawing as at the nearest of them, and "
        "counts as no surer than a top that nobody shot. Shoot out to the edges."
    )
    return (Note("top-beyond-shots", text),)


def _measure_local(points: FloatArray, sigma: float) -> float:
    """Standard deviation of single shots about their mean, with what tops usually do, m."""
    usual = FLATNESS**2 + sigma**2
    free = len(points) - 1
    squares = float(((points[:, 2] - points[:, 2].mean()) ** 2).sum())
    return float(np.sqrt((_AS_SURE_AS * usual + squares) / (_AS_SURE_AS + free)))
