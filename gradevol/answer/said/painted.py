"""Painted: what a mark says of the base, as it stands beside a shot: ``C.10``, ``F.08``, ``G``."""

from gradevol.answer.result import Result
from gradevol.ground.units import METRES, Units

#: Where the job states no tolerance, a base this near to the design is on grade, m: a hundredth of
#: a foot, or 3 mm. Common practice, no source.
ON_GRADE = {False: 0.01 * METRES["ft"], True: 0.003}
#: Rounding is not off grade, m.
_ROUNDING = 1e-6


def tolerances(result: Result) -> tuple[float, float]:
    """How far above and below the design the base is on grade, m."""
    usual = ON_GRADE[result.units.is_metric]
    high, low = result.slab.base_high, result.slab.base_low
    return (usual if high is None else high), (usual if low is None else low)


def say_mark(departure: float, result: Result, *, is_suspect: bool = False) -> str:
    """
    Say a mark: ``C.10`` (cut), ``F.08`` (fill), ``G`` (on grade); with ``?`` at a suspect shot.

    Parameters
    ----------
    departure : float
        Base less design base, m.
    result : Result
        Its tolerances and units: hundredths of a foot, or millimetres.
    is_suspect : bool
    """
    high, low = tolerances(result)
    doubt = "?" if is_suspect else ""
    is_stated = (result.slab.base_high if departure > 0 else result.slab.base_low) is not None
    # a usual tolerance holds for what is said: no F.01 where G is up to .01
    off = departure if is_stated else _round_as_said(departure, result.units)
    if -low - _ROUNDING <= off <= high + _ROUNDING:
        return f"G{doubt}"
    return f"{'C' if departure > 0 else 'F'}{say_move(departure, result.units)}{doubt}"


def _round_as_said(metres: float, units: Units) -> float:
    unit = 1e-3 if units.is_metric else 0.01 * METRES[units.length]
    return round(metres / unit) * unit


def say_move(metres: float, units: Units) -> str:
    """How much to move the base, as marks have it: ``.10`` ft or ``25`` mm, no sign, no unit."""
    if units.is_metric:
        return f"{abs(metres) * 1000:.0f}"
    return f"{abs(units.to_length(metres)):.2f}".removeprefix("0")


def say_sense(result: Result) -> tuple[str, str]:
    """Say what the marks mean: in a sentence for each letter, then by an example."""
    units, slab = result.units, result.slab
    high, low = (say_move(tolerance, units) for tolerance in tolerances(result))
    unit = "mm" if units.is_metric else "ft"
    within = f"{high} {unit} high or low"
    if high != low:
        within = f"{high} {unit} high, {low} {unit} low"
    is_stated = slab.base_high is not None or slab.base_low is not None
    usual = "" if is_stated else " (the job states no tolerance)"
    example = "C25 = 25 mm" if units.is_metric else "C.10 = 0.10 ft (tenths and hundredths)"
    return (
        "C = base high, take down. F = base low, fill or pour. G = on grade.",
        f"{example}. G: no more than {within}{usual}.",
    )
