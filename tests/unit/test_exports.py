"""Which files an export makes, and that they come whole."""

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from gradevol.cli import main
from gradevol.cli.check import check
from gradevol.out.exports import EXPORTS
from gradevol.out.exports.drawing import LAYERS
from tests.exported import export

pytestmark = pytest.mark.usefixtures("unsimulated")
one_unit = pytest.mark.parametrize("exported", ["ft"], indirect=True)

FILES = {
    "landxml": ["surfaces.xml"],
    "dxf": ["drawing.dxf"],
    "geojson": ["spots.geojson"],
    "geotiff": ["cut_fill.tif", "thickness.tif"],
    "ply": ["base.ply", "body.ply"],
    "gltf": ["base.glb", "body.glb"],
    "stl": ["body.stl"],
    "points": ["set_out.csv"],
}


PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "export.md"


def first_cells(heading):
    """What stands in backticks in each row of the table under a heading, cell by cell."""
    text = PAGE.read_text(encoding="utf-8").split(heading, 1)[1].split("\n## ")[0]
    rows = [line.split("|")[1:-1] for line in text.splitlines() if line.startswith("| `")]
    return [[re.findall(r"`([^`]+)`", cell) for cell in row] for row in rows]


def test_the_page_tells_of_every_kind_and_its_files():
    told = {row[0][0]: sorted(row[1]) for row in first_cells("# Take") if row[0][0] != "--export"}
    assert told == FILES


def test_the_page_tells_of_every_layer():
    told = [name for row in first_cells("## The layers") for name in row[0]]
    assert told == list(LAYERS)


def run(job, out, *words):
    arguments = ["check", str(job), "--out", str(out), "--no-pictures", *words]
    return CliRunner().invoke(main, arguments, catch_exceptions=False)


def names_in(folder):
    return sorted(file.name for file in folder.iterdir())


def test_the_command_offers_what_there_is():
    option = next(option for option in check.params if option.name == "exports")
    assert isinstance(option.type, click.Choice)
    *offered, last = option.type.choices
    assert last == "all"
    assert offered == list(EXPORTS) == list(FILES)


@one_unit
@pytest.mark.parametrize("kind", FILES)
def test_a_kind_makes_its_files_and_no_other(exported, tmp_path, kind):
    export(exported.result, tmp_path, {kind})
    assert names_in(tmp_path) == FILES[kind]


@one_unit
def test_all_kinds_at_once_and_none_unless_asked(exported, tmp_path):
    assert run(exported.job, tmp_path / "all", "--export", "all").exit_code == 0
    made = names_in(tmp_path / "all" / "exports")
    assert made == sorted(name for names in FILES.values() for name in names)
    assert made == names_in(exported.folder)
    assert run(exported.job, tmp_path / "none").exit_code == 0
    assert not (tmp_path / "none" / "exports").exists()


@one_unit
def test_two_kinds_may_be_asked_for(exported, tmp_path):
    done = run(exported.job, tmp_path / "out", "--export", "ply", "--export", "points")
    assert done.exit_code == 0
    assert names_in(tmp_path / "out" / "exports") == ["base.ply", "body.ply", "set_out.csv"]


@one_unit
def test_an_unknown_kind_is_refused_with_the_known_ones(exported, tmp_path):
    done = run(exported.job, tmp_path / "out", "--export", "dwg")
    assert done.exit_code == 2
    assert "landxml" in done.output
    assert not (tmp_path / "out").exists()


@one_unit
def test_an_export_does_not_take_the_place_of_an_input(exported, tmp_path):
    job = exported.job.read_text(encoding="utf-8")
    (tmp_path / "out" / "exports").mkdir(parents=True)
    held = tmp_path / "out" / "exports" / "set_out.csv"
    held.write_bytes((exported.job.parent / "shots.csv").read_bytes())
    here = tmp_path / "job.toml"
    here.write_text(job.replace('"shots.csv"', '"out/exports/set_out.csv"'), encoding="utf-8")
    before = held.read_bytes()
    done = run(here, tmp_path / "out", "--export", "points")
    assert done.exit_code == 2
    assert "--out" in done.output
    assert held.read_bytes() == before
