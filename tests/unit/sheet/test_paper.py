"""The sheet, read back from its PDF: on which paper, in which colours."""

import re
import zlib
from typing import Any

import numpy as np
import pypdf
import pytest
import shapely
from fontTools.subset import ttLib  # what sifts them is put on the tables there
from matplotlib.colors import to_rgb

from gradevol.answer.compose import compose_answer
from gradevol.out.paper import labels, tapes
from gradevol.out.paper.paper import write_pdf
from gradevol.out.paper.sheet import draw_sheet
from gradevol.out.pictures.badges import draw_number
from gradevol.out.pictures.sheet import Sheet
from tests.lettering import measure_map
from tests.pads import grid


def streams_of(pdf):
    """Uncompressed contents of a PDF's streams, as text."""
    return [
        zlib.decompress(found).decode("latin-1")
        for found in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
        if found[:1] == b"x"
    ]


def test_tables_by_which_letters_are_chosen_are_not_sifted_to_embed_a_font(tmp_path, monkeypatch):
    sheet, sifted = Sheet.blank(1, 1), []
    sheet.write(0.1, 0.5, "1/2 in")
    for name in ("GDEF", "GPOS", "GSUB"):
        kind = ttLib.getTableClass(name)
        monkeypatch.setattr(kind, "subset_glyphs", lambda table, _: sifted.append(table.tableTag))
    write_pdf(sheet, tmp_path / "sheet.pdf", title="")
    assert sifted == []
    assert "1/2 in" in pypdf.PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text()


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        ("letter", (612, 792)),  # 8.5 by 11 in
        ("tabloid", (792, 1224)),
        ("a4", (595.3, 841.9)),  # 210 by 297 mm
        ("a3", (841.9, 1190.6)),
    ],
)
def test_the_sheet_is_one_page_of_the_paper_asked_for(make_result, sheet, large, paper, size):
    if written := {"letter": sheet, "tabloid": large}.get(paper):
        points = size_of(written.read_bytes())
    else:
        edge = np.array([[0, 0], [6, 0], [6, 4], [0, 4.0]])
        pad = make_result(np.column_stack([edge, np.zeros(4)]), edge, 0.15)
        drawn = draw_sheet(compose_answer(pad), paper=paper)
        points = sorted((72 * drawn.width, 72 * drawn.height))
    assert points == pytest.approx(size, abs=0.5)


def size_of(pdf):
    """Short and long side of the one page, points."""
    assert len(re.findall(rb"/Type /Page\b(?!s)", pdf)) == 1
    box = re.search(rb"/MediaBox \[ ([\d. ]+)\]", pdf)
    assert box is not None
    return sorted(float(size) for size in box[1].split()[2:])


def test_the_paper_is_the_smallest_on_which_each_shot_has_its_mark(make_result, sheet):
    assert size_of(sheet.read_bytes()) == pytest.approx((612, 792), abs=0.5)
    edge = np.array([[0, 0], [30, 0], [30, 6], [0, 6]], float)
    plan = np.stack(np.meshgrid(np.arange(0.3, 30, 0.9), np.arange(0.3, 6, 0.9)), axis=-1)
    plan = plan.reshape(-1, 2)
    assert 150 < len(plan) < 250
    shots = np.column_stack([plan, 0.004 * np.sin(plan.sum(axis=1))])
    drawn = draw_sheet(
        compose_answer(make_result(shots, edge, 0.15, base_high=0.01, base_low=0.01))
    )
    assert sorted((72 * drawn.width, 72 * drawn.height)) == pytest.approx((841.9, 1190.6), abs=0.5)
    said = " ".join(text.get_text().strip() for text in drawn.axes.texts)
    assert "Every shot on the slab is marked." in said


@pytest.mark.parametrize(
    ("size", "paper"), [((16, 30), "letter"), ((24, 20), "a4"), ((8, 8), "letter")]
)
def test_the_map_has_at_least_half_of_the_paper_asked_for(make_result, size, paper):
    east, north = np.meshgrid(np.linspace(0, size[0], 9), np.linspace(0, size[1], 6))
    shots = np.column_stack([east.ravel(), north.ravel(), 0.004 * np.sin(east + north).ravel()])
    edge = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], float)
    answer = compose_answer(make_result(shots, edge, 0.15, base_high=0.005, base_low=0.005))
    sheet = draw_sheet(answer, paper=paper)
    wide, high = measure_map(sheet)
    assert wide * high >= 0.5 * sheet.width * sheet.height


def test_no_letter_is_under_seven_points_on_any_paper(sheet, large):
    for path in (sheet, large):
        page = pypdf.PdfReader(path).pages[0]
        sizes: list[float] = []

        def note(text, _matrix, _transform, _font, size, *, sizes=sizes):
            if text.strip():
                sizes.append(size)

        page.extract_text(visitor_text=note)
        assert len(sizes) > 100
        assert min(sizes) >= 7.0


def test_every_line_is_black_enough_for_a_copy(drawn):
    axes = drawn.axes
    tones = [tone for drawn in axes.collections for tone in drawn.get_edgecolor()[:, 0]]
    assert len(tones) > 10
    # white lies beside lines; what is neither white nor black is lost on a copy
    assert {round(float(tone), 3) for tone in tones} <= {0.0, 1.0}
    assert {round(float(to_rgb(text.get_color())[0]), 3) for text in axes.texts} == {0.0}


@pytest.mark.parametrize("paper", ["letter", "tabloid"])
def test_the_numbers_of_the_list_stand_outside_the_places(apron, monkeypatch, paper):
    charts: list[tuple[Any, ...]] = []
    numbers: list[tuple[Any, ...]] = []
    monkeypatch.setattr(labels, "draw_numbers", keep_call(charts, tapes.draw_numbers))
    monkeypatch.setattr(tapes, "draw_number", keep_call(numbers, draw_number))
    draw_sheet(compose_answer(apron), paper=paper)
    (chart, works), *_ = charts
    assert [rank for *_, rank in numbers] == [work.rank for work in works]
    spots = chart.drawing.spots
    places = [
        shapely.Polygon(ring)
        for place in (*spots.thin, *spots.high, *spots.low)
        for ring in chart.all_on_paper(place.rings)
    ]
    assert len(places) > 2
    for _, x, y, rank in numbers:
        badge = shapely.Point(x, y).buffer(0.08)
        assert not any(place.intersects(badge) for place in places), rank


def keep_call(kept, call):
    """Call through, and keep with what."""

    def called(*args):
        kept.append(args)
        return call(*args)

    return called


def test_the_sheet_is_black_and_grey(sheet):
    pages = streams_of(sheet.read_bytes())
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
    plan = grid(east, north)
    shots = np.column_stack([plan, 0.01 * np.sin(plan.sum(axis=1))])
    result = make_result(
        shots, edge, 0.15, base_high=0.005, base_low=0.005, title="Ölweg <1> & 50 %"
    )
    drawn = draw_sheet(compose_answer(result))
    assert len(drawn.axes.texts) > 50
    if np.ptp(edge) == 2:
        write_pdf(drawn, tmp_path / "sheet.pdf", title=result.title)
        assert (tmp_path / "sheet.pdf").stat().st_size > 10_000
