"""Hours and tons, rounded: both are estimates."""

from gradevol.ground.units import Units
from gradevol.job.terms import SHORT_TON, TONNE

_HOURS, _TONS = 1, 2


def round_hours(hours: float) -> float:
    """Round hours of a crew."""
    return round(hours, _HOURS)


def round_tons(weight: float, units: Units) -> float:
    """Put a weight, kg, into tons of 2,000 lb where lengths are feet, else into tonnes."""
    return round(weight / (TONNE if units.is_metric else SHORT_TON), _TONS)
