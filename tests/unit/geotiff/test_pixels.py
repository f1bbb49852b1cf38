"""GeoTIFF written by GDAL (rasterio) and by tifffile: the numbers that are read."""

import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
import tifffile
from numpy.testing import assert_allclose, assert_array_equal
from rasterio.transform import Affine  # type: ignore[import-untyped]

from gradevol.files.drawings.geotiff_packing import decode_lzw
from tests.read_files import read_faces_of as read_geotiff
from tests.unit.geotiff.conftest import LEVELS


def centres(path):
    """Where GDAL has the centres of the pixels."""
    with rasterio.open(path) as raster:
        rows, columns = np.indices(raster.shape)
        return np.column_stack(raster.xy(rows.ravel(), columns.ravel()))


@pytest.mark.parametrize(
    "profile",
    [
        {},
        {"dtype": "float64"},
        {"tiled": True, "blockxsize": 16, "blockysize": 16},
        {"compress": "deflate"},
        {"compress": "deflate", "predictor": 2},
        {"compress": "deflate", "predictor": 3},
        {"compress": "lzw"},
        {"compress": "lzw", "predictor": 2},
        {"compress": "lzw", "predictor": 3},
        {"compress": "packbits"},
        {"BIGTIFF": "YES"},
        {"ENDIANNESS": "BIG"},
        {"blockysize": 1},
        {"tags": {"AREA_OR_POINT": "Point"}},
        {"transform": Affine(2, 0, 500_000, 0, 2, 4_000_000)},
        {"transform": Affine(0.3, 0, 2_012_300.25, 0, -0.7, 651_200.5)},
    ],
)
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::PendingDeprecationWarning")
def test_pixels_lie_where_gdal_has_them(file, profile):
    path = file(**profile)
    points, triangles = read_geotiff(path, unit="m")
    assert_allclose(points[:12, :2], centres(path), rtol=0, atol=1e-6)
    assert_allclose(points[:12, 2], LEVELS.ravel(), rtol=0, atol=0)
    assert len(triangles) == 4 * 6


@pytest.mark.parametrize("dtype", ["float32", "float64", "int16", "uint16", "int32"])
@pytest.mark.parametrize("compress", ["lzw", "deflate"])
@pytest.mark.parametrize("predictor", [1, 2, 3])
@pytest.mark.parametrize(
    "layout",
    [
        {},
        {"blockysize": 13},
        {"tiled": True, "blockxsize": 32, "blockysize": 16},
        {"ENDIANNESS": "BIG"},
    ],
)
def test_every_packing_of_gdal_gives_its_numbers(file, dtype, compress, predictor, layout):
    if predictor == 3 and dtype[0] != "f":
        predictor = 1  # differences of floats are for floats
    noise = np.random.default_rng(4).normal(0, 0.01, (90, 101))  # past the 4,096 codes of a table
    levels = np.add.outer(np.arange(90) * 0.01, np.arange(101) * 0.02) + 100 + noise
    path = file(levels * 10, dtype=dtype, compress=compress, predictor=predictor, **layout)
    points, _ = read_geotiff(path, unit="m")
    with rasterio.open(path) as raster:
        held = raster.read(1)
    assert_array_equal(points[: held.size, 2], held.ravel())


def test_tiles_left_out_of_a_packed_grid_are_without_elevation(file):
    levels = np.full((64, 64), -9999.0)
    levels[:20, :20] = 100.5
    path = file(
        levels,
        compress="lzw",
        nodata=-9999,
        tiled=True,
        blockxsize=32,
        blockysize=32,
        SPARSE_OK=True,
    )
    with tifffile.TiffFile(path) as tiff:
        assert 0 in tiff.pages.first.databytecounts
    points, triangles = read_geotiff(path, unit="m")
    assert len(points) == 20 * 20 + 19 * 19
    assert len(triangles) == 4 * 19 * 19
    assert_array_equal(points[:, 2], 100.5)


def write_codes(codes):
    bits = "".join(f"{code:09b}" for code in codes)
    whole = -(-len(bits) // 8)
    return int(bits.ljust(8 * whole, "0"), 2).to_bytes(whole, "big")


def test_the_codes_printed_in_the_specification_are_its_bytes():
    # TIFF 6.0 (1992), section 13: the codes of 7 7 7 8 8 7 7 6 6
    packed = write_codes([256, 7, 258, 8, 8, 258, 6, 6, 257])
    assert list(decode_lzw(packed, 9)) == [7, 7, 7, 8, 8, 7, 7, 6, 6]
    assert list(decode_lzw(packed, 4)) == [7, 7, 7, 8]


@pytest.mark.parametrize("codes", [[256, 300], [256, 258], [256, 7, 260]])
def test_codes_that_stand_for_nothing_yet_are_refused(codes):
    with pytest.raises(ValueError, match="stands for nothing yet"):
        decode_lzw(write_codes(codes), 100)


def test_a_cell_is_split_in_four_about_the_mean_of_its_corners(file):
    points, triangles = read_geotiff(file(LEVELS[:2, :2]), unit="ft")
    middle = [500_002 * 0.3048, 3_999_998 * 0.3048, LEVELS[:2, :2].mean() * 0.3048]
    assert_allclose(points[4], middle, rtol=1e-12)
    assert (triangles[:, 2] == 4).all()
    one, two, three = np.moveaxis(points[triangles][..., :2], 1, 0)
    along, off = two - one, three - one
    areas = (along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / 2
    assert_allclose(areas, 0.3048**2, rtol=1e-6)  # a quarter of 2 ft x 2 ft, counter-clockwise


@pytest.mark.parametrize("missing", [-9999.0, np.nan, -3.4028234663852886e38])
def test_pixels_without_an_elevation_take_their_cells_with_them(file, missing):
    levels = LEVELS.copy()
    levels[0, 0] = missing
    points, triangles = read_geotiff(file(levels, nodata=missing), unit="m")
    assert len(triangles) == 4 * 5
    assert points[:, 2].min() >= 100.25


def test_pixels_of_no_cell_are_no_points(file):
    levels = np.full((3, 4), -9999.0)
    levels[1:, 2:] = 100
    levels[0, 0] = 7
    points, triangles = read_geotiff(file(levels, nodata=-9999), unit="m")
    assert (len(points), len(triangles)) == (5, 4)
    assert (points[:, 2] == 100).all()
