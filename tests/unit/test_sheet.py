import re
import zlib

import numpy as np
import pytest

from gradevol.presentation import present
from gradevol.report.sheet import write_sheet


def streams_of(pdf):
    """Uncompressed contents of a PDF's streams, as text."""
    return [
        zlib.decompress(found).decode("latin-1")
        for found in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
        if found[:1] == b"x"
    ]


def write(result, path, **rest):
    write_sheet(path, present(result), result, **rest)
    return path.read_bytes()


def test_the_sheet_is_one_page_of_the_paper_asked_for(apron, tmp_path):
    sizes = {}
    for paper in ("letter", "a4"):
        pdf = write(apron, tmp_path / f"{paper}.pdf", paper=paper)
        assert len(re.findall(rb"/Type /Page\b(?!s)", pdf)) == 1
        box = re.search(rb"/MediaBox \[ ([\d. ]+)\]", pdf)
        sizes[paper] = sorted(float(size) for size in box[1].split()[2:])
    assert np.allclose(sizes["letter"], [612, 792], atol=0.5)  # 8.5 by 11 in
    assert np.allclose(sizes["a4"], [595.3, 841.9], atol=0.5)  # 210 by 297 mm


def test_the_sheet_is_black_and_grey(apron, tmp_path):
    pages = streams_of(write(apron, tmp_path / "sheet.pdf"))
    colours = [
        tuple(map(float, found))
        for page in pages
        for found in re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", page)
    ]
    assert colours or any(re.search(r"[\d.]+ [gG]\b", page) for page in pages)
    assert all(red == green == blue for red, green, blue in colours)


@pytest.mark.parametrize(
    ("edge", "spacing"),
    [
        ([[0, 0], [40, 0], [40, 3], [0, 3]], (2.5, 1.4)),  # a long strip
        ([[0, 0], [2, 0], [2, 1.5], [0, 1.5]], (0.9, 0.7)),  # a step
        ([[0, 0], [9, 0], [9, 4], [4, 4], [4, 12], [0, 12]], (2, 2)),  # an L
        ([[0, 0], [3, 0], [3, 60], [0, 60]], (1.4, 2.9)),
    ],
)
def test_slabs_of_odd_shapes_have_a_sheet(make_result, tmp_path, edge, spacing):
    edge = np.array(edge, float)
    east, north = (np.arange(0, edge[:, i].max() + 0.01, spacing[i]) for i in (0, 1))
    plan = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    shots = np.column_stack([plan, 0.01 * np.sin(plan.sum(axis=1))])
    result = make_result(
        shots, edge, 0.15, base_high=0.005, base_low=0.005, title="Ölweg <1> & 50 %"
    )
    assert len(write(result, tmp_path / "sheet.pdf")) > 10_000
