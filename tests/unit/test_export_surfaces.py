"""LandXML: read back by the standard library and by the package's own reader."""

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.answer.compose import compose_answer
from gradevol.answer.surfaces import compose_surfaces
from gradevol.answer.surfaces.meshes import Mesh, mesh_base, mesh_top
from gradevol.job import read_job
from gradevol.out.exports import write_exports
from gradevol.out.exports.landxml import NamedShots, NamedSurface, write_landxml
from gradevol.runs.check import check_job
from gradevol.site.slab import Thickening
from tests.exported import export
from tests.pads import grid
from tests.read_files import read_faces_of, read_points_of

NAMESPACE = "{http://www.landxml.org/schema/LandXML-1.2}"


def read_back(path):
    """Root of a file, and by name each surface: points in order E, N, Z and rows of them."""
    root = ET.parse(path).getroot()
    surfaces = {}
    for surface in root.iter(f"{NAMESPACE}Surface"):
        rows: dict[str, int] = {}
        points: list[tuple[float, float, float]] = []
        for place in surface.iter(f"{NAMESPACE}P"):
            rows[place.get("id", "")] = len(points)
            north, east, level = map(float, (place.text or "").split())
            points.append((east, north, level))
        faces = [
            [rows[name] for name in (f.text or "").split()] for f in surface.iter(f"{NAMESPACE}F")
        ]
        surfaces[surface.get("name")] = np.array(points), np.array(faces)
    return root, surfaces


def test_what_is_read_back_is_what_was_written(exported):
    _, surfaces = read_back(exported.folder / "surfaces.xml")
    assert list(surfaces) == ["base", "top"]
    for name, mesh in (("base", mesh_base(exported.result)), ("top", mesh_top(exported.result))):
        points, faces = surfaces[name]
        assert len(points) > 3
        assert_array_equal(points, mesh.points)
        assert_array_equal(faces, mesh.triangles)


def test_points_that_rounding_makes_one_are_one_and_no_face_is_a_line(exported):
    base = exported.result.base
    one, other, _ = base.triangles[np.flatnonzero(base.is_surveyed)[0]]
    points = base.points.copy()
    points[other] = points[one] + 1e-8
    mesh = mesh_base(replace(exported.result, base=replace(base, points=points)))
    assert len(np.unique(mesh.points, axis=0)) == len(mesh.points)
    plan = mesh.points[mesh.triangles][..., :2]
    sides = plan[:, 1:] - plan[:, :1]
    assert np.abs(np.linalg.det(sides)).min() > 0


def test_the_base_passes_through_every_shot_to_a_micrometre(exported):
    points = read_back(exported.folder / "surfaces.xml")[1]["base"][0]
    survey = exported.result.survey
    shots = (survey.points + survey.origin) / exported.metres
    away = np.abs(points[None] - shots[:, None]).max(axis=2).min(axis=1)
    assert len(shots) == 63
    assert away.max() < 1e-6


def test_the_unit_is_declared_and_another_is_refused(exported):
    root, _ = read_back(exported.folder / "surfaces.xml")
    (units,) = root.iter(f"{NAMESPACE}Units")
    wanted = {
        "m": ("Metric", "meter"),
        "ft": ("Imperial", "foot"),
        "us-ft": ("Imperial", "USSurveyFoot"),
    }
    (declared,) = units
    assert (declared.tag.removeprefix(NAMESPACE), declared.get("linearUnit")) == wanted[
        exported.unit
    ]
    other = "ft" if exported.unit == "us-ft" else "us-ft"
    with pytest.raises(Exception, match="says that it is in"):
        read_faces_of(exported.folder / "surfaces.xml", unit=other, name="base")


def test_the_title_survives_what_xml_reserves(exported):
    root, _ = read_back(exported.folder / "surfaces.xml")
    assert next(root.iter(f"{NAMESPACE}Project")).get("name") == "Yard “B” <old & new>, été"
    assert root.get("version") == "1.2"
    datetime.fromisoformat(f"{root.get('date')}T{root.get('time')}")


def test_shots_are_points_with_their_descriptions(exported):
    path = exported.folder / "surfaces.xml"
    survey = read_points_of(path, unit=exported.unit)
    wanted = exported.result.survey
    assert survey.ids == wanted.ids
    assert survey.codes == wanted.codes
    assert_allclose(survey.points + survey.origin, wanted.points + wanted.origin, atol=1e-6)


@pytest.mark.usefixtures("unsimulated")
@pytest.mark.parametrize("file", ["surfaces.xml", "drawing.dxf"])
def test_the_surfaces_of_the_file_give_the_same_volume(exported, file):
    tables = {"xml": 'surface_name = "{}"', "dxf": 'layer = "{}"'}
    job = exported.job.read_text(encoding="utf-8")
    slab = job[job.index("[slab]") : job.index("[top]")]
    parts = [f'units = "{exported.unit}"']
    for table in ("base", "top"):
        chosen = tables[file[-3:]].format(table)
        parts.append(f'[{table}]\nsurface_file = "exports/{file}"\n{chosen}')
    other = exported.job.with_name(f"again-{file[-3:]}.toml")
    other.write_text("\n".join([parts[0], parts[1], slab, parts[2]]))
    again = check_job(read_job(other))
    assert_allclose(again.concrete.slab, exported.result.concrete.slab, rtol=1e-6)
    assert_allclose(again.thickness.min, exported.result.thickness.min, atol=2e-6)


def test_what_is_held_level_beyond_the_shots_is_not_in_the_base(apron, tmp_path):
    assert apron.coverage < 0.95
    write_exports(
        compose_answer(apron),
        compose_surfaces(apron),
        tmp_path,
        ["landxml"],
        progress=lambda *_: None,
    )
    points, faces = read_back(tmp_path / "surfaces.xml")[1]["base"]
    plan = points[faces][..., :2]
    one, other = plan[:, 1] - plan[:, 0], plan[:, 2] - plan[:, 0]
    area = (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]).sum() / 2
    assert_allclose(area, 45 * 80 * apron.coverage, rtol=1e-6)


def test_trench_shots_are_raised_in_the_base_and_as_measured_among_the_points(
    make_result, tmp_path
):
    plan = grid(np.arange(0, 11.0), np.arange(0, 9.0))
    level = np.where(plan[:, 1] < 0.5, 9.6, 9.85)
    beam = Thickening("beam", depth=0.25, width=0.9, sides=(1,), surveyed="departure")
    edge = np.array([[0, 0], [10, 0], [10, 8], [0, 8.0]])
    shots = np.column_stack([plan, level])
    result = make_result(shots, edge, 10.0, thickenings=(beam,))
    export(result, tmp_path, ["landxml"])
    root, surfaces = read_back(tmp_path / "surfaces.xml")
    assert_allclose(surfaces["base"][0][:, 2], 9.85, atol=1e-9)
    assert "raised" in next(root.iter(f"{NAMESPACE}Surface")).get("desc", "")
    assert_allclose(read_points(tmp_path / "surfaces.xml"), shots, atol=1e-9)


def read_points(path):
    survey = read_points_of(path, unit="m")
    return survey.points + survey.origin


def test_a_result_without_its_base_is_refused(apron, tmp_path):
    with pytest.raises(ValueError, match="does not hold the surface"):
        export(replace(apron, base=None), tmp_path, ["landxml"])


def test_names_with_characters_that_xml_lacks_can_be_read_back(tmp_path):
    mesh = Mesh(np.array([[0, 0, 1], [1, 0, 1], [0, 1, -0.5]]), np.array([[0, 1, 2]]))
    shots = NamedShots(mesh.points[:2], ("a\x00b", '"<'), ("\x1b", ""))
    write_landxml(
        tmp_path / "a.xml", [NamedSurface("base", "", mesh)], shots,
        unit="m", title="", made=datetime(2026, 3, 1, 7, 5, tzinfo=UTC),
    )  # fmt: skip
    root, surfaces = read_back(tmp_path / "a.xml")
    assert [point.get("name") for point in root.iter(f"{NAMESPACE}CgPoint")] == ["a b", '"<']
    assert_array_equal(surfaces["base"][0], mesh.points)
    assert (root.get("date"), root.get("time")) == ("2026-03-01", "07:05:00")
