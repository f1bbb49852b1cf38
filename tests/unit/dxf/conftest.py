"""Drawings as ezdxf writes them."""

import numpy as np
import pytest
from ezdxf.filemanagement import new

SQUARE = [(0, 0), (20, 0), (20, 10), (0, 10)]


CORNERS = [(0, 0, 100), (20, 0, 100.5), (20, 10, 101), (0, 10, 100.25)]


FAR = np.array([2_012_300.123456789, 651_200.987654321, 0])


VERSIONS = ["R12", "R2000", "R2018"]


@pytest.fixture
def file(tmp_path):
    """A function that lets another draw, and saves what it drew."""

    def file(draw, version="R2010", units=0, form="asc"):
        drawing = new(version)
        if version != "R12":
            drawing.header["$INSUNITS"] = units
        draw(drawing.modelspace())
        path = tmp_path / "base.dxf"
        drawing.saveas(path, fmt=form)
        return path

    return file


def on(layer, **rest):
    return {"dxfattribs": {"layer": layer, **rest}}


def draw_two_layers(space):
    for number, corner in enumerate(CORNERS * 2):
        space.add_point(corner, **on("Base" if number < 4 else "CURB"))


def add_block(space, insert_on, *entities, layer="0"):
    block = space.doc.blocks.new(f"B{len(space.doc.blocks)}")
    for entity in entities:
        getattr(block, f"add_{entity[0]}")(*entity[1:], **on(layer))
    space.add_blockref(block.name, (0, 0), **on(insert_on))
    return block


def draw_polyface(space):
    space.add_polyface().append_faces([CORNERS[:3], [CORNERS[0], CORNERS[2], CORNERS[3]]])
