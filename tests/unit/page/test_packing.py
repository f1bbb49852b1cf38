"""The data of the page's map: exact, bounded, small."""

from base64 import b64decode
from functools import partial

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing import spots
from gradevol.ground.units import METRES
from gradevol.out.pages import plan_data
from gradevol.out.pages.packing import LEVEL, PLAN, pack_field
from tests.unit.page.conftest import page_of, plan_of, read


def decode(text, kind):
    return np.frombuffer(b64decode(text), kind)


def unpack_pieces(packed):
    nodes = decode(packed["nodes"], "<i4").reshape(-1, 4) * [PLAN, PLAN, LEVEL, LEVEL]
    faces = decode(packed["faces"], "<u4" if packed["wide"] else "<u2").reshape(-1, 3)
    return nodes[faces]


def test_a_small_field_is_packed_as_it_is(apron):
    packed = pack_field(apron.field)
    pieces = unpack_pieces(packed)

    assert packed["kind"] == "exact"
    assert_allclose(pieces[..., :2], apron.field.corners, atol=0.51 * PLAN)
    assert_allclose(pieces[..., 2], apron.field.thickness, atol=0.51 * LEVEL)
    assert_allclose(pieces[..., 3], apron.field.base, atol=0.51 * LEVEL)
    flags = decode(packed["flags"], "u1")
    assert_allclose(flags & 1, apron.field.is_surveyed)
    assert 0 < (flags & 1).sum() < len(flags)


def test_an_eighth_of_an_inch_is_a_whole_number_of_what_is_packed():
    assert METRES["in"] / 8 / LEVEL == pytest.approx(3175, abs=1e-9)


def cells_of(packed, name):
    grid = decode(packed[name]["values"], "<i2").reshape(packed["rows"], packed["columns"])
    return grid > -32768, packed[name]["least"] + packed[name]["unit"] * grid


def test_a_large_field_becomes_a_grid_of_the_surface_itself(make_result):
    # a plane, whose thickness is known everywhere
    rng = np.random.default_rng(3)
    corners = np.array([[0, 0], [30, 0], [30, 20], [0, 20.0]])
    plan = np.concatenate([rng.uniform(0, [30, 20], (400, 2)), corners])
    shots = np.column_stack([plan, 100 - 0.002 * plan[:, 0] + 0.001 * plan[:, 1]])
    edge = np.array([[2.0, 2], [28, 2], [28, 18], [2, 18]])
    opening = np.array([[10.0, 8], [14, 8], [14, 12], [10, 12]])
    result = make_result(shots, edge, 100.15, openings=(opening,), ids=False)
    packed = pack_field(result.field, most=100)

    assert packed["kind"] == "grid"
    assert 150_000 < packed["rows"] * packed["columns"] < 210_000
    is_slab, thickness = cells_of(packed, "thickness")
    row, column = np.nonzero(is_slab)
    east = packed["west"] + (column + 0.5) * packed["cell"]
    north = packed["south"] + (row + 0.5) * packed["cell"]
    expected = 0.15 + 0.002 * east - 0.001 * north
    assert_allclose(thickness[is_slab], expected, atol=0.51 * packed["thickness"]["unit"])
    assert packed["thickness"]["unit"] == 1e-4
    assert is_slab.sum() * packed["cell"] ** 2 == pytest.approx(result.slab.area, rel=2e-3)
    _, base = cells_of(packed, "base")
    assert_allclose((thickness + base)[is_slab], 100.15 - result.survey.origin[2], atol=1.1e-4)


def test_a_page_is_bounded_whatever_the_field(make_result, monkeypatch):
    rng = np.random.default_rng(5)
    plan = rng.uniform(0, 20, (2500, 2))
    shots = np.column_stack([plan, 100 + 0.01 * rng.standard_normal(2500)])
    edge = np.array([[0.5, 0.5], [19.5, 0.5], [19.5, 19.5], [0.5, 19.5]])
    noisy = {"base_high": 0.004, "base_low": 0.004, "least_thickness": 0.148}
    result = make_result(shots, edge, 100.15, ids=False, **noisy)
    monkeypatch.setattr(plan_data, "pack_field", partial(pack_field, most=1000))
    monkeypatch.setattr(spots, "MOST_CORNERS", 1000)
    page = page_of(result)

    plan = plan_of(page)
    assert plan["field"]["kind"] == "grid"
    assert plan["shots"] is None
    assert len(page) < 2_000_000
    outlines = [spot["rings"] for spot in plan["spots"]] + plan["thin"]
    drawn = sum(len(ring) for rings in outlines for ring in rings)
    assert 0 < drawn <= 1000
    held = [*result.work.fixes, *result.thin.listed]
    assert sum(len(ring) for one in held for ring in one.rings) > 2000
    fixes = [fix for fix in result.work.fixes if fix.rings]
    assert sum(bool(spot["rings"]) for spot in plan["spots"]) == len(fixes)  # none is lost
    assert "at the middle of the nearest square" in read(page).text


def test_a_page_of_sixty_shots_is_small(apron):
    page = page_of(apron)

    assert len(apron.survey.points) >= 55
    assert len(page.encode()) < 500_000
    assert "A touch reads the very surface" in read(page).text


def test_shots_carry_what_their_base_lacks(apron):
    shots = plan_of(page_of(apron))["shots"]
    moves = decode(shots["moves"], "<i4") * LEVEL
    index = [apron.survey.ids.index(name) for name in shots["names"]]
    design = 100 * METRES["ft"] - apron.slab.thickness - apron.survey.origin[2]

    assert len(index) == len(apron.survey.ids)
    assert_allclose(moves, apron.survey.points[index, 2] - design, atol=LEVEL)
    assert shots["suspects"].count(True) == len(apron.suspects) > 0


def grey(colour):
    return sum(int(colour[k : k + 2], 16) * w for k, w in ((1, 0.2126), (3, 0.7152), (5, 0.0722)))


def test_cut_and_fill_darken_with_their_size_and_differ_in_hue(apron):
    plan = plan_of(page_of(apron))
    colours, labels = plan["colours"]["moves"], plan["written"][""]["moves"]["labels"]
    greys = [grey(colour) for colour in colours]
    on_grade = greys.index(max(greys))

    assert 0 < on_grade < len(greys) - 1
    assert [label[0] for label in labels] == ["C"] * on_grade + ["F"] * (len(greys) - on_grade - 1)
    assert greys[: on_grade + 1] == sorted(greys[: on_grade + 1])
    assert greys[on_grade:] == sorted(greys[on_grade:], reverse=True)
    cut, fill = colours[0], colours[-1]
    assert int(cut[1:3], 16) > int(cut[5:7], 16)  # more red than blue
    assert int(fill[1:3], 16) < int(fill[5:7], 16)
