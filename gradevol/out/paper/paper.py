"""Paper: what a sheet is printed on, and the PDF of it, in black and greys."""

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gradevol.ground.units import METRES, Units
from gradevol.out.pictures.sheet import Sheet

#: Short and long side, in: ANSI/ASME Y14.1 sizes A and B, and ISO 216.
PAPERS = {
    "letter": (8.5, 11.0),
    "tabloid": (11.0, 17.0),
    "a4": (0.210 / METRES["in"], 0.297 / METRES["in"]),
    "a3": (0.297 / METRES["in"], 0.420 / METRES["in"]),
}
#: What printers leave white, and a thumb takes, in: common practice, no source.
MARGIN = 0.4
#: Luminance of red, green and blue: ITU-R BT.709-6 (2015), item 3.2 (from memory).
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
#: Darker greys are printed black: a copier thins them out.
_BLACK = 0.4


class Frame(NamedTuple):
    """A rectangle on paper, in: its left, bottom, width and height."""

    left: float
    bottom: float
    wide: float
    high: float

    @property
    def top(self) -> float:
        """Its upper border, in."""
        return self.bottom + self.high


def list_papers(units: Units) -> tuple[str, str]:
    """Names of the papers that are at hand, the smaller first: A4 and A3 where metric."""
    return ("a4", "a3") if units.is_metric else ("letter", "tabloid")


def write_pdf(sheet: Sheet, path: Path, *, title: str, more: Sequence[Sheet] = ()) -> None:
    """
    Write sheets as PDF, a page each: lines and letters, no image, no colour.

    Parameters
    ----------
    sheet : Sheet
        Its colours taken out.
    path : Path
    title : str
        What a viewer calls it.
    more : sequence of Sheet
        Pages after the first.

    Notes
    -----
    No date and no version is written, so that equal sheets are equal files. Fonts are embedded as
    outlines with their letters known, so that the text can be searched and copied.
    """
    from matplotlib import rc_context  # noqa: PLC0415
    from matplotlib.backends.backend_pdf import PdfPages  # noqa: PLC0415

    named = {"Title": title, "Creator": None, "Producer": None, "CreationDate": None}
    with warnings.catch_warnings(), rc_context({"pdf.fonttype": 42}), _without_shaping():
        # a title may hold a letter that the font lacks; a box in its place is fair
        warnings.filterwarnings("ignore", message="Glyph .* missing", category=UserWarning)
        with PdfPages(path, metadata=named) as pages:
            for each in (sheet, *more):
                pages.savefig(each.figure)


@contextmanager
def _without_shaping() -> Iterator[None]:
    """
    Embed fonts without reading the tables by which letters are chosen and kerned.

    Letters are set already, and nothing of those tables is left in the file: reading them and
    leaving out what is not used took two thirds of the embedding.
    """
    from fontTools import subset  # noqa: PLC0415

    usual = subset.Options

    def choose(**given: Any) -> Any:
        options = usual(**given)
        options.drop_tables += ["GDEF", "GPOS", "GSUB"]
        return options

    subset.Options = choose
    try:
        yield
    finally:
        subset.Options = usual


def take_colour_out(sheet: Sheet) -> None:
    """Turn every colour into its grey, whichever module chose it."""
    axes = sheet.axes
    for drawn in (*axes.collections, *axes.patches):
        drawn.set_facecolor(_grey(drawn.get_facecolor()))
        drawn.set_edgecolor(_grey(drawn.get_edgecolor()))
    for line in axes.lines:
        line.set_color(_grey(line.get_color()))
        line.set_markerfacecolor(_grey(line.get_markerfacecolor()))
        line.set_markeredgecolor(_grey(line.get_markeredgecolor()))
    for text in axes.texts:
        text.set_color(_grey(text.get_color()))


def _grey(colour: Any) -> Any:
    from matplotlib.colors import to_rgba_array  # noqa: PLC0415

    given = to_rgba_array(colour)
    if len(given) == 0:
        return "none"
    tone = given[:, :3] @ _LUMINANCE
    tone = np.where(tone < _BLACK, 0.0, tone)
    # rounded, so that the three are alike to the last digit and the file says grey, not colour
    toned = np.column_stack([np.round(tone, 3)] * 3 + [given[:, 3]])
    return toned if len(toned) != 1 else tuple(toned[0].tolist())
