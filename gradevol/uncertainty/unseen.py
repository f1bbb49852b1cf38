"""Unseen: what a machine may have left between rows of shots, where none of them shows it.

Shots in rows see nothing of what is narrower than the gap between the rows and runs along them, nor
of waves that are as long as the rows are apart. No evidence can tell; what is as likely there as on
other slabs is added to the interval. Shots that are staggered see it, and then nothing is added.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.uncertainty.trend import STRIP, Trend

#: A pair of wheel tracks along the whole slab: width and depth of each, m, and the chance of one,
#: along the rows one way or the other. Common practice, no source.
_TRACK, _DEEP, _TRACKS_CHANCE = 0.3, 0.025, 0.5
#: A slab that is narrower has no room for the pair, m.
_PAIR = 2.4
#: Waves that a roller leaves: standard deviation, m, and the chance of them. Common practice, no
#: source.
_WAVE, _WAVES_CHANCE = 0.008, 0.06
#: Where no shot stands on so much of the width, shots stand in rows.
_ROWS = 0.5
#: Fewer places than this in the strip along the forms don't show it.
_FEW_AT_FORMS = 4
#: Rows wider apart than this share of the mean gap are two.
_APART = 0.6


@dataclass(frozen=True, slots=True)
class Rows:
    """
    Rows of shots that run one way over a slab.

    Attributes
    ----------
    across : (2,) array of float
        The direction across them, of length 1.
    hidden : float
        Share of the width on which a track could lie and no shot would stand in it, 0 to 1.
    count : int
        How many rows there are.
    gap : float
        How far they are apart, on the mean, m.
    places : (n,) array of float
        Of the shots across the rows, m, sorted.
    """

    across: FloatArray
    hidden: float
    count: int
    gap: float
    places: FloatArray


def find_rows(places: FloatArray, outline: shapely.Geometry, bearing: float) -> list[Rows]:
    """Find the rows of shots along a bearing and across it, whether they are rows or not."""
    found = []
    for turn in (0, np.pi / 2):
        across = np.array([-np.sin(bearing + turn), np.cos(bearing + turn)])
        corners = shapely.get_coordinates(outline) @ across
        low, high = float(corners.min()), float(corners.max())
        at = np.sort(places @ across)
        ends = np.concatenate([[low], at.clip(low, high), [high]])
        room = max(high - low - _TRACK, 1e-9)
        hidden = min(float(np.maximum(np.diff(ends) - _TRACK, 0).sum()) / room, 1.0)
        # a stray far off the slab stands in no row
        wide = np.diff(at[np.abs(at - (low + high) / 2) <= high - low])
        wide = wide[wide > _TRACK]
        count = len(wide) + 1
        gap = float(wide.mean()) if count > 1 else high - low
        found.append(Rows(across, hidden, count, gap, at))
    return found


def stand_off_rows(rows: tuple[Rows, ...], plan: FloatArray) -> BoolArray:
    """Whether places (m, 2) lie well between the rows that shots stand in: a quarter of the gap."""
    is_off = np.ones(len(plan), bool)
    for each in rows:
        if each.hidden > _ROWS:
            at = plan @ each.across
            after = np.searchsorted(each.places, at).clip(1, len(each.places) - 1)
            nearest = np.minimum(
                np.abs(at - each.places[after - 1]), np.abs(at - each.places[after])
            )
            is_off &= nearest >= each.gap / 4
    return is_off


def measure_unseen(rows: list[Rows], outline: shapely.Geometry) -> float:
    """
    Standard deviation of the volume from what rows of shots don't show, m³.

    Parameters
    ----------
    rows : list of Rows
        One way and the other.
    outline : shapely polygon or multipolygon

    Returns
    -------
    float
        Tracks are as likely along the slab as across; waves of any length between once and twice
        the gap and of any phase are off by their height over the root of the rows on the mean, and
        are looked for only where shots stand in rows.
    """
    total = 0.0
    for each in rows:
        total += _TRACKS_CHANCE / 2 * each.hidden * _spread_tracks(each, outline) ** 2
        if each.hidden > _ROWS:
            total += _WAVES_CHANCE * _WAVE**2 / max(each.count, 2)
    return float(outline.area * np.sqrt(total))


def _spread_tracks(rows: Rows, outline: shapely.Geometry) -> float:
    """What a pair of tracks along rows takes, as a layer over the slab, m."""
    extent = float(np.ptp(shapely.get_coordinates(outline) @ rows.across))
    return 2 * _DEEP * _TRACK / extent * min(1.0, extent / _PAIR)


def remark_on_rows(
    rows: list[Rows], unseen: float, spread: float, outline: shapely.Geometry
) -> tuple[Note, ...]:
    """Say that rows hide what runs along them, where that is a good part of a spread, m³."""
    hiding = [each for each in rows if each.hidden > _ROWS]
    if not hiding or unseen < spread / 3:
        return ()
    gap = max(each.gap for each in hiding)
    # the margin is for a base that nobody looked at: who sees ruts there can reckon with them
    pair = outline.area * max(_spread_tracks(each, outline) for each in hiding)
    return (
        Note(
            "interval-rows",
            "Ruts or a trench between rows of shots {} apart would not show; the margin counts {} "
            "for that. Look for wheel ruts there: a pair {} deep all along takes {} more. Stagger "
            "the next shots between the rows.",
            (
                Measure(gap, Kind.TAPE),
                Measure(unseen, Kind.VOLUME),
                Measure(_DEEP, Kind.THICKNESS),
                Measure(pair, Kind.VOLUME),
            ),
        ),
    )


def remark_on_forms(places: FloatArray, trend: Trend) -> tuple[Note, ...]:
    """Say that hardly a shot shows the strip along the forms."""
    count = int((trend.measure_from_forms(places) < STRIP / 2).sum())
    if count >= _FEW_AT_FORMS:
        return ()
    told = ("no shot is", "only 1 shot is", *(f"only {n} shots are" for n in range(2, 9)))[count]
    return (
        Note(
            "interval-forms",
            f"Along the forms, where a base is often low, {told} within {{}} of them. Take some "
            "at the form on each side.",
            (Measure(STRIP / 2, Kind.TAPE),),
        ),
    )
