"""What a cloud's height is worth in concrete: as control moves it, or where nothing checked it."""

from dataclasses import dataclass

from gradevol.ground.units import METRES
from gradevol.measures.adjustments import measure_thickening
from gradevol.measures.field import ThicknessField
from gradevol.site.survey import Survey

#: What a scan may well be off by all over, m, as a tape shows it (common practice, no source).
EIGHTH, THREE_MM = METRES["in"] / 8, 0.003


@dataclass(frozen=True, slots=True)
class Height:
    """
    What a cloud's height is worth.

    Attributes
    ----------
    step : float
        What it may be off by all over where nothing checked it, m.
    unchecked : float or None
        Concrete that it is then wrong by, m³; None where control was shot.
    shifted : float or None
        By how much the concrete changes where control's shift is added to the cloud, m³; None
        without control.
    """

    step: float
    unchecked: float | None
    shifted: float | None


def measure_height(field: ThicknessField, survey: Survey, *, is_metric: bool) -> Height | None:
    """Measure what a cloud's height is worth; None of any other survey."""
    if survey.method != "point cloud":
        return None
    step, shift = THREE_MM if is_metric else EIGHTH, survey.shift
    if shift is None:
        return Height(step, measure_thickening(field, step), None)
    # a base that is raised by the shift leaves the slab thinner by it
    if shift.is_applied:
        return Height(step, None, -measure_thickening(field, shift.by))
    return Height(step, None, measure_thickening(field, -shift.by))
