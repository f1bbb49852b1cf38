"""Words at the head and the foot of a sheet."""

from gradevol.answer.cautions import CAUTIONS
from gradevol.out.pictures.colours import SOFT_INK
from gradevol.out.pictures.layout import MARGIN
from gradevol.out.pictures.sheet import Sheet


def draw_head(sheet: Sheet, title: str, facts: str) -> None:
    """Write the title, and below it a sentence or two, on two lines at most."""
    wide = sheet.width - 2 * MARGIN
    shown, size = fit(sheet, title or "Base check", wide, 14.0)
    top = sheet.height - 0.28
    sheet.write(MARGIN, top, shown, size=size, bold=True)
    for number, line in enumerate(sheet.wrap(facts, wide, 8.5)[:2]):
        sheet.write(MARGIN, top - 0.24 - 0.15 * number, line, size=8.5, colour=SOFT_INK)


def draw_foot(sheet: Sheet) -> None:
    """Write the cautions that go with every answer."""
    lines = sheet.wrap(" ".join(CAUTIONS[:2]), sheet.width - 2 * MARGIN, 8)
    for number, line in enumerate(reversed(lines)):
        sheet.write(MARGIN, 0.14 + 0.14 * number, line, size=8, colour=SOFT_INK)


def fit(sheet: Sheet, text: str, wide: float, size: float) -> tuple[str, float]:
    """Text on one line, made smaller and then shorter until it fits; and its size, points."""
    text = " ".join(text.split())
    while size > 10 and sheet.measure(text, size, bold=True)[0] > wide:
        size -= 0.5
    if sheet.measure(text, size, bold=True)[0] > wide:
        while text and sheet.measure(text + "…", size, bold=True)[0] > wide:
            text = text[:-1]
        text = text.rstrip() + "…"
    return text, size
