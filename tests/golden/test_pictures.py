"""The pictures of invented slabs, against kept ones."""

import importlib.util
import os
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.out.paper.sheet import draw_sheet
from gradevol.out.pictures.colours import paint, shades
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.renderer import NO_LIBRARIES
from tests.lettering import draw_base3d

from .apron import apron
from .compare import assert_looks_like, keep
from .other_slabs import pad, reworked, strip, turned_l

PICTURES = Path(__file__).with_name("pictures")
DPI = 64

pytestmark = pytest.mark.golden

SLABS = {
    "apron": lambda folder: apron(folder, bust=0.1),
    "plain apron": apron,
    "pad": pad,
    "turned_l": turned_l,
    "strip": strip,
    "reworked": reworked,
}
SHEETS = {"sheet": ("apron", "letter"), "sheet_a4": ("turned_l", "a4")}


@pytest.fixture(scope="module")
def check(tmp_path_factory):
    """Check one of these slabs, once."""

    @cache
    def run(name):
        return SLABS[name](tmp_path_factory.mktemp(name))

    return run


@pytest.fixture(scope="module")
def plan(check, tmp_path_factory):
    """Draw the plan of one of these slabs, once."""

    @cache
    def run(name):
        path = tmp_path_factory.mktemp("drawn") / "plan.png"
        draw_plan(draw_up(check(name)), path, dpi=DPI)
        return path

    return run


def compare_or_keep(picture, name):
    golden = PICTURES / f"{name}.png"
    if os.environ.get("GRADEVOL_KEEP_PICTURES"):
        keep(picture, golden)
    assert_looks_like(picture, golden)


@pytest.mark.parametrize("name", [name for name in SLABS if name != "plain apron"])
def test_the_plan_looks_as_it_did(name, plan):
    compare_or_keep(plan(name), name)


@pytest.mark.parametrize("name", SHEETS)
def test_the_sheet_looks_as_it_did(name, check, tmp_path):
    slab, paper = SHEETS[name]
    result = check(slab)
    draw_sheet(compose_answer(result), paper=paper).save(tmp_path / "sheet.png", dpi=DPI)
    compare_or_keep(tmp_path / "sheet.png", name)


def test_a_plan_drawn_twice_is_the_same_file(check, plan, tmp_path):
    first = plan("pad").read_bytes()
    draw_plan(draw_up(check("pad")), tmp_path / "plan.png", dpi=DPI)
    assert (tmp_path / "plan.png").read_bytes() == first


def test_the_plain_view_looks_as_it_did(check, tmp_path, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)
    draw_base3d(draw_up(check("plain apron")), tmp_path / "view.png", dpi=DPI)
    compare_or_keep(tmp_path / "view.png", "plain_view")


def test_a_difference_is_found_and_shown(plan, tmp_path):
    drawn = tmp_path / "plan.png"
    with Image.open(plan("pad")) as picture:
        other = picture.convert("RGB")
    other.paste((0, 0, 0), (100, 100, 130, 130))
    other.save(drawn)
    shown = tmp_path / "plan-difference.png"
    with pytest.raises(AssertionError, match=re.escape(f"look at {shown}")):
        assert_looks_like(drawn, PICTURES / "pad.png")
    with Image.open(shown) as difference:
        pixels = np.asarray(difference)
    assert (pixels[50:65, 50:65].max(axis=2) > 200).all()  # compared at half the size


@pytest.mark.slow
@pytest.mark.skipif(importlib.util.find_spec("pyvista") is None, reason="pyvista is not installed")
def test_the_rendered_view_shows_the_scale_on_the_base(check, tmp_path):
    # renderers differ, so colours and sizes are looked at, not pixels
    drawing = draw_up(check("plain apron"))
    sentence = draw_base3d(drawing, tmp_path / "view.png")
    if sentence == NO_LIBRARIES:
        pytest.skip("system libraries are missing here")
    assert sentence is None
    with Image.open(tmp_path / "view.png") as picture:
        pixels = np.asarray(picture.convert("RGB"), dtype=float) / 255
    rows, columns, _ = pixels.shape
    assert 1200 <= columns <= 1700
    assert 700 <= rows <= 1250
    view = pixels[150 : rows - 120, 40 : int(columns * 0.7)].reshape(-1, 3)
    assert (np.abs(view - 1) > 0.02).any(axis=1).mean() > 0.25
    # no light, no shade and no veil: what is seen is what the key shows
    held = paint(drawing.bands, drawing.field.thickness.mean(axis=1))[:, :3]
    for colour in shades(drawing.bands.steps):
        if (np.abs(held - colour).max(axis=1) < 1e-9).sum() > 3:
            seen = np.abs(view - colour).max(axis=1) < 0.012
            assert seen.sum() > 300, f"{colour} is not in the view"
