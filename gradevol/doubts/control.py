"""Control: shots that a cloud is compared with, and what the cloud's elevations share in error."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from gradevol.doubts.control_apart import find_alone, note_doubtful
from gradevol.doubts.control_levels import (
    FEWEST,
    FEWEST_ON_TOP,
    RADII,
    SIDES,
    TOP_RADII,
    find_level,
    find_top,
    thicken_layer,
)
from gradevol.doubts.control_spread import measure_spread, note_spread
from gradevol.doubts.misplaced.causes import factors
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import NAMES
from gradevol.ground.words import count_of
from gradevol.site.survey import Shift, Survey

#: Farther off the others than this, m, a top is another thing: a stake beside the form, the ground
#: at its foot.
_ANOTHER = 0.05
#: A slip that would bring so many of the control shots to the cloud is named.
_MOSTLY = 0.5
#: A cloud farther off control than the first, m, that another unit of elevations alone would bring
#: as near as the second was written in that. Ours, no source.
_FAR, _MEETS = 1.0, 0.3


@dataclass(frozen=True, slots=True)
class Tie:
    """
    Control shots against a cloud.

    Attributes
    ----------
    difference : (n,) array of float
        Control less cloud, m; not-a-number where the cloud has no points about the shot.
    shift : float
        Mean of them, m: what would be added to the cloud.
    spread : float or None
        Their standard deviation about the mean, m; None of a single one.
    """

    difference: FloatArray
    shift: float
    spread: float | None

    @property
    def is_on(self) -> BoolArray:
        """Whether each shot stands on the cloud."""
        return np.isfinite(self.difference)

    @property
    def shift_sigma(self) -> float | None:
        """Standard error of the shift, m."""
        if self.spread is None:
            return None
        return float(self.spread / np.sqrt(self.is_on.sum()))


def compare_control(cloud: FloatArray, shots: FloatArray, *, cell: float = 0.0) -> Tie:
    """
    Compare a cloud with control shots.

    Parameters
    ----------
    cloud : (p, 3) array of float
        Points of the cloud, m.
    shots : (n, 3) array of float
        Control shots about the same origin, m.
    cell : float
        Side of the squares that each of its points stands for, m; 0: for itself.

    Raises
    ------
    InputError
        If no shot stands on the cloud.
    """
    difference = np.full(len(shots), np.nan)
    radii = (*RADII, max(RADII[-1], SIDES * cell))
    for index, shot in enumerate(shots):
        level = find_level(cloud, shot[:2], radii)
        if level is not None:
            difference[index] = shot[2] - level
    remedy = f"Shoot control where the scan has {FEWEST} points or more within {{}} all round"
    return _tie(difference, remedy, radii[-1])


def compare_tops(points: FloatArray, shots: FloatArray, *, scatter: float) -> Tie:
    """
    Compare control shots on tops with the highest that a cloud shows about each.

    Parameters
    ----------
    points : (p, 3) array of float
        Points of the cloud about the shots, base or not, m.
    shots : (n, 3) array of float
        Control shots about the same origin, m.
    scatter : float
        One standard deviation of a point, m.

    Raises
    ------
    InputError
        If the cloud shows no top.
    """
    layer = thicken_layer(scatter)
    difference = np.full(len(shots), np.nan)
    for index, shot in enumerate(shots):
        away = np.hypot(*(points[:, :2] - shot[:2]).T)
        for radius in TOP_RADII:
            top = find_top(points[away <= radius, 2], layer)
            if top is not None:
                difference[index] = shot[2] - top
                break
    if np.isfinite(difference).sum() >= FEWEST_ON_TOP:
        off = np.abs(difference - np.nanmedian(difference))
        difference[off > _ANOTHER] = np.nan
    remedy = (
        f"Shoot marks whose tops the scan shows by {FEWEST_ON_TOP} points or more within {{}}; "
        "where the shots stand on the base, leave base.control.on out"
    )
    return _tie(difference, remedy, TOP_RADII[-1])


def _tie(difference: FloatArray, remedy: str, radius: float) -> Tie:
    found = difference[np.isfinite(difference)]
    if len(found) == 0:
        raise InputError(
            f"none of the {len(difference)} shots of base.control stands on the cloud",
            remedy=f"{remedy}, and check that both are in one coordinate system and unit",
        ).measuring(Measure(radius, Kind.TAPE))
    spread = float(found.std(ddof=1)) if len(found) > 1 else None
    return Tie(difference, float(found.mean()), spread)


def tie_cloud(survey: Survey, control: Survey, *, apply: bool, keep_sigma: bool) -> Survey:
    """
    Hang a cloud on control, or say how far off it stands.

    Parameters
    ----------
    survey : Survey
        The cloud, with the accuracy of its method.
    control : Survey
        The shots, about the same origin.
    apply : bool
        Whether to add the shift to the cloud.
    keep_sigma : bool
        Whether the job states what the cloud's points share.

    Returns
    -------
    Survey
        Its `datum_sigma` is, unless it is kept: the standard error of the shift and the spread
        about it, together; and the shift itself where it is not applied, since all of the cloud
        may be off by it. `shift` is what was found. Notes `control-doubtful`, `control-shift`,
        `control-residuals`, `control-off-cloud`.

    Raises
    ------
    InputError
        If no shot stands on the cloud.
    """
    _refuse_slip(survey, control)
    if survey.about_marks is None:
        cell = survey.grain.cell if survey.grain else 0.0
        tie = compare_control(survey.points, control.points, cell=cell)
    else:
        scatter = survey.grain.scatter if survey.grain else None
        tie = compare_tops(survey.about_marks, control.points, scatter=scatter or 0.0)
    _refuse_height_unit(control, tie)
    spread = measure_spread(control.points[tie.is_on, :2], survey.points[:, :2])
    datum, stated = survey.datum_sigma, survey.stated
    if not keep_sigma:
        # one shot tells of no spread: what is usual of a scan stands in for it
        parts = [survey.datum_sigma] if tie.spread is None else [tie.spread, tie.shift_sigma or 0.0]
        parts.append(0.0 if tie.spread is None else spread.unseen * survey.datum_sigma)
        datum = float(np.linalg.norm([*parts, 0.0 if apply else tie.shift]))
        stated |= {"datum_sigma"}  # by the job's control
    is_on_tops = survey.about_marks is not None
    told = _describe(tie, control, apply=apply, datum=datum, is_on_tops=is_on_tops)
    doubts = (
        *note_doubtful(tie.difference, control),
        *(note_spread(spread, datum) if tie.spread is not None else ()),
    )
    notes = (*doubts, *survey.notes, *told)
    points = survey.points + np.array([0.0, 0.0, tie.shift]) if apply else survey.points
    return replace(
        survey,
        points=points,
        datum_sigma=datum,
        stated=stated,
        notes=notes,
        shift=Shift(tie.shift, apply, find_alone(tie.difference, control)),
    )


def _refuse_slip(survey: Survey, control: Survey) -> None:
    """Refuse control off the cloud that would lie on it with its columns swapped, or its unit."""
    low, high = survey.points[:, :2].min(axis=0), survey.points[:, :2].max(axis=0)
    plan, origin = control.points[:, :2] + survey.origin[:2], survey.origin[:2]

    def count(places: FloatArray) -> float:
        return float(((places - origin > low) & (places - origin < high)).all(axis=1).mean())

    if count(plan) > 0:
        return
    remedy = "Their northing and easting look swapped: check base.control.columns"
    if count(plan[:, ::-1]) < _MOSTLY:
        fits = [unit for unit, by in factors(control.reading_unit) if count(plan * by) >= _MOSTLY]
        if not fits:
            return
        remedy = f"They would lie on it in {NAMES[fits[0]]}: check base.control.units"
    raise InputError("the shots of base.control do not lie on the cloud", remedy=remedy)


def _refuse_height_unit(control: Survey, tie: Tie) -> None:
    """Refuse a cloud whose elevations alone are in another unit than its plan."""
    level = (control.points[:, 2] + control.origin[2])[tie.is_on]
    cloud = level - tie.difference[tie.is_on]
    if abs(tie.shift) <= _FAR:
        return
    for unit, by in factors(control.reading_unit):
        if abs(float(np.median(cloud * by - level))) < _MEETS:
            raise InputError(
                f"the cloud would meet base.control if its elevations, not its plan, were in "
                f"{NAMES[unit]}: it stands {{}} off",
                remedy="Export it with plan and elevations in one unit",
            ).measuring(Measure(abs(tie.shift), Kind.LEVEL))


def _describe(
    tie: Tie, control: Survey, *, apply: bool, datum: float, is_on_tops: bool
) -> Iterator[Note]:
    on = np.flatnonzero(tie.is_on).tolist()
    names = tuple(map(control.name, on))
    places = tuple((east, north) for east, north in control.points[on, :2].tolist())
    error = (
        "one shot can't show its own error"
        if tie.shift_sigma is None
        else f"average of {len(on)} shots, sure to {{}}"
    )
    done = (
        "It was added to the cloud."
        if apply
        else "It was not applied: base.control.apply = true adds it to the cloud."
    )
    sure = [*([] if tie.shift_sigma is None else [tie.shift_sigma]), datum]
    yield Note(
        "control-shift",
        f"Control is {{}} off the cloud ({error}; positive: control is higher). {done} The "
        "height of the whole cloud is taken as sure to {}, one standard deviation.",
        (Measure(tie.shift, Kind.LEVEL), *(Measure(value, Kind.SOME_LEVEL) for value in sure)),
        points=names,
        places=places,
    )
    if tie.spread is not None:
        left, spread = tie.difference[on] - tie.shift, Measure(tie.spread, Kind.SOME_LEVEL)
        said = ", ".join(f"{escape(name)} {{}}" for name in names)
        yield Note(
            "control-residuals",
            f"Control less cloud, that average taken off: {said}; standard deviation {{}}.",
            (*(Measure(float(value), Kind.LEVEL) for value in left), spread),
            points=names,
            places=places,
        )
    off = np.flatnonzero(~tie.is_on).tolist()
    if len(off):
        yield Note(
            "control-off-cloud",
            f"{count_of(len(off), 'control shot')} could not be compared: the cloud has too "
            f"few points about {'them' if len(off) > 1 else 'it'}"
            f"{', or shows another thing' if is_on_tops else ''}.",
            points=tuple(control.name(index) for index in off),
            places=tuple((float(e), float(n)) for e, n in control.points[off, :2]),
        )
