"""GeoTIFF: read back by rasterio."""

import numpy as np
import pytest
import rasterio  # type: ignore[import-untyped]
import shapely
from numpy.testing import assert_allclose

from gradevol.answer.surfaces.grids import choose_cell
from gradevol.out.exports.geotiff import NODATA
from gradevol.site.slab import Thickening
from tests.exported import export
from tests.pads import grid


def brute(corners, value, place):
    """Value of a linear function on triangles at a place, by looking at every triangle."""
    ones = np.ones((len(corners), 1, 3))
    sides = np.concatenate([corners.transpose(0, 2, 1), ones], axis=1)
    shares = np.linalg.solve(sides, np.append(place, 1)[:, None])[:, :, 0]
    within = np.flatnonzero(shares.min(axis=1) >= -1e-9)
    return float(shares[within[0]] @ value[within[0]]) if len(within) else None


@pytest.mark.parametrize("name", ["thickness", "cut_fill"])
def test_values_are_exact_at_the_middles_of_cells(exported, name):
    result, metres = exported.result, exported.metres
    field = result.field
    wanted = field.thickness - (result.slab.thickness if name == "cut_fill" else 0)
    with rasterio.open(exported.folder / f"{name}.tif") as file:
        band = file.read(1)
        rng = np.random.default_rng(3)
        rows, columns = rng.integers(0, file.height, 40), rng.integers(0, file.width, 40)
        east, north = rasterio.transform.xy(file.transform, rows, columns)  # of the middle
    places = np.column_stack([east, north]) * metres - result.survey.origin[:2]
    n_inside = 0
    for place, value in zip(places, band[rows, columns], strict=True):
        at = brute(field.corners, wanted, place)
        assert (at is None) == (value == NODATA)
        if at is not None:
            n_inside += 1
            assert_allclose(value, at / metres, atol=2e-7)
    assert 20 < n_inside <= 40


def test_cells_cover_the_slab_and_no_more(exported):
    result, metres = exported.result, exported.metres
    with rasterio.open(exported.folder / "thickness.tif") as file:
        band, box, cell = file.read(1), file.bounds, file.transform.a
        rows, columns = np.nonzero(band != NODATA)
        east, north = rasterio.transform.xy(file.transform, rows, columns)
        assert file.nodata == NODATA
    places = np.column_stack([east, north]) * metres - result.survey.origin[:2]
    outline = result.slab.outline.buffer(1e-6)
    assert shapely.intersects_xy(outline, *places.T).all()
    assert_allclose(len(rows) * cell**2, result.units.to_area(result.slab.area), rtol=0.01)
    low = (result.slab.edge.min(axis=0) + result.survey.origin[:2]) / metres
    assert_allclose([box.left, box.bottom], low, atol=1e-6)
    assert cell == pytest.approx(0.05 if exported.unit == "m" else 0.1)


def test_the_grid_adds_up_to_the_volume(exported):
    result = exported.result
    with rasterio.open(exported.folder / "thickness.tif") as file:
        band = file.read(1, masked=True).astype(float)
        volume = float(band.sum()) * (file.transform.a * exported.metres) ** 2 * exported.metres
    assert_allclose(volume, result.concrete.slab - result.concrete.overlap, rtol=0.005)


def test_fill_less_cut_is_the_net(exported):
    result = exported.result
    with rasterio.open(exported.folder / "cut_fill.tif") as file:
        band = file.read(1, masked=True).astype(float)
        cell = (file.transform.a * exported.metres) ** 2 * exported.metres
    assert_allclose(band.clip(0, None).sum() * cell, result.grading.fill, rtol=0.02)
    assert_allclose(-band.clip(None, 0).sum() * cell, result.grading.cut, rtol=0.02)


def test_the_unit_is_declared_for_the_grid_and_the_band(exported):
    with rasterio.open(exported.folder / "thickness.tif") as file:
        assert file.dtypes == ("float32",)
        unit = file.crs.to_wkt()
        assert f"own grid, easting and northing in {exported.unit}" in unit
        code = {"m": "9001", "ft": "9002", "us-ft": "9003"}[exported.unit]
        assert f'AUTHORITY["EPSG","{code}"]' in unit
        wanted = {"m": "m", "ft": "ft", "us-ft": "US survey foot"}[exported.unit]
        assert file.units == (wanted,)
        assert file.descriptions == ("thickness of concrete, design top less base",)
        assert file.tags()["AREA_OR_POINT"] == "Area"


def test_nothing_is_told_of_cut_and_fill_in_a_trench_that_the_shots_show(make_result, tmp_path):
    plan = grid(np.arange(0, 11.0), np.arange(0, 9.0))
    level = np.where(plan[:, 1] < 1.5, 9.6, 9.85)
    beam = Thickening("beam", depth=0.25, width=1.0, sides=(1,), surveyed="yes")
    edge = np.array([[0, 0], [10, 0], [10, 8], [0, 8.0]])
    result = make_result(np.column_stack([plan, level]), edge, 10.0, thickenings=(beam,))
    assert result.field.is_trench.any()
    export(result, tmp_path, ["geotiff"])
    with (
        rasterio.open(tmp_path / "thickness.tif") as whole,
        rasterio.open(tmp_path / "cut_fill.tif") as part,
    ):
        thickness, moved = whole.read(1, masked=True), part.read(1, masked=True)
    assert_allclose(thickness.count() * 0.05**2, 80, rtol=1e-3)
    assert_allclose(moved.count() * 0.05**2, 70, rtol=1e-3)


def test_a_side_of_whole_cells_takes_no_row_more_far_from_the_origin(make_result, tmp_path):
    corner = np.array([500_000.3, 5_000_000.7])
    east, north = grid(np.arange(0, 11, 2.0), np.arange(0, 11, 2)).T
    shots = np.column_stack([east + corner[0], north + corner[1], np.full(len(east), 100.0)])
    edge = corner + np.array([[0, 0], [9.95, 0], [9.95, 9.95], [0, 9.95]])
    result = make_result(shots, edge, 100.15)
    export(result, tmp_path, ["geotiff"])

    with rasterio.open(tmp_path / "thickness.tif") as image:
        assert image.shape == (199, 199)
        assert (image.transform.c, image.transform.f) == (500_000.3, 5_000_010.65)


@pytest.mark.parametrize(
    ("unit", "side", "cell"), [("m", 8, 0.05), ("m", 120, 0.2), ("ft", 900, 0.1 * 10)]
)
def test_cells_grow_with_the_slab_and_stay_round(make_result, unit, side, cell):
    metres = 0.3048 if unit == "ft" else 1.0
    edge = np.array([[0, 0], [side, 0], [side, side], [0, side]], float) * metres
    result = make_result(np.column_stack([edge, np.zeros(4)]), edge, 0.15, unit=unit, ids=False)
    assert choose_cell(result) / metres == pytest.approx(cell)
