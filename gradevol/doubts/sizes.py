"""Plausibility: sizes and levels that no slab has, and the unit under which they would be right."""

from collections.abc import Callable, Iterator

import numpy as np

from gradevol.doubts.coarse_cells import refuse_coarse_cell
from gradevol.doubts.misplaced import unit_of_edge
from gradevol.doubts.misplaced.causes import factors
from gradevol.doubts.unusual import USUAL, list_unusual
from gradevol.files.sheet_sources import Depths, Rods, Sheets
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES, NAMES
from gradevol.job import Job, TopFile, TopShots
from gradevol.measures.field import ThicknessField, slab_part
from gradevol.site.slab import Slab

# None of these limits has a source; they are common practice, set so wide that no slab on ground
# that is poured in one job is refused, and a unit off by a thousand always is.
#: From end to end of a slab, m: refused beyond.
_LONGEST = 3000.0
#: A slab so long is named as what may be meant, m.
_LIKELY = 200.0
#: Refused below, m: a stepping stone.
_SHORTEST = 0.3
#: Thickness of a slab, m: refused beyond. A raft under a tower has less.
_THICKEST = 5.0
#: A design so thick is refused where the shots show that another unit is meant, m.
_DOUBTFUL = 1.0
#: Base and top farther apart than this on the mean, m, are on two bench marks or in two units.
_APART = 5.0
#: A measure fits the design in another unit where it misses it by no more than this share.
_NEAR = 0.3
#: Digits of a number that nobody writes.
_SLIGHT = 1e-6
#: A mean thickness this many times the design's, or this part of it, is a wrong unit or datum.
_FAR_OFF = 3.0


def refuse_sizes(job: Job, slab: Slab) -> None:
    """
    Refuse a slab too long, too short or too thick to be one, and a cloud's cell too large for it.

    Raises
    ------
    InputError
        With its size, and the units in which it would be a slab's.
    """
    told, sides = unit_of_edge(job), np.ptp(slab.edge, axis=0)
    length = float(np.hypot(*sides))
    if not _SHORTEST <= length <= _LONGEST:
        length_unit = job.units.length
        sides_told = sides / METRES[length_unit]
        found = [
            f"in {NAMES[unit]} it would be {_say_sides(sides_told * factor, length_unit)}"
            for unit, factor in _list_factors(told)
            if min(sides * factor) > _SHORTEST and 2 < length * factor < _LIKELY
        ]
        raise InputError(
            f"the slab spans {_say_sides(sides_told, length_unit)} "
            f"(east by north), with the numbers of its edge read in {NAMES[told]}"
            + (f"; {' and '.join(found)}" if found else ""),
            remedy="Check units and slab.edge",
            path=job.path,
        )
    if slab.thickness > _THICKEST:
        value = slab.thickness / METRES[job.unit]
        found = [f'"{value:g} {unit}"' for unit in _units_of_thickness(value)]
        raise InputError(
            f"slab.thickness is {job.units.say_level(slab.thickness)}, and no slab is as thick",
            remedy="Write it with its unit"
            + (f", such as {' or '.join(found)}" if found else "")
            + ", or check units",
            path=job.path,
        )
    refuse_coarse_cell(job, slab)


def _say_sides(sides: FloatArray, unit: str) -> str:
    east, north = (f"{side:,.0f}" if side >= 10 else f"{side:.3g}" for side in sides.tolist())
    return f"{east} by {north} {unit}"


def _units_of_thickness(value: float) -> Iterator[str]:
    """Units in which a number is a usual thickness."""
    for unit, metres in {**METRES, "cm": 0.01}.items():
        if unit != "us-ft" and USUAL[0] <= value * metres <= USUAL[1]:
            yield unit


def refuse_levels(job: Job, field: ThicknessField, slab: Slab, datum: float) -> None:
    """
    Refuse a base and a top that lie metres apart, and a thickness in another unit than the shots.

    Parameters
    ----------
    job : Job
    field : ThicknessField
    slab : Slab
    datum : float
        Elevation of the survey's origin, m.

    Raises
    ------
    InputError
        With the levels of both, and the slip under which they would fit.
    """
    thickness, base = _levels(field, datum)
    mean, design = float(np.median(thickness)), slab.thickness
    if _is_like(mean, design):
        return
    say = job.units.say_level
    slip, is_of_thickness = _name_slip(job, thickness, base, design)
    if is_of_thickness and design > _DOUBTFUL:
        raise InputError(
            f"slab.thickness is {say(design)}, but the shots lie about {say(mean)} below the top",
            remedy=slip,
            path=job.path,
        )
    if abs(mean) < _APART:
        return
    top = base + thickness
    raise InputError(
        f"the base stands about {say(abs(mean))} {'below' if mean > 0 else 'above'} the top of "
        f"slab, where {say(design)} of concrete is designed: the base lies at "
        f"{_say_span(base, job)}, the top at {_say_span(top, job)}",
        remedy=slip or _name_booking(job, base, design, float(np.median(top))),
        path=job.path,
    )


def _name_booking(job: Job, base: FloatArray, design: float, top: float) -> str:
    """What numbers near nought may be, where they can't be elevations beside the top's."""
    if _is_of_depths(job):
        return "Check the unit of the depths (base.units), and which column they stand in"
    middle, source = float(np.median(base)), job.base.source
    if isinstance(source, Rods) and isinstance(source.instrument, float):
        reading = source.instrument - middle
        if abs(reading - top) < _APART < source.instrument:
            return (
                "The sheet's numbers look like elevations, not like rod readings: give such a "
                "survey as base.shots, one point a row with its easting, northing and elevation"
            )
    if isinstance(job.base.source, Rods | Sheets) and abs(middle) < _APART:
        return (
            "The instrument height looks like that above the mark: base.instrument_height "
            "is the elevation of its line of sight, that of the mark and the backsight together"
        )
    if abs(middle - design) < _NEAR * design:
        return "The elevations look like depths below the top: give such a file as base.depths"
    if 0 < middle < _APART:
        return (
            "The elevations look like rod readings: mark their column R in base.columns, and give "
            "base.setups; or put shots and top on one bench mark"
        )
    return "Put shots and top on one bench mark, and check units"


def _say_span(level: FloatArray, job: Job) -> str:
    low, high = (job.units.say_level(float(value)) for value in (level.min(), level.max()))
    return low if low == high else f"{low} to {high}"


def remark_on_plausibility(
    job: Job, field: ThicknessField, slab: Slab, datum: float
) -> tuple[Note, ...]:
    """
    Remark on sizes that are unusual, and on levels that would fit in another unit.

    Parameters
    ----------
    job : Job
    field : ThicknessField
    slab : Slab
    datum : float
        Elevation of the survey's origin, m.

    Returns
    -------
    tuple of Note
        Codes ``unusual-size``, ``size-moves-order`` and ``elevations-in-another-unit``.
    """
    notes = list(list_unusual(slab, job))
    thickness, base = _levels(field, datum)
    if not _is_like(float(np.median(thickness)), slab.thickness):
        slip, _ = _name_slip(job, thickness, base, slab.thickness)
        if slip:
            notes.append(Note("elevations-in-another-unit", escape(slip) + "."))
    return tuple(notes)


def _levels(field: ThicknessField, datum: float) -> tuple[FloatArray, FloatArray]:
    """Thickness and elevation of the base in the middle of each piece of the slab, m."""
    part = slab_part(field)
    return part.mid_thickness, part.mid_base + datum


def _is_like(mean: float, design: float) -> bool:
    return design / _FAR_OFF < mean < _FAR_OFF * design


def _name_slip(
    job: Job, thickness: FloatArray, base: FloatArray, design: float
) -> tuple[str, bool]:
    """The unit under which levels would fit the design, in words, and whether it is the slab's."""
    for what, told, advice, change in _changes(job, thickness, base):
        for unit, factor in _list_factors(told):
            if _fits(change(factor), design):
                read = f"{what} were read in {NAMES[told]}; in {NAMES[unit]} they would fit the"
                return f"{read} design. Check {advice}", False
    if job.slab.has_own_unit:
        return "", False
    mean, value = float(np.median(thickness)), design / METRES[job.unit]
    for unit, factor in _list_factors(job.unit):
        # nobody writes 0.416667: a design that is no plain number in the job's unit had its own
        is_plain = abs(value - round(value, 2)) < _SLIGHT
        if is_plain and abs(design * factor - mean) < _NEAR * mean:
            return f'Are {NAMES[unit]} meant? Write thickness = "{value:g} {unit}"', True
    return "", False


def _changes(
    job: Job, thickness: FloatArray, base: FloatArray
) -> Iterator[tuple[str, str, str, Callable[[float], FloatArray]]]:
    """What may be in another unit, its unit, what to check, and the thickness by a factor."""
    told, of_top, top = job.base.source.unit, _unit_of_top(job), base + thickness
    advice = "units and base.units"
    if _is_of_depths(job):
        yield "The depths", told, advice, lambda factor: thickness * factor
        return
    if not isinstance(job.base.source, Rods | Sheets):  # whose heights are in the job
        yield "The elevations", told, advice, lambda factor: top - base * factor
    of = "The elevations of the top"
    yield of, of_top, "units and [top]", lambda factor: top * factor - base
    # a rod's readings stand near nought, far under any top: they are no slip of both
    is_low = np.median(base) > 0 or isinstance(job.base.source, Rods | Sheets)
    is_by_rod = is_low and np.median(base) < _APART <= np.median(thickness)
    if told == of_top and not is_by_rod:
        both = "The elevations of base and top"
        yield both, told, "units", lambda factor: thickness * factor


def _is_of_depths(job: Job) -> bool:
    source = job.base.source
    return isinstance(source.parts[0] if isinstance(source, Sheets) else source, Depths)


def _list_factors(told: str) -> list[tuple[str, float]]:
    """Other units as of `factors`, of the two feet one."""
    return [(unit, factor) for unit, factor in factors(told) if unit != "us-ft"]


def _fits(thickness: FloatArray, design: float) -> bool:
    mean = float(np.median(thickness))
    return abs(mean - design) < _NEAR * design and robust_spread(thickness - mean) < design


def _unit_of_top(job: Job) -> str:
    match job.top:
        case TopShots(shots):
            return shots.unit
        case TopFile(file):
            return file.unit
    return job.unit
