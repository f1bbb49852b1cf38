"""Colours of cut and fill: warm where the base is high, cool where it is low."""

from typing import Any

import numpy as np

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES, eighths
from gradevol.out.pictures.bands import Bands
from gradevol.out.pictures.colours import shade

#: On grade; and the far end of cut, sRGB: own choice. That of fill is the dark end of the scale
#: of thickness. Cut is hatched as well, so that a grey copy tells the two apart.
_ON_GRADE = np.array([0.957, 0.949, 0.925])
_CUT = np.array([0.745, 0.400, 0.180])
_FILL = shade(np.array([0.96]))[0]
#: The first step from grade is this far along already, so that it can be seen.
_FIRST = 0.16


def choose_moves(bands: Bands, result: Result) -> dict[str, Any]:
    """
    Choose bands of cut and fill, as wide as those of thickness and about the design.

    Parameters
    ----------
    bands : Bands
    result : Result

    Returns
    -------
    dict
        ``levels`` of thickness less design, m; `colours` between them; `labels` of the levels.
    """
    step = float(bands.levels[1] - bands.levels[0])
    off = bands.levels - result.slab.thickness
    lowest = int(np.floor(off[0] / step + 1e-6))
    highest = int(np.ceil(off[-1] / step - 1e-6))
    # half a step about the design is on grade
    limits = (np.arange(min(lowest, -1), max(highest, 1) + 2) - 0.5) * step
    number = np.arange(min(lowest, -1), max(highest, 1) + 1, dtype=float)
    return {
        "levels": limits.tolist(),
        "colours": hex_colours(_blend(number)),
        "labels": [_say(steps * step, result) for steps in number.tolist()],
    }


def _blend(number: FloatArray) -> FloatArray:
    furthest = max(1, int(np.abs(number).max()))
    share = _FIRST + (1 - _FIRST) * (np.abs(number) - 1) / max(1, furthest - 1)
    share = np.where(number == 0, 0.0, np.minimum(share, 1.0))[:, None]
    end = np.where((number < 0)[:, None], _CUT, _FILL)
    return np.asarray(_ON_GRADE + share * (end - _ON_GRADE))


def _say(metres: float, result: Result) -> str:
    if result.units.is_metric:
        return f"{abs(metres) * 1000:.0f}"
    return eighths(abs(metres) / METRES["in"])


def hex_colours(colours: FloatArray) -> list[str]:
    """Colours (n, 3), sRGB, 0 to 1, as a page writes them."""
    numbers = np.rint(np.clip(colours, 0, 1) * 255).astype(int).tolist()
    return [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in numbers]
