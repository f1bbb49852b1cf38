"""A job of a few lines that is read, or refused, whole."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job

FOOT = 0.3048


INCH = 0.0254


UNITS = 'units = "ft"\n'


BASE = '[base]\nshots = "shots.csv"\n'


EDGE = "edge = [[0, 0], [45, 0], [45, 80], [0, 80]]\n"


SLAB = f'[slab]\n{EDGE}thickness = "6 in"\n'


TOP = "[top]\nlevel = 100.5\n"


FILES = ("shots.csv", "more.csv", "top.csv", "pad.ply", "edge.geojson", "one.laz", "two.las")


@pytest.fixture
def read(tmp_path):
    """Write a job file beside empty data files, and read it."""
    for name in FILES:
        (tmp_path / name).write_text("")
    (tmp_path / "tiles").mkdir()
    for name in ("b.LAZ", "a.las", "c.copc.laz", "notes.txt"):
        (tmp_path / "tiles" / name).write_text("")
    (tmp_path / "empty").mkdir()

    def read_text(text):
        path = tmp_path / "apron.toml"
        path.write_text(text, encoding="utf-8")
        return read_job(path)

    return read_text


@pytest.fixture
def refuse(read, tmp_path):
    """Read a job that must be refused; return what is said after the file's name."""

    def refuse_text(text):
        with pytest.raises(InputError) as caught:
            read(text)
        said = str(caught.value)
        assert said.startswith(f"{tmp_path / 'apron.toml'}")
        return said.removeprefix(f"{tmp_path / 'apron.toml'}")

    return refuse_text
