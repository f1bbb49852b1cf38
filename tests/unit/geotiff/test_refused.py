"""GeoTIFF in another unit, damaged, or too large: refused in words."""

import logging
import zlib

import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
import tifffile
from rasterio.crs import CRS  # type: ignore[import-untyped]
from rasterio.transform import Affine  # type: ignore[import-untyped]

from gradevol.files.drawings import geotiff
from gradevol.files.drawings.geotiff_units import _HEIGHTS, _METRIC
from gradevol.ground.errors import InputError
from tests.read_files import read_faces_of as read_geotiff
from tests.unit.geotiff.conftest import LEVELS


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
        ({"compress": "lerc"}, "packed by LERC.*Deflate or LZW"),
        ({"compress": "zstd"}, "packed by ZSTD"),
        ({"compress": "lzma"}, "packed by LZMA"),
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


def test_a_list_of_pictures_that_comes_back_to_its_first_is_refused(file):
    path = file()
    with tifffile.TiffFile(path) as tiff:
        at, first = tiff.pages.first.offset, tiff.pages.first.offset.to_bytes(4, "little")
        last = at + 2 + 12 * len(tiff.pages.first.tags)
    raw = path.read_bytes()
    assert raw[last : last + 4] == bytes(4)
    path.write_bytes(raw[:last] + first + raw[last + 4 :])
    with pytest.raises(InputError, match="comes back to one that it has named"):
        read_geotiff(path, unit="m")
