"""Grids of twelve pixels as GDAL writes them."""

import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
from rasterio.transform import Affine  # type: ignore[import-untyped]

LEVELS = np.array([[1, 2, 3, 4], [2, 4, 6, 8], [3, 6, 9, 12]]) / 8 + 100


NORTH_UP = Affine(2, 0, 500_000, 0, -2, 4_000_000)


@pytest.fixture
def file(tmp_path):
    def file(levels=LEVELS, **profile):
        path = tmp_path / "base.tif"
        height, width = levels.shape[-2:]
        count = levels.shape[0] if levels.ndim == 3 else 1
        tags = profile.pop("tags", {})
        scales = profile.pop("scales", None)
        units = profile.pop("units", None)
        profile = {"dtype": "float32", "transform": NORTH_UP, **profile}
        with rasterio.open(
            path, "w", driver="GTiff", height=height, width=width, count=count, **profile
        ) as raster:
            raster.write(levels.reshape(count, height, width).astype(profile["dtype"]))
            raster.update_tags(**tags)
            if scales:
                raster.scales = scales
            if units:
                raster.units = units
        return path

    return file
