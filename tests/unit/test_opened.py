"""Each file of a run is opened once and parsed once. All files are invented."""

import sys

import pytest

from gradevol.doubts.described import take_inventory
from gradevol.files import Files, read_ring, read_shots
from gradevol.files.shots import delimited as delimited_module
from gradevol.files.sources import CodedOutline, OutlineFile, Shots
from gradevol.files.tables.table import read_table
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """
units = "ft"
[base]
shots = "site.csv"
codes = ["BASE"]
rechecks = { shots = "site.csv", codes = ["AGAIN"], radius = 1 }
[slab]
edge = { codes = ["EDGE"] }
thickness = "6 in"
[top]
shots = "site.csv"
codes = ["FORM"]
"""


def site():
    """One file with the base, a recheck, the edge and the forms of a pad of 16 by 9 ft."""
    base = [(e, n, 99.5 + 0.01 * ((e + n) % 3)) for e in range(0, 18, 2) for n in range(0, 12, 3)]
    corners = [(0, 0), (16, 0), (16, 9), (0, 9)]
    rows = [(e, n, z, "BASE") for e, n, z in base]
    rows += [(4, 3, 99.49, "AGAIN")]
    rows += [(e, n, 100, code) for code in ("EDGE", "FORM") for e, n in corners]
    lines = [f"{k},{e},{n},{z:.2f},{code}" for k, (e, n, z, code) in enumerate(rows)]
    return "\n".join(["point,easting,northing,elevation,code", *lines]) + "\n"


_opened: list[str] = []
_is_watching = False


def _watch(event, arguments):
    if _is_watching and event == "open":
        _opened.append(str(arguments[0]))


sys.addaudithook(_watch)  # sees every way to open a file; it can't be taken off, only be deaf


@pytest.fixture
def opened():
    """Names of the files that are opened from now on."""
    global _is_watching  # noqa: PLW0603
    _opened.clear()
    _is_watching = True
    yield _opened
    _is_watching = False


@pytest.fixture
def parsed(monkeypatch):
    """Paths of the tables that are parsed from now on."""
    paths = []

    def read(file):
        paths.append(file.path)
        return read_table(file)

    monkeypatch.setattr(delimited_module, "read_sheet_of", lambda _: read)
    return paths


def test_one_file_of_base_edge_top_and_rechecks_is_opened_and_parsed_once(tmp_path, opened, parsed):
    (tmp_path / "site.csv").write_text(site())
    (tmp_path / "job.toml").write_text(JOB)
    job = read_job(tmp_path / "job.toml")
    opened.clear()

    result = check_job(job)

    assert len(result.survey.ids) == 36
    assert len(result.slab.edge) == 4
    # its fingerprint in the record is that of what was read
    assert [name for name in opened if name.endswith("site.csv")] == [str(tmp_path / "site.csv")]
    assert parsed == [tmp_path / "site.csv"]


def test_a_file_larger_than_what_is_looked_at_is_opened_once_too(tmp_path, opened):
    path = tmp_path / "many.csv"
    path.write_text("".join(f"{k},{k % 317}.125,{k // 317}.5,100.25,B\n" for k in range(5000)))
    opened.clear()
    files = Files()
    for code in ("B", "b"):
        assert len(read_shots(Shots((path,), "ft", codes=(code,)), files).points) == 5000
    assert opened == [str(path)]


def test_what_another_asks_of_a_file_does_not_change_what_one_reads(tmp_path):
    path = tmp_path / "site.csv"
    path.write_text(site())
    files = Files()
    edge = CodedOutline(Shots((path,), "m", codes=("EDGE",)))
    assert read_ring(edge, files).max() == 16
    assert (
        read_ring(CodedOutline(Shots((path,), "ft", codes=("EDGE",))), files).max() == 16 * 0.3048
    )
    assert read_ring(edge, files).max() == 16


def test_a_drawing_is_read_once_for_each_of_its_layers(tmp_path, opened):
    from ezdxf.filemanagement import new  # noqa: PLC0415

    drawing = new("R2010")
    for layer, size in (("EDGE", 20), ("PIT", 2)):
        corners = [(0, 0), (size, 0), (size, size), (0, size)]
        space = drawing.modelspace()
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    path = tmp_path / "plan.dxf"
    drawing.saveas(path)
    files = Files()
    read_ring(OutlineFile(path, "m", layer="EDGE"), files)
    opened.clear()
    assert read_ring(OutlineFile(path, "m", layer="PIT"), files).max() == 2
    assert opened == []


def test_a_file_that_is_refused_is_refused_again(tmp_path):
    path = tmp_path / "site.csv"
    path.write_text("<kml/>")
    files = Files()
    for _ in range(2):
        with pytest.raises(InputError, match="XML"):
            read_shots(Shots((path,), "m"), files)


def test_what_looks_wrong_in_a_file_is_found_without_reading_it_again(tmp_path, opened):
    path = tmp_path / "site.csv"
    text = site().replace("7,2,9,", "7,2,9,1")
    path.write_text(text)
    files, source = Files(), Shots((path,), "ft", codes=("BASE",))
    read_shots(source, files)
    opened.clear()

    found = take_inventory(path, unit="ft", files=files).findings

    assert str(path) not in opened
    assert found == take_inventory(path, unit="ft").findings
    assert "far-elevations" in [finding.code for finding in found]
