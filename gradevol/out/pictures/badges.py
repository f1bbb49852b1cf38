"""Numbers of the fix list, in circles."""

import numpy as np

from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import PLACES


def draw_number(sheet: Sheet, x: float, y: float, number: int) -> None:
    """Draw the number of a line of the fix list, in a circle, in."""
    PLACES["work"].draw(sheet, np.array([(x, y)]))
    size = 8.4 if number < 10 else 7.2
    sheet.write(x, y, str(number), size=size, bold=True, across="center", layer=7.6)
