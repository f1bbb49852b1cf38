"""STL written by trimesh and by hand."""

import struct

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from tests.read_files import read_faces_of as read_stl

POINTS = np.array(
    [[500, 800, 20], [508, 800, 20.125], [508, 812, 20.25], [500, 812, 20.375], [504, 806, 20.5]]
)
TRIANGLES = np.array([[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]])
TEXT = """solid base
facet normal 0 0 1
 outer loop
  vertex 0 0 1
  vertex 4 0 1
  vertex 4 4 1.5
 endloop
endfacet
endsolid base
"""


@pytest.fixture
def file(tmp_path):
    def file(content):
        path = tmp_path / "base.stl"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return file


def written(points=POINTS, form="stl"):
    return trimesh.Trimesh(points, TRIANGLES, process=False).export(file_type=form)


@pytest.mark.parametrize("form", ["stl", "stl_ascii"])
@pytest.mark.parametrize("unit", sorted(METRES))
def test_what_another_library_wrote_is_read(file, form, unit):
    points, triangles = read_stl(file(written(form=form)), unit=unit)
    assert len(points) == len(POINTS)  # shared corners are one point
    assert_allclose(points[triangles], (POINTS * METRES[unit])[TRIANGLES], rtol=1e-15)


def test_a_binary_file_may_begin_with_the_word_solid(file):
    content = b"solid but binary".ljust(80) + written()[80:]
    assert len(read_stl(file(content), unit="m")[1]) == 4


def test_single_precision_far_from_the_origin_is_refused_with_its_step(file):
    far = POINTS + np.array([2_012_300.0, 651_200.0, 400.0])  # steps of 2**-3 ft
    with pytest.raises(InputError, match=r"eastings are rounded to steps of 0\.0381 m"):
        read_stl(file(written(far)), unit="ft")


def test_text_with_too_few_digits_is_refused_with_its_step(file):
    few = TEXT.replace(" 4 ", " 2.012304e+06 ")
    with pytest.raises(InputError, match=r"eastings are rounded to steps of 0\.3048\d* m"):
        read_stl(file(few), unit="ft")


def test_the_step_counts_in_the_files_unit(file):
    near = POINTS * 40  # 20,000: steps of 0.002, less than a millimetre in inches
    assert len(read_stl(file(written(near)), unit="in")[1]) == 4
    with pytest.raises(InputError, match="too coarse"):
        read_stl(file(written(near)), unit="m")


def test_text_that_is_written_out_keeps_its_digits(file):
    far = TEXT.replace(" 4 ", " 2012304.125 ").replace(" 0 1", " 0 1.0625")
    points, _ = read_stl(file(far), unit="m")
    assert points[:, 0].max() == 2012304.125


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"solid", "text breaks off"),
        (b"abc", "too short"),
        (written()[:-1], "would have 284 bytes for 4 triangles, but it has 283"),
        (written() + b"more", "284 bytes .* but it has 288"),
        (b"\0" * 80 + struct.pack("<I", 4_000_000_000), "200,000,000,084 bytes"),
        (b"\0" * 84, "no faces"),
        (TEXT.replace("endsolid base\n", ""), "breaks off: 1 facets begin and 1 end"),
        (TEXT.partition("endfacet")[0], "breaks off: 1 facets begin and 0 end"),
        (TEXT.replace("  vertex 4 0 1\n", ""), "line 7: facet 1 has not three corners"),
        (TEXT.replace("4 0 1", "4 0"), "line 5: no corner in 'vertex 4 0'"),
        (TEXT.replace("4 0 1", "4 0 one"), "no corner in 'vertex 4 0 one'"),
        (TEXT.replace("4 0 1", "4 0 nan"), "lies at"),
        (written()[:96] + struct.pack("<f", np.inf) + written()[100:], "lies at inf"),
        (written()[:96] + b"\1\0\x80\x7f" + written()[100:], "lies at nan"),  # one that signals
    ],
)
def test_what_is_no_whole_stl_is_refused(file, content, said):
    with pytest.raises(InputError, match=said):
        read_stl(file(content), unit="m")
