"""GeoTIFF written by GDAL (rasterio) and by tifffile."""

import logging
import zlib

import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
import tifffile
from numpy.testing import assert_allclose, assert_array_equal
from rasterio.crs import CRS  # type: ignore[import-untyped]
from rasterio.transform import Affine  # type: ignore[import-untyped]

from gradevol.files import geotiff
from gradevol.files.geotiff_packing import decode_lzw
from gradevol.files.geotiff_units import _HEIGHTS, _METRIC
from gradevol.ground.errors import InputError
from tests.read_files import read_faces_of as read_geotiff

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


@pytest.mark.parametrize(
    ("crs", "unit"),
    [
        ("EPSG:32633", "m"),
        ("EPSG:2274", "us-ft"),
        ("EPSG:2222", "ft"),
        ("EPSG:32633+5703", "m"),
        ("EPSG:2274+6360", "us-ft"),
        ("EPSG:2222+8228", "ft"),
        ('LOCAL_CS["site",UNIT["US survey foot",0.304800609601219]]', "us-ft"),
    ],
)
def test_the_systems_unit_must_be_the_jobs(file, crs, unit):
    path = file(crs=crs)
    assert len(read_geotiff(path, unit=unit)[0]) == 18
    with pytest.raises(InputError, match=f"is in {unit}.*numbers are in mm"):
        read_geotiff(path, unit="mm")


def test_codes_of_systems_have_the_units_that_the_epsg_dataset_gives_them():
    assert {CRS.from_epsg(code).linear_units for zones in _METRIC for code in zones} == {"metre"}
    sizes = {"metre": "m", "foot": "ft", "US survey foot": "us-ft"}
    for code, unit in _HEIGHTS.items():
        named = CRS.from_epsg(code).to_wkt().partition('UNIT["')[2].partition('"')[0]
        assert sizes[named] == unit


@pytest.mark.parametrize(("said", "unit"), [("metre", "m"), ("ft", "ft"), ("mm", "mm")])
def test_a_bands_unit_must_be_the_jobs(file, said, unit):
    path = file(units=(said,))
    assert len(read_geotiff(path, unit=unit)[0]) == 18
    with pytest.raises(InputError, match=r"its band .UNITTYPE."):
        read_geotiff(path, unit="in")


def test_a_bands_survey_feet_are_told_apart(file):
    path = file(units=("US survey foot",))
    assert len(read_geotiff(path, unit="us-ft")[0]) == 18
    with pytest.raises(InputError, match=r"its band .UNITTYPE. says that it is in us-ft"):
        read_geotiff(path, unit="ft")


@pytest.mark.parametrize(
    ("profile", "said"),
    [
        ({"crs": "EPSG:4326"}, "coordinates are degrees"),
        ({"compress": "lerc"}, "decoder that is not installed .*LERC.*Deflate or LZW"),
        ({"compress": "zstd"}, "decoder that is not installed"),
        ({"transform": Affine(2, 0.5, 5e5, 0.5, -2, 4e6)}, "grid is turned"),
        ({"levels": np.stack([LEVELS, LEVELS, LEVELS])}, "3 bands"),
        ({"dtype": "complex64"}, "bands of complex64"),
        ({"levels": LEVELS[:1]}, "too few for a surface"),
        ({"scales": (0.01,)}, "packed by a scale of 0.01"),
        ({"levels": np.where(LEVELS > 101, -9999, LEVELS)}, "pixels of -9999"),
        ({"levels": np.where(LEVELS > 101, 3e38, LEVELS)}, r"pixels of 3e\+38"),
        ({"levels": np.full((3, 4), -1.0), "nodata": -1}, "0 cells with an elevation"),
        ({"levels": LEVELS * 1000}, r"rounded to steps of 0\.0078125 m"),
        ({"tiled": True, "SPARSE_OK": True, "levels": LEVELS * 0}, "left out|missing"),
    ],
)
def test_grids_that_cannot_be_used_are_refused(file, profile, said):
    with pytest.raises(InputError, match=said) as refusal:
        read_geotiff(file(**profile), unit="m")
    assert "\n" not in str(refusal.value)


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_a_picture_without_a_place_is_refused(file):
    with pytest.raises(InputError, match=r"does not say where its grid lies"):
        read_geotiff(file(transform=None), unit="m")


def test_smaller_copies_within_the_file_are_passed_by(file):
    path = file(np.add.outer(np.arange(64), np.arange(64)) / 8)
    with rasterio.open(path, "r+") as raster:
        raster.build_overviews([2, 4])
    assert len(read_geotiff(path, unit="m")[1]) == 4 * 63 * 63


def test_several_pictures_are_refused(tmp_path):
    path = tmp_path / "two.tif"
    tifffile.imwrite(path, LEVELS.astype("f4"))
    tifffile.imwrite(path, LEVELS.astype("f4"), append=True)
    with pytest.raises(InputError, match=r"holds 2 pictures"):
        read_geotiff(path, unit="m")


def test_sizes_are_looked_at_before_the_grid_is_read(tmp_path, monkeypatch, file):
    path = tmp_path / "huge.tif"
    content = bytearray(file().read_bytes())
    with tifffile.TiffFile(file()) as tiff:
        tags = tiff.pages.first.tags
        for code in (256, 257):
            at = tags[code].valueoffset
            content[at : at + 2] = (60_000).to_bytes(2, "little")
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"60,000 × 60,000 pixels.*50,000,000 are the most"):
        read_geotiff(path, unit="m")
    monkeypatch.setattr(geotiff, "_MOST_CELLS", 5)
    with pytest.raises(InputError, match=r"6 cells .* and 5 are the most"):
        read_geotiff(file(), unit="m")


def test_a_small_file_that_unpacks_to_a_large_one_is_refused(file):
    path = file(compress="deflate")
    with tifffile.TiffFile(path, mode="r+") as tiff:
        tags = tiff.pages.first.tags
        bomb = zlib.compress(bytes(50_000_000))
        offset = tiff.filehandle.size
        tags[273].overwrite(offset)
        tags[279].overwrite(len(bomb))
    path.write_bytes(path.read_bytes().ljust(offset, b"\0") + bomb)
    with pytest.raises(InputError, match=r"unpacks to more than its 48 bytes"):
        read_geotiff(path, unit="m")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"II*\0", "cannot be read|not a TIFF"),
        (b"%PDF-1.7", "a PDF"),
        (b"1,0,0,100\n", "it is not a TIFF file"),
        (b"II*\0\x08\0\0\0\xff\xff", "cannot be read|pictures"),
    ],
)
def test_what_is_no_tiff_is_refused(tmp_path, content, said):
    path = tmp_path / "base.tif"
    path.write_bytes(content)
    with pytest.raises(InputError, match=said):
        read_geotiff(path, unit="m")


@pytest.mark.parametrize("profile", [{}, {"compress": "deflate"}, {"compress": "lzw"}])
def test_a_file_cut_anywhere_is_refused(file, profile, tmp_path):
    whole = file(np.add.outer(np.arange(40), np.arange(40)) % 7 + 100.0, **profile).read_bytes()
    path = tmp_path / "cut.tif"
    for end in range(0, len(whole) - 1, 37):
        path.write_bytes(whole[:end])
        with pytest.raises(InputError):
            read_geotiff(path, unit="m")


@pytest.mark.parametrize(
    "packing", [{"compress": "deflate"}, {"compress": "lzw"}, {"compress": "lzw", "predictor": 3}]
)
def test_damaged_bytes_are_refused_or_change_nothing_but_numbers(file, tmp_path, packing):
    whole = file(crs="EPSG:32633", **packing).read_bytes()
    path, random, refused = tmp_path / "bad.tif", np.random.default_rng(7), 0
    for _ in range(300):
        content = bytearray(whole)
        for at in random.integers(0, len(whole), 3):
            content[at] = random.integers(256)
        path.write_bytes(content)
        try:
            points, triangles = read_geotiff(path, unit="m")
        except InputError:
            refused += 1
        else:
            assert np.isfinite(points).all()
            assert triangles.max() < len(points)
    assert 30 < refused < 300
    assert logging.getLogger("tifffile").handlers  # its remarks do not reach standard error
