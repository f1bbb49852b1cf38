"""Colours of cut and fill: warm where the base is high, cool where it is low."""

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.colours import shade

#: On grade; and the far end of cut, sRGB: own choice. That of fill is the dark end of the scale
#: of thickness. Cut is hatched as well, so that a grey copy tells the two apart.
_ON_GRADE = np.array([0.957, 0.949, 0.925])
_CUT = np.array([0.745, 0.400, 0.180])
_FILL = shade(np.array([0.96]))[0]
#: The first step from grade is this far along already, so that it can be seen.
_FIRST = 0.16


def blend(steps: FloatArray) -> FloatArray:
    """Colours (n, 3) of bands so many steps from grade: below 0 cut, above it fill."""
    furthest = max(1, int(np.abs(steps).max()))
    share = _FIRST + (1 - _FIRST) * (np.abs(steps) - 1) / max(1, furthest - 1)
    share = np.where(steps == 0, 0.0, np.minimum(share, 1.0))[:, None]
    end = np.where((steps < 0)[:, None], _CUT, _FILL)
    return np.asarray(_ON_GRADE + share * (end - _ON_GRADE))


def hex_colours(colours: FloatArray) -> list[str]:
    """Colours (n, 3), sRGB, 0 to 1, as a page writes them."""
    numbers = np.rint(np.clip(colours, 0, 1) * 255).astype(int).tolist()
    return [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in numbers]
