"""Files of tickets as text, and what is read of them."""

import pytest
import shapely

from gradevol.files.tickets.table import read_tickets
from gradevol.ground.units import CUBIC_YARD

#: Two parts of a slab.
HALVES = {"west": shapely.box(0, 0, 8, 9), "east": shapely.box(8, 0, 16, 9)}


@pytest.fixture
def read(tmp_path):
    def read_text(text, **how):
        path = tmp_path / "tickets.csv"
        path.write_text(text, encoding="utf-8")
        return read_tickets(path, **{"unit": "ft", **how})

    return read_text


def codes(tickets):
    return [note.code for note in tickets.notes]


def volumes(tickets, unit=CUBIC_YARD):
    return [round(load.volume / unit, 6) for load in tickets.loads]
