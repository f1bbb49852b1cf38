"""The plan as a picture in the page: for readers without scripts, and for paper."""

from base64 import b64encode
from io import BytesIO
from pathlib import Path

#: Colours that are kept: more are only shades at the rims of letters and lines.
_COLOURS = 64
_ALT = (
    "Plan of the slab, north up, coloured by the thickness of its concrete; the places marked on "
    "it are told in the lists."
)


def compose_still(picture: Path | None) -> str:
    """Compose the picture's element, with the picture in it; empty where there is none."""
    if picture is None:
        return ""
    from PIL import Image  # noqa: PLC0415

    with Image.open(picture) as drawn:
        wide, high = drawn.size
        few = drawn.convert("RGB").quantize(_COLOURS, dither=Image.Dither.NONE)
    packed = BytesIO()
    few.save(packed, "png", compress_level=6)  # the highest takes eight times as long for 4 % less
    data = b64encode(packed.getvalue()).decode("ascii")
    return (
        f'<img id="still" width="{wide}" height="{high}" alt="{_ALT}" '
        f'src="data:image/png;base64,{data}">'
    )
