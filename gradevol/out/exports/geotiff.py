"""GeoTIFF: one band of numbers on the job's own grid.

References
----------
OGC GeoTIFF 1.1 (19-008r4): keys 1024 to 1026 and 3076; units of EPSG: 9001 metre, 9002 foot,
9003 US survey foot. No-data and the names of a band are GDAL's tags 42113 and 42112, as the pages
of its GeoTIFF driver say.
"""

from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from gradevol.answer.surfaces.grids import Grid

#: Where there is no slab.
NODATA = -9999.0

_UNITS = {"m": 9001, "ft": 9002, "us-ft": 9003}
#: As GDAL names them in UNITTYPE.
_NAMES = {"m": "m", "ft": "ft", "us-ft": "US survey foot"}
_USER_DEFINED, _PIXEL_IS_AREA = 32767, 1
_ASCII_TAG = 34737


def write_geotiff(path: Path, grid: Grid, *, unit: str, words: str) -> None:
    """
    Write a grid in single precision.

    Parameters
    ----------
    path : Path
    grid : Grid
    unit : str
        ``m``, ``ft`` or ``us-ft``, of coordinates and values.
    words : str
        What the values are; ASCII.
    """
    import tifffile  # noqa: PLC0415

    values = np.where(np.isfinite(grid.values), grid.values, NODATA).astype(np.float32)
    citation = f"the job's own grid, easting and northing in {unit}|"
    keys = [
        (1024, 0, 1, _USER_DEFINED),  # as projected, GDAL would not see its unit
        (1025, 0, 1, _PIXEL_IS_AREA),
        (1026, _ASCII_TAG, len(citation), 0),
        (3076, 0, 1, _UNITS[unit]),
    ]
    directory = [1, 1, 0, len(keys), *(number for key in keys for number in key)]
    items = (
        f'<Item name="DESCRIPTION" sample="0" role="description">{escape(words)}</Item>'
        f'<Item name="UNITTYPE" sample="0" role="unittype">{_NAMES[unit]}</Item>'
    )
    tags = [
        (33550, "d", 3, (grid.cell, grid.cell, 0.0), True),
        (33922, "d", 6, (0.0, 0.0, 0.0, grid.west, grid.north, 0.0), True),
        (34735, "H", len(directory), tuple(directory), True),
        (_ASCII_TAG, "s", 0, citation, True),
        (42112, "s", 0, f"<GDALMetadata>{items}</GDALMetadata>", True),
        (42113, "s", 0, f"{NODATA:g}", True),
    ]
    tifffile.imwrite(
        path,
        values,
        photometric="minisblack",
        compression="zlib",
        rowsperstrip=64,
        description=f"{words}, {unit}; {NODATA:g} where there is no slab",
        software="gradevol",
        metadata=None,
        extratags=tags,
    )
