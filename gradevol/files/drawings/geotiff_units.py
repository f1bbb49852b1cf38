"""Units that a GeoTIFF declares, held against the job's.

References
----------
OGC GeoTIFF 1.1 (19-008r4): keys 3076 and 4099 are units; since 1.1 a file may leave them out where
keys 3072 and 4096 name a system of the EPSG dataset, which has its own. Units and scales of a band
are in GDAL's tag 42112, as the pages of its GeoTIFF driver say.
"""

import re
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from gradevol.files.drawings.units import Declared
from gradevol.files.las_units import find_units
from gradevol.ground.errors import InputError
from gradevol.ground.units import SPELLINGS

if TYPE_CHECKING:
    from tifffile import TiffPage

_DIRECTORY, _DOUBLES, _METADATA = 34735, 34736, 42112
_PROJECTED, _VERTICAL = 3072, 4096
#: EPSG codes of the UTM zones on WGS 84, ETRS89 and NAD83, all in metres.
_METRIC = (range(32601, 32661), range(32701, 32761), range(25828, 25838), range(26901, 26924))
#: EPSG codes of heights on NAVD88 in three units, EGM2008 and EGM96.
_HEIGHTS = {5703: "m", 6360: "us-ft", 8228: "ft", 3855: "m", 5773: "m"}
_ITEM = re.compile(r"<Item\b([^>]*)>([^<]*)</Item>", re.IGNORECASE)


def read_page_units(page: "TiffPage", path: Path) -> tuple[Declared, ...]:
    """
    Read what a page says of its units.

    Of systems that are named by a code alone, only those above are known: any other says nothing.

    Raises
    ------
    InputError
        If it is in degrees, or its elevations are packed.
    """
    directory, doubles = _read_tag(page, _DIRECTORY), _read_tag(page, _DOUBLES)
    records = [
        ("LASF_Projection", _DIRECTORY, struct.pack(f"<{len(directory)}H", *directory)),
        ("LASF_Projection", _DOUBLES, struct.pack(f"<{len(doubles)}d", *doubles)),
    ]
    declared = find_units(path, records, prefers_wkt=False)
    codes = {directory[at]: directory[at + 3] for at in range(4, len(directory) - 3, 4)}
    plan = declared.plan
    if plan is None and any(codes.get(_PROJECTED) in zones for zones in _METRIC):
        plan = "m"
    elevation = declared.elevation or _HEIGHTS.get(int(codes.get(_VERTICAL, 0)))
    said = [(plan, "its coordinate system"), (elevation, "its system of heights")]
    metadata = page.tags.get(_METADATA)
    for attributes, text in _ITEM.findall(str(metadata.value) if metadata else ""):
        said.append((_read_item(attributes.lower(), text.strip(), path), "its band (UNITTYPE)"))
    return tuple(Declared(unit, where) for unit, where in said if unit)


def _read_tag(page: "TiffPage", code: int) -> Sequence[float]:
    tag = page.tags.get(code)
    if tag is None:
        return ()
    return tag.value if isinstance(tag.value, tuple) else (tag.value,)


def _read_item(attributes: str, text: str, path: Path) -> str | None:
    """Unit that one item of the band's metadata names; refused, if it packs its numbers."""
    for kind, plain in {"scale": 1.0, "offset": 0.0}.items():
        if f'role="{kind}"' in attributes and float(text) != plain:
            raise InputError(
                f"its elevations are packed by a {kind} of {text[:20]}",
                remedy="Export them as plain numbers in the job's unit",
                path=path,
            )
    if 'role="unittype"' not in attributes:
        return None
    spelled = text.lower().removeprefix("us survey ")
    named = SPELLINGS.get(spelled, text[:40])
    return "us-ft" if spelled != text.lower() and named == "ft" else named
