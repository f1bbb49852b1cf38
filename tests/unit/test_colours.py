import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing.bands import EACH_WAY
from gradevol.out.pictures.colours import ALERT, INK, shade, shades

# sRGB to XYZ under D65, IEC 61966-2-1:1999 (from memory; the rows add up to D65's white).
XYZ_FROM_RGB = np.array(
    [(0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505)]
)
# Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision
# deficiency", IEEE TVCG 15(6), 2009: severity 1.0, for linear RGB. Known from several public copies
# that agree with one another; the paper itself was not at hand.
SIMULATED = {
    "everyone": np.eye(3),
    "protanopia": np.array(
        [
            (0.152286, 1.052583, -0.204868),
            (0.114503, 0.786281, 0.099216),
            (-0.003882, -0.048116, 1.051998),
        ]
    ),
    "deuteranopia": np.array(
        [
            (0.367322, 0.860646, -0.227968),
            (0.280085, 0.672501, 0.047413),
            (-0.011820, 0.042940, 0.968881),
        ]
    ),
    "tritanopia": np.array(
        [
            (1.255528, -0.076749, -0.178779),
            (-0.078411, 0.930809, 0.147602),
            (0.004733, 0.691367, 0.303900),
        ]
    ),
}


#: From the design's band.
STEPS = np.arange(-EACH_WAY, EACH_WAY + 1.0)


def linear(rgb):
    return np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)


def lab(light):
    xyz = light @ XYZ_FROM_RGB.T / XYZ_FROM_RGB.sum(axis=1)
    root = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.column_stack(
        [116 * root[:, 1] - 16, 500 * (root[:, 0] - root[:, 1]), 200 * (root[:, 1] - root[:, 2])]
    )


def seen_by(eyes, rgb):
    return lab(np.clip(linear(rgb) @ SIMULATED[eyes].T, 0, 1))


def from_hex(text):
    return np.array([[int(text[i : i + 2], 16) / 255 for i in (1, 3, 5)]])


def test_the_matrices_leave_grey_alone():
    for matrix in SIMULATED.values():
        assert_allclose(matrix.sum(axis=1), 1, atol=2e-6)


@pytest.mark.parametrize("eyes", SIMULATED)
def test_lightness_falls_all_the_way_for_all_eyes(eyes):
    lightness = seen_by(eyes, shade(np.linspace(0, 1, 256)))[:, 0]
    assert np.diff(lightness).max() < 0
    assert lightness[0] - lightness[-1] > 48


@pytest.mark.parametrize("eyes", SIMULATED)
def test_neighbouring_steps_are_told_apart_by_all_eyes(eyes):
    steps = seen_by(eyes, shades(STEPS))
    apart = np.hypot.reduce(np.diff(steps, axis=0), axis=1)
    assert apart.min() > 5  # CIE 1976 difference; about 2.3 is just noticed


def test_steps_are_even_in_grey():
    grey = seen_by("everyone", shades(STEPS))[:, 0]
    assert_allclose(np.diff(grey), np.diff(grey).mean(), atol=0.3)


def test_no_colour_of_the_scale_is_cut_off_by_the_screen():
    colours = shade(np.linspace(0, 1, 256))
    assert colours.min() > 0.02
    assert colours.max() < 0.999


@pytest.mark.parametrize("eyes", SIMULATED)
def test_ink_and_alert_stand_out_on_every_step(eyes):
    steps = seen_by(eyes, shades(STEPS))
    assert steps[:, 0].min() - seen_by(eyes, from_hex(INK))[0, 0] > 25
    # what is too thin lies in the paler half
    alert = seen_by(eyes, from_hex(ALERT))
    assert np.hypot.reduce(steps[:5] - alert, axis=1).min() > 25
