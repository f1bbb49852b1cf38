from pathlib import Path

import pytest

from gradevol.files.clouds.las_header import read_las_header
from gradevol.files.clouds.las_runs import read_all as read_points
from gradevol.ground.errors import InputError

DATA = Path(__file__).parents[1] / "data"


def blank(folder, name, at, length, byte):
    """Copy a file, with so many bytes from a place all the same."""
    content = bytearray((DATA / name).read_bytes())
    content[at : at + length] = byte * length
    path = folder / name
    path.write_bytes(content)
    return path


def read_all(path):
    return sum(len(points) for points in read_points(read_las_header(path)))


@pytest.mark.parametrize(("at", "length"), [(589, 64), (754, 128), (1325, 128), (1325, 16)])
def test_a_blanked_block_that_kills_the_decoder_is_refused(tmp_path, capfd, at, length):
    with pytest.raises(InputError, match="blocks of it are blank"):
        read_all(blank(tmp_path, "simple.laz", at, length, b"\xff"))
    assert capfd.readouterr().err == ""  # the decoder's panic is its own


def test_good_files_are_unpacked_without_a_trial(monkeypatch):
    monkeypatch.setattr(
        "gradevol.files.clouds.las_trial.subprocess.run", lambda *_, **__: pytest.fail("a trial")
    )
    for name in ("simple.laz", "simple.copc.laz", "format_1_4.laz", "invented.copc.laz"):
        assert read_all(DATA / name)
