"""How wide a line of text is on paper."""

import warnings
from functools import lru_cache
from typing import Any

#: Dots of ink an inch: ten inches are 1600.
DPI = 160


@lru_cache(maxsize=50_000)  # a search for room asks for the same words again, on every sheet
def measure_width(text: str, size: float, is_bold: bool) -> float:
    """Width of a line of text, in, which is the same on every sheet."""
    from matplotlib.backends.backend_agg import RendererAgg  # noqa: PLC0415
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415

    style = FontProperties(family="DejaVu Sans", size=size, weight="bold" if is_bold else "normal")
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing", category=UserWarning)
        pen: Any = RendererAgg(1, 1, DPI)  # type: ignore[no-untyped-call]
        wide, _, _ = pen.get_text_width_height_descent(text, style, False)
    return float(wide) / DPI
