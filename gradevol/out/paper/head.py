"""The head of a page that has no box beside its title: what it is, the title, and a rule."""

import numpy as np

from gradevol.out.paper.paper import MARGIN
from gradevol.out.paper.type import SIZE, Typesetter, split

#: Size of the title, points.
_TITLE = 13.0
#: Height of the head, in.
HEAD = 0.52


def draw_head(type_: Typesetter, kind: str, title: str, *, rule: float = 0.41) -> None:
    """
    Draw the head of a page.

    Parameters
    ----------
    type_ : Typesetter
        Of the sheet.
    kind : str
        What the page is.
    title : str
        Of the job; cut where it is longer than a line.
    rule : float
        How far below the margin the rule lies, in.
    """
    sheet = type_.sheet
    top, right = sheet.height - MARGIN, sheet.width - MARGIN
    sheet.write(MARGIN, top - 0.07, kind, size=SIZE)
    line = type_.wrap(split(title, bold=True), right - MARGIN, size=_TITLE, most=1)[0]
    type_.write(MARGIN, top - 0.27, line, size=_TITLE)
    line_below = np.array([(MARGIN, top - rule), (right, top - rule)])
    sheet.lines([line_below], width=1.4, colour="black", layer=1)
