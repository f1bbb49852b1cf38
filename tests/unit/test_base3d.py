import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from subprocess import Popen

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.testing import assert_allclose
from PIL import Image

from gradevol.answer.drawing import draw_up
from gradevol.geometry.nearest import nearest_level
from gradevol.out.pictures import base3d, renderer
from gradevol.out.pictures.colours import ALERT
from gradevol.out.pictures.view3d import build_scene, choose_view
from gradevol.out.pictures.view_page import lay_out_view
from tests.lettering import draw_base3d

DPI = 64  # few dots are drawn sooner


@pytest.fixture(scope="module")
def result(make_result):
    east, north = np.meshgrid(np.arange(0.2, 6, 0.8), np.arange(0.2, 4, 0.7))
    level = 9.85 + 0.01 * np.sin(east) - 0.008 * np.cos(2 * north)
    shots = np.column_stack([east.ravel(), north.ravel(), level.ravel()])
    return make_result(shots, np.array([[0.0, 0], [6, 0], [6, 4], [0, 4]]), 10.0)


@pytest.fixture(scope="module")
def drawing(result):
    return draw_up(result)


@pytest.fixture(autouse=True)
def few_triangles(monkeypatch):
    monkeypatch.setattr(base3d, "MOST", 200)


def has_a_drawing(path):
    with Image.open(path) as picture:
        pixels = np.asarray(picture.convert("RGB"), dtype=int)
    high, wide = pixels.shape[:2]
    middle = pixels[int(0.1 * high) : int(0.92 * high), int(0.03 * wide) : int(0.7 * wide)]
    return (np.ptp(middle, axis=2) > 12).mean() > 0.1


@pytest.fixture
def instead(monkeypatch):
    """Run another program in the renderer's place, with the renderer's own arguments behind it."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: name)

    def use(program):
        def start(words, **options):
            begun.append((Popen([sys.executable, "-c", program, *words[-2:]], **options), words))
            return begun[-1][0]

        monkeypatch.setattr(renderer, "Popen", start)
        return begun

    begun = []
    return use


def test_a_missing_pyvista_is_named_and_a_plainer_drawing_made(drawing, tmp_path, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)
    sentence = draw_base3d(drawing, tmp_path / "base3d.png", dpi=DPI)
    assert sentence is not None
    assert "pip install 'gradevol[view]'" in sentence
    assert has_a_drawing(tmp_path / "base3d.png")


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_renderer_that_crashes_names_the_system_libraries(drawing, tmp_path, capfd, instead):
    instead(
        "import os, signal, sys; sys.stderr.write('noise'); sys.stderr.flush();"
        "os.kill(os.getpid(), signal.SIGSEGV)"
    )
    sentence = draw_base3d(drawing, tmp_path / "base3d.png", dpi=DPI)
    assert sentence is not None
    assert "libegl1" in sentence
    assert has_a_drawing(tmp_path / "base3d.png")
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    ("program", "sentence"),
    [
        ("raise TypeError", renderer.FAILED),
        ("raise SystemExit(3)", renderer.NO_LIBRARIES),
        ("pass", renderer.NO_LIBRARIES),
        ("import sys; open(sys.argv[2], 'wb').write(b'half')", renderer.NO_LIBRARIES),
        (
            "import sys; from PIL import Image; "
            "Image.new('RGB', (40, 30), 'white').save(sys.argv[2])",
            renderer.NO_LIBRARIES,
        ),
    ],
    ids=["exception", "no library", "no picture", "half a picture", "blank picture"],
)
def test_a_renderer_that_makes_no_picture_is_told(program, sentence, instead):
    instead(program)
    with renderer.rendering({}) as wait:
        assert wait() == (None, sentence)


def test_a_renderer_that_hangs_is_stopped(drawing, tmp_path, monkeypatch, instead):
    monkeypatch.setattr(renderer, "TIMEOUT", 0.2)
    instead("import time; time.sleep(60)")
    sentence = draw_base3d(drawing, tmp_path / "base3d.png", dpi=DPI)
    assert sentence == renderer.TOO_SLOW
    assert has_a_drawing(tmp_path / "base3d.png")


def test_a_renderer_that_nobody_waits_for_is_ended(drawing, instead):
    begun = instead("import time; time.sleep(60)")
    with base3d.base3d_beside(drawing):
        ((process, words),) = begun
        assert process.poll() is None
        assert Path(words[-2]).exists()
    assert process.poll() is not None
    assert not Path(words[-2]).parent.exists()


def test_a_program_that_cannot_start_is_told(drawing, tmp_path, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: name)
    monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))
    assert draw_base3d(drawing, tmp_path / "base3d.png", dpi=DPI) == renderer.NO_LIBRARIES


def test_what_the_renderer_draws_is_shown(drawing, tmp_path, instead):
    instead(
        "import sys; from PIL import Image; p = Image.new('RGB', (900, 700), (120, 0, 160)); "
        "p.paste((250, 250, 250), (0, 0, 90, 90)); p.save(sys.argv[2])"
    )
    assert draw_base3d(drawing, tmp_path / "base3d.png", dpi=DPI) is None
    with Image.open(tmp_path / "base3d.png") as picture:
        pixels = np.asarray(picture.convert("RGB"), dtype=int)
    assert (np.abs(pixels - [120, 0, 160]).max(axis=2) < 12).mean() > 0.3


def test_a_view_neither_turns_nor_stretches_what_it_shows(drawing):
    view = choose_view(build_scene(drawing, most=1000))
    axes = np.stack([view.right, view.up, view.forward])
    assert_allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert view.forward[2] < 0  # from above


def test_the_exaggeration_is_a_round_number(drawing):
    assert choose_view(build_scene(drawing, most=1000)).exaggeration == 5


def test_a_large_base_is_thinned_and_keeps_its_thickness(drawing, result):
    whole = build_scene(drawing, most=10**6)
    assert len(whole.faces) == len(result.field.area)
    assert len(result.field.area) > 100
    thinned = build_scene(drawing, most=100)
    assert 20 < len(thinned.faces) <= 100
    even = build_scene(drawing, most=4000, is_even=True)
    assert 2000 < len(even.faces) <= 6000
    assert_allclose(even.thickness.mean(), result.thickness.mean, atol=0.001)


def test_the_renderer_sees_what_words_are_laid_over(drawing):
    """The camera puts the corners of the slab where the sheet's own projection does."""
    scene = build_scene(drawing, most=1000)
    view = choose_view(scene)
    page = lay_out_view(scene, view, (2.0, 2.0))
    packed = base3d.pack_scene(scene, view, drawing.bands, page)
    middle = view.stretch(scene.faces.reshape(-1, 3)).mean(axis=0)
    corner = view.stretch(scene.top_rings[0][0]) - middle
    off = np.array([(corner - packed["focus"]) @ axis for axis in (view.right, view.up)])
    inches = off / packed["half_height"] * (page.top - page.bottom) / 2
    centre = np.array([page.left + page.right, page.bottom + page.top]) / 2
    wanted = page.on_paper(view.project(scene.top_rings[0][0]))
    assert_allclose(centre + inches, wanted, atol=1e-6)


def test_what_is_too_thin_is_marked_on_the_base_as_on_the_plan(apron, tmp_path, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)
    drawing = draw_up(apron)
    scene = build_scene(drawing, most=1000)
    assert len(scene.thin) == len(drawing.relief.thin) > 0
    rings = np.vstack([ring for rings in scene.thin for ring in rings])
    corners = np.dstack([drawing.field.corners, drawing.field.base])
    assert_allclose(rings[:, 2], nearest_level(corners, rings[:, :2]), atol=0.01)

    alert = np.array(to_rgb(ALERT)) * 255
    red = []
    bare = replace(drawing, relief=replace(drawing.relief, thin=()))
    for number, one in enumerate((drawing, bare)):
        draw_base3d(one, tmp_path / f"{number}.png")
        with Image.open(tmp_path / f"{number}.png") as picture:
            pixels = np.asarray(picture.convert("RGB"), dtype=int)
        view = pixels[:, : int(0.7 * pixels.shape[1])]
        red.append((np.abs(view - alert).max(axis=2) < 12).sum())
    assert red[0] > red[1] + 500
