"""Sanity: what shots, taken together, say of bench marks, setups and units."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.doubts.beside import remark_on_beside
from gradevol.doubts.runs_of_shots import remark_on_runs
from gradevol.geometry.spread import robust_spread, spread_about_median
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import METRES, NAMES
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Top
from gradevol.site.trench import over_design

#: Groups of shots farther apart than this are on two bench marks, m, as by a foot misread; a trench
#: is not so deep, and a hole not so wide. Common practice, no source.
TWO_DATUMS = 0.22
#: A setup whose shots stand off the others' by more than this was set up wrongly, m: three times
#: what levelling of a site leaves. Common practice, no source.
SETUP_STEP = 0.03
#: It need stand off by no more than this, half as much as a rod misread by a tenth, where it does
#: so by that many standard deviations beside the bends of the base. Tried on invented bases.
_LEAST_STEP, _SURE = 0.015, 5.0
#: A base less uneven than this is left alone, however thin the slab, m. Common practice, no source.
LEAST_UNEVEN = 0.1
#: Fewer shots than this say nothing of a setup or a group.
LEAST_SHOTS = 3
#: One reading on this many shots is looked at, where it is at least this share of all and so many
#: times as common as the next: a base is not so flat. Common practice, no source.
ONE_READING, ONE_SHARE, ONE_TIMES = 12, 0.25, 5
#: Ids named in one sentence.
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Held:
    """A survey, and what it is held against; all about the survey's origin, m."""

    survey: Survey
    slab: Slab
    top: Top
    field: ThicknessField


def find_oddities(held: Held) -> tuple[Note, ...]:
    """
    Find what looks like a slip over many shots at once.

    Parameters
    ----------
    held : Held
        Of shots; a cloud's points are not looked at one by one.

    Returns
    -------
    tuple of Note
        Codes ``two-datums``, ``setup-step``, ``beside-slab-step``, ``run-step``,
        ``base-uneven``, ``base-above-forms``, ``inches-for-tenths``, ``one-reading``.
    """
    if not held.survey.ids:
        return tuple(_above_forms(held))
    over = over_design(held.survey.points, held.top.surface, held.slab)
    steps = (
        *_two_datums(held, over),
        *_setup_steps(held, over),
        *remark_on_beside(held.survey, held.slab, held.top.surface, over),
    )
    if not steps:  # else the same shots would be told twice
        steps = remark_on_runs(held.survey, held.slab, over)
    return (
        *steps,
        *_uneven(held, over),
        *_above_forms(held),
        *_inches(held),
        *_one_reading(held),
    )


def _two_datums(held: Held, over: FloatArray) -> Iterator[Note]:
    ordered = np.sort(over)
    gaps = np.diff(ordered)
    if len(gaps) == 0:
        return
    at = int(np.argmax(gaps)) + 1
    low, high = ordered[:at], ordered[at:]
    least = max(LEAST_SHOTS, len(over) // 20)
    within = max(spread_about_median(low), spread_about_median(high))
    if min(len(low), len(high)) < least or gaps[at - 1] < max(TWO_DATUMS, 6 * within):
        return
    few: IntArray = np.flatnonzero(over >= high[0] if len(high) <= len(low) else over < high[0])
    if _is_one_setup(held, few):  # `_setup_steps` tells it
        return
    way = "above" if len(high) <= len(low) else "below"
    yield Note(
        "two-datums",
        f"{len(few)} shots are {{}} {way} all others against the design: "
        f"{_name_datum(held, over, few)} They are {escape(_names(held, few))}.",
        (Measure(abs(float(np.median(high) - np.median(low))), Kind.LEVEL),),
        points=tuple(held.survey.name(index) for index in few),
    )


def _name_datum(held: Held, over: FloatArray, few: IntArray) -> str:
    """What would set a few shots off all others: no elevation, another unit, another bench mark."""
    survey = held.survey
    booked = survey.points[few, 2] + survey.foot_high + survey.origin[2]
    if (np.abs(booked) < 1e-6).all():
        return "their elevation is 0, as where none was booked. Take them out or complete them."
    others = np.delete(over, few)
    most = max(0.1, 3 * spread_about_median(others))
    for unit, metres in METRES.items():
        moved = over[few] + booked * (metres / METRES[survey.reading_unit] - 1)
        is_alike = abs(np.median(moved) - np.median(others)) < most
        if unit not in {survey.reading_unit, "us-ft"} and is_alike:
            return f"in {NAMES[unit]} they would fit. Two units in one file?"
    return "two bench marks, or two instrument heights, in one survey?"


def _is_one_setup(held: Held, few: IntArray) -> bool:
    """Whether some shots are all that one setup took, or all that it did not take."""
    setups = np.array(held.survey.setups)
    if len(setups) == 0 or len(set(held.survey.setups)) == 1:
        return False
    is_few = np.zeros(len(setups), bool)
    is_few[few] = True
    return any(
        (is_few == (setups == name)).all() or (is_few != (setups == name)).all()
        for name in set(held.survey.setups)
    )


def _names(held: Held, which: IntArray) -> str:
    names = [held.survey.name(index) for index in which[:_SHOWN]]
    return ", ".join(names) + (" and more" if len(which) > _SHOWN else "")


def _are_near(held: Held) -> BoolArray:
    """Which shots stand no farther off the slab than it is long: a stray one bends all planes."""
    plan = held.survey.points[:, :2]
    west, south, east, north = held.slab.outline.bounds
    reach = float(np.hypot(east - west, north - south))
    is_near = (plan >= [west - reach, south - reach]).all(axis=1)
    return np.asarray(is_near & (plan <= [east + reach, north + reach]).all(axis=1))


def _setup_steps(held: Held, over: FloatArray) -> Iterator[Note]:
    if not held.survey.setups:
        return
    is_near = _are_near(held)
    plan, over = held.survey.points[is_near, :2], over[is_near]
    setups = np.array(held.survey.setups)[is_near]
    known = sorted(set(setups.tolist()))
    # of two the one farther off the design is told first
    known.sort(key=lambda name: -abs(float(np.median(over[setups == name]))))
    for name in known:
        step = _find_step(plan, over, setups == name)
        if not step:
            continue
        yield Note(
            "setup-step",
            f"The shots of setup {escape(name)} are {{}} {'above' if step > 0 else 'below'} "
            "the others against the design: check its backsight and instrument height. If "
            "the base really steps there, that is fine.",
            (Measure(abs(step), Kind.LEVEL),),
        )
        if len(known) == 2:  # the other one's step is the same step
            break


def _find_step(plan: FloatArray, over: FloatArray, is_own: BoolArray) -> float:
    """How far some shots stand above the others, m; 0 where the base itself may be shaped so."""
    own, others = over[is_own], over[~is_own]
    if min(len(own), len(others)) < LEAST_SHOTS:
        return 0.0
    step = float(np.median(own) - np.median(others))
    if abs(step) >= max(SETUP_STEP, 3 * max(map(spread_about_median, (own, others)))):
        return step
    # else a step beside a tilt and a bend of the base, by least squares without what is far off
    east, north = (plan - plan.mean(axis=0)).T / np.ptp(plan, axis=0).max()
    bends = [np.ones(len(over)), east, north, east**2, east * north, north**2]
    shape = np.column_stack([is_own, *bends])
    free = len(over) - shape.shape[1]
    if free < shape.shape[1]:
        return 0.0
    kept = np.ones(len(over), bool)
    for _ in range(3):
        found, _, rank, _ = np.linalg.lstsq(shape[kept], over[kept], rcond=None)
        if rank < shape.shape[1]:
            return 0.0
        off = over - shape @ found
        spread = robust_spread(off)
        kept = np.abs(off) <= 4 * spread
    share = np.square(np.linalg.pinv(shape)[0]).sum() * len(over) / free
    is_sure = abs(found[0]) >= max(_LEAST_STEP, _SURE * spread * np.sqrt(share))
    return float(found[0]) if is_sure else 0.0


def _uneven(held: Held, over: FloatArray) -> Iterator[Note]:
    """A base that tilts against the design, or leaves it by more than the slab is thick."""
    is_near, limit = _are_near(held), max(held.slab.thickness, LEAST_UNEVEN)
    plan, over = held.survey.points[is_near, :2], over[is_near]
    if len(over) < 2 * LEAST_SHOTS:
        return
    design = np.column_stack([plan - plan.mean(axis=0), np.ones(len(plan))])
    slope = np.linalg.lstsq(design, over, rcond=None)[0]
    fall = float(np.hypot(*slope[:2]))
    drop = float(np.ptp(design @ slope))  # of a row of shots none across it
    if drop > limit and spread_about_median(over - design @ slope) < drop / 10:
        bearing = float(np.degrees(np.arctan2(-slope[0], -slope[1])) % 360)
        text = (
            f"Against the design the base falls by {100 * fall:.1f} % towards bearing "
            f"{bearing:.0f}: are the top's fall and bearing right, and northing and easting "
            "not swapped?"
        )
        yield Note("base-uneven", text)
        return
    spread = spread_about_median(over)
    if spread < limit:
        return
    yield Note(
        "base-uneven",
        "The base is off the drawing by {} up and down (one standard deviation), more than the "
        "slab is thick: no base is graded like that. Check the columns and units of the shots, "
        "and the top.",
        (Measure(spread, Kind.LEVEL),),
    )


def _above_forms(held: Held) -> Iterator[Note]:
    is_above = held.field.mid_thickness < 0
    share = float(held.field.area[is_above].sum() / held.field.area.sum())
    if share < 0.8:
        return
    why = (
        "are the depths booked with a minus sign, or read in another unit?"
        if held.survey.method == "string-line depths"
        else "are forms and base on one bench mark? Depths given as elevations, or rod readings "
        "booked as elevations, look like this too."
    )
    text = f"The base is above the top of slab over {100 * share:.0f} % of it: {why}"
    yield Note("base-above-forms", text)


def _inches(held: Held) -> Iterator[Note]:
    """Hundredths that never pass 11 over several whole feet: inches booked as decimals."""
    survey = held.survey
    if survey.reading_unit not in {"ft", "us-ft"} or len(survey.readings) < 12:
        return
    wholes, decimals = set(), set()
    for text in survey.readings:  # the first that is no such reading ends it, however many follow
        match = re.fullmatch(r"[+-]?(\d+)[.,](\d\d)", text.strip())
        if not match or int(match[2]) > 11:
            return
        wholes.add(match[1])
        decimals.add(match[2])
    if len(wholes) < 2 or len(decimals) < 5:  # a flat base just over a whole foot reads so, too
        return
    yield Note(
        "inches-for-tenths",
        "The decimals of the readings never pass .11: they read like feet and inches, not feet "
        "and tenths. Ask who booked them.",
    )


def _one_reading(held: Held) -> Iterator[Note]:
    """One reading on many shots, far more common than any other: copied down, or never taken."""
    common = Counter(map(str.strip, held.survey.readings)).most_common(2)
    if not common:
        return
    (reading, count), second = common[0], sum(times for _, times in common[1:])
    if count < max(ONE_READING, ONE_SHARE * len(held.survey.readings), ONE_TIMES * second):
        return
    yield Note(
        "one-reading",
        f"{count} of {len(held.survey.readings)} shots read exactly {escape(reading)}, and no "
        f"other reading comes up more than {second} times: copied down, or never taken?"
        if second
        else f"All {count} shots read exactly {escape(reading)}: copied down, or never taken?",
        points=tuple(
            held.survey.name(index)
            for index, text in enumerate(held.survey.readings)
            if text.strip() == reading
        ),
    )
