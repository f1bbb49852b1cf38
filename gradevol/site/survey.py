"""The survey: what was measured on the ground."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.lengths import name_form, tidy
from gradevol.ground.notes import Note

#: One standard deviation of one shot's elevation by method, m, where the job states none.
#: Common practice, no source: rod and level to 30 m 1.5 to 3 mm; a tape from a string 3 mm; a scan
#: 3 to 6 mm.
SHOT_SIGMA = {
    "shots": 0.002,
    "rod and level": 0.002,
    "string-line depths": 0.003,
    "point cloud": 0.004,
    "surface file": 0.004,  # says nothing of how it was measured: taken as a scan
}
#: Likewise of what the shots of one setup share: the instrument's height; how the strings stand on
#: the forms, their sag apart; a scan's registration.
DATUM_SIGMA = {
    "shots": 0.0009,
    "rod and level": 0.0009,
    "string-line depths": 0.0015,
    "point cloud": 0.004,
    "surface file": 0.004,
}
#: Likewise of what all shots share, whatever setup they are of: a rod's foot stands on the tops of
#: the stone, more or less, wherever the level stands.
FOOT_SIGMA = {"shots": 0.0012, "rod and level": 0.0012}

#: How lengths are written that hold inches (`lengths.name_form`), and readings that are looked at.
_IN_INCHES, _LOOKED_AT = {"fraction", "dashed", "two", "three", "feet", "in"}, 200

#: One standard deviation of a careful shot, m: rod and level over a short sight (common practice,
#: no source). A cloud's points are gathered until their means are as sure.
SURE_MEAN = 0.0015
#: Standard errors by which what is off is told from scatter.
SURE = 2.0


@dataclass(frozen=True, slots=True)
class Grain:
    """
    What the points of a cloud stand for.

    Attributes
    ----------
    cell : float
        Side of the squares that points were gathered in, m; 0: each stands for itself.
    scatter : float or None
        One standard deviation of a single point about the surface, m; None: too few to tell.
    sigma : float or None
        Standard error of what stands for a square, m: what the scatter leaves of it.
    held : float
        Points in a square, on the middle.
    has_others : bool
        Whether points of other classes than the base's were left out.
    """

    cell: float
    scatter: float | None
    sigma: float | None
    held: float
    has_others: bool = False


@dataclass(frozen=True, slots=True)
class Alone:
    """The control shot that leaves all others: its place, and what the shift gains without it."""

    name: str
    place: tuple[float, float]
    shift: float


@dataclass(frozen=True, slots=True)
class Shift:
    """
    How far control stands above a cloud, m, and whether that was added to the cloud.

    Attributes
    ----------
    alone : Alone or None
        One shot on which it hangs.
    """

    by: float
    is_applied: bool
    alone: Alone | None = None


@dataclass(frozen=True, slots=True, repr=False)
class Survey:
    """
    Measured points, about a local origin.

    Attributes
    ----------
    points : (n, 3) array of float
        Easting, northing, elevation less `origin`, m.
    origin : (3,) array of float
        What was taken off, m: whole metres, so that nothing is lost.
    ids : tuple of str
        Point ids as the file has them; empty for a cloud.
    codes : tuple of str
        Descriptions as the file has them; empty where it has none.
    setups : tuple of str
        The instrument setup each shot was taken from; empty where not known.
    readings : tuple of str
        Each elevation, rod reading or depth as it was written; empty for a cloud. Digits are
        looked at for slips.
    reading_unit : str
        Unit of `readings`.
    is_read_down : bool
        Whether a larger reading is a lower place, as on a rod or a tape hung from a string.
    depths : (n,) array of float or None
        Depths of the base below the top, m: thickness itself. The elevations of such a survey are
        0 until it is hung from the top (`measure_down.hang_depths`).
    sigma : float
        One standard deviation of one shot's elevation, m.
    datum_sigma : float
        One standard deviation of what the shots of a setup share, m.
    misclosures : mapping of str to float
        What the closing shot of a setup observed less what is known, m, by its name.
    foot_sigma : float
        Likewise of what all shots share, m: how the rod's foot stands on the base.
    foot_high : float
        How much the rod's foot stood above the mean of the base, m; `points` are lower than they
        were booked by this.
    stated : frozenset of str
        Which of the three sigmas and `foot_high` the job states; the others are defaults.
    method : str
        How it was measured, in words, for the head of a sheet.
    notes : tuple of Note
        What the reader noticed.
    read : int or None
        Points that were read, where `points` are fewer: bins, or what is left of a cloud; None
        where each is there.
    removed : (r, 2) array of float or None
        Places in plan where points of a cloud were taken away as not base, m about `origin`.
    grain : Grain or None
        What the points of a cloud stand for; None of any other survey.
    errors : (n,) array of float or None
        Standard error of each point of a cloud, m: what its own points' scatter leaves.
    about_marks : (k, 3) array of float or None
        Points of a cloud about marks, base or not, m about `origin`.
    shift : Shift or None
        What control says of a cloud's height; None where nothing checked it.
    """

    points: FloatArray
    origin: FloatArray
    ids: Sequence[str] = ()
    codes: Sequence[str] = ()
    setups: Sequence[str] = ()
    readings: Sequence[str] = ()
    reading_unit: str = "m"
    is_read_down: bool = False
    depths: FloatArray | None = None
    sigma: float = 0.0
    datum_sigma: float = 0.0
    misclosures: Mapping[str, float] = field(default_factory=dict)
    foot_sigma: float = 0.0
    foot_high: float = 0.0
    stated: frozenset[str] = frozenset()
    method: str = "shots"
    notes: tuple[Note, ...] = field(default=())
    read: int | None = None
    removed: FloatArray | None = None
    grain: Grain | None = None
    errors: FloatArray | None = None
    about_marks: FloatArray | None = None
    shift: Shift | None = None

    @property
    def is_in_inches(self) -> bool:
        """Whether most of its readings are written in inches, or in feet and inches."""
        looked_at = [name_form(tidy(text)) for text in self.readings[:_LOOKED_AT]]
        return 2 * sum(form in _IN_INCHES for form in looked_at) > len(looked_at)

    def __post_init__(self) -> None:
        if self.points.ndim != 2 or self.points.shape[1] != 3:
            raise ValueError(f"points must be (n, 3), not {self.points.shape}")
        if not np.isfinite(self.points).all():
            raise GeometryError("A shot has no number for easting, northing or elevation.")
        for name in ("ids", "codes", "setups", "readings"):
            held = getattr(self, name)
            if held and len(held) != len(self.points):
                raise ValueError(f"{len(held)} {name} for {len(self.points)} points")
        if self.depths is not None:
            if self.depths.shape != (len(self.points),):
                raise ValueError(f"{self.depths.shape} depths for {len(self.points)} points")
            self.depths.setflags(write=False)
        if self.errors is not None and self.errors.shape != (len(self.points),):
            raise ValueError(f"{self.errors.shape} errors for {len(self.points)} points")
        for held in (self.removed, self.about_marks, self.errors):
            if held is not None:
                held.setflags(write=False)
        self.points.setflags(write=False)
        self.origin.setflags(write=False)

    @classmethod
    def about_local_origin(cls, points: FloatArray, **rest: object) -> "Survey":
        """Survey of points (n, 3), m, about their lowest south-west corner in whole metres."""
        if len(points) == 0:
            raise GeometryError("There are no points: check that this is the right file.")
        origin = np.floor(points.min(axis=0))
        return cls(points - origin, origin, **rest)  # type: ignore[arg-type]

    def about(self, origin: FloatArray) -> "Survey":
        """Return the same survey about another origin."""
        if np.array_equal(origin, self.origin):
            return self
        shift = self.origin - origin
        removed = None if self.removed is None else self.removed + shift[:2]
        about_marks = None if self.about_marks is None else self.about_marks + shift
        return replace(
            self,
            points=self.points + shift,
            origin=origin.copy(),
            removed=removed,
            about_marks=about_marks,
        )

    @property
    def count(self) -> int:
        """Points that were read, whether or not each is among `points`."""
        return len(self.points) if self.read is None else self.read

    @property
    def spread(self) -> float:
        """One standard deviation of one shot's elevation with all that it shares, m."""
        return float(np.linalg.norm([self.sigma, self.datum_sigma, self.foot_sigma]))

    def doubt_by_place(self) -> Callable[[FloatArray], FloatArray]:
        """
        Tell what a cloud may stand off by its own scatter; nothing of single shots.

        Returns
        -------
        callable
            From places, (n, 2), to (n,), m: each is as unsure as the point nearest to it, and no
            less than most are. The points are put in order once, when it is first asked.
        """
        usual = SURE * (self.grain.sigma or 0.0) if self.grain is not None else 0.0
        errors = self.errors
        if errors is None or SURE * errors.max(initial=0.0) <= usual:
            return lambda plan: np.full(len(plan), usual)

        @cache
        def order() -> Any:
            from scipy.spatial import cKDTree  # noqa: PLC0415

            return cKDTree(self.points[:, :2], balanced_tree=False)

        return lambda plan: np.maximum(usual, SURE * errors[order().query(plan)[1]])

    def booked(self, index: int) -> float:
        """Elevation of a shot as it was booked, m."""
        return float(self.points[index, 2] + self.foot_high + self.origin[2])

    def __repr__(self) -> str:
        return f"<Survey of {len(self.points):,} points, {self.method}>"

    def name(self, index: int) -> str:
        """What to call a point in a sentence: its id, or its place in the file."""
        return self.ids[index] if self.ids else f"no. {index + 1}"
