"""One scale of colours for thickness, made for colour-blind eyes and grey print.

The design thickness has its middle, on every slab. Thin concrete is pale, so that a black hatch
stands out on it; thick concrete is dark. Lightness falls evenly from one end to the other, which is
what a grey copy keeps; the hue turns from straw to slate, away from the red and green that many
can't tell apart. `tests/unit/test_colours.py` checks both.
"""

import numpy as np

from gradevol.answer.drawing.bands import EACH_WAY, Bands
from gradevol.ground.arrays import FloatArray

#: Lines, text.
INK = "#1c1f24"
#: Lesser text and lines.
SOFT_INK = "#5a616b"
PAPER = "#ffffff"
#: Outline of what is too thin.
ALERT = "#b4330a"

#: Where the scale passes, CIELAB L*, a*, b* (D65): straw, sand, moss, teal, slate. Own choice.
_PASSES = np.array(
    [
        (95.4, -2.0, 17.0),
        (82.55, 3.0, 27.0),
        (69.7, -6.0, 15.0),
        (56.85, -10.0, -6.0),
        (44.0, -2.0, -24.0),
    ]
)
#: White of D65 and sRGB from XYZ: IEC 61966-2-1:1999 (from memory; the test goes back
#: by the inverse matrix, typed on its own).
_WHITE = np.array([0.95047, 1.0, 1.08883])
_RGB_FROM_XYZ = np.array(
    [
        (3.2406, -1.5372, -0.4986),
        (-0.9689, 1.8758, 0.0415),
        (0.0557, -0.2040, 1.0570),
    ]
)


def shade(share: FloatArray) -> FloatArray:
    """
    Colour of a place on the scale.

    Parameters
    ----------
    share : (n,) array of float
        0 at the thin end to 1 at the thick end.

    Returns
    -------
    (n, 3) array of float
        Red, green, blue, sRGB, 0 to 1.
    """
    stations = np.linspace(0, 1, len(_PASSES))
    lab = np.column_stack([np.interp(share, stations, column) for column in _PASSES.T])
    middle = (lab[:, 0] + 16) / 116
    reduced = np.column_stack([middle + lab[:, 1] / 500, middle, middle - lab[:, 2] / 200])
    xyz = _WHITE * np.where(reduced > 6 / 29, reduced**3, 3 * (6 / 29) ** 2 * (reduced - 4 / 29))
    linear = np.clip(xyz @ _RGB_FROM_XYZ.T, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def shades(steps: FloatArray) -> FloatArray:
    """Colours (n, 3) of bands so many steps from the design's, sRGB, 0 to 1: 0 is one on all."""
    return shade((np.asarray(steps) + EACH_WAY) / (2 * EACH_WAY))


def paint(bands: Bands, thickness: FloatArray) -> FloatArray:
    """Colours of thicknesses, (..., 4), 0 to 1; see-through where not a number."""
    number = np.searchsorted(bands.levels[1:-1], thickness, side="right")
    opaque = np.isfinite(thickness).astype(float)
    colours = shades(bands.steps)
    return np.concatenate([colours[number], opaque[..., None]], axis=-1)
