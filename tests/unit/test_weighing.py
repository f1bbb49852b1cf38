"""The volume is weighed a second time in every check."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner
from numpy.testing import assert_allclose

from gradevol.cli import main
from gradevol.doubts.weighing import _are_plain, refuse_unlike_weights, weigh_body
from gradevol.geometry.loops import find_lone
from gradevol.geometry.prisms import volume_above
from gradevol.ground.errors import GeometryError, GradevolError
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.measures.body import Body, build_body, close_plain
from gradevol.measures.concrete import measure_concrete
from gradevol.runs.check import check_job
from gradevol.site.slab import Slab
from tests.small_job import write_job

SAMPLES = sorted((Path(__file__).parents[2] / "sample_surveys").glob("*/job*.toml"))


class Stopped(GradevolError):
    """Enough of the check is done."""


@pytest.fixture
def weighed(monkeypatch):
    """Go with a job as far as its volume is weighed: field and concrete."""

    def run(path):
        held = []

        def stop(field, concrete, **_):
            refuse_unlike_weights(field, concrete)
            held.append((field, concrete))
            raise Stopped

        monkeypatch.setattr("gradevol.runs.check.refuse_unlike_weights", stop)
        with pytest.raises(Stopped):
            check_job(read_job(path))
        return held[0]

    return run


def test_a_field_of_many_pieces_is_weighed_in_blocks(weighed, monkeypatch):
    field, concrete = weighed(next(job for job in SAMPLES if job.parent.name == "apron"))
    sizes = []

    def count(close):
        def run(part):
            sizes.append(len(part.area))
            return close(part)

        return run

    monkeypatch.setattr("gradevol.doubts.weighing._PIECES", 50)
    monkeypatch.setattr("gradevol.doubts.weighing.build_body", count(build_body))
    monkeypatch.setattr("gradevol.doubts.weighing.close_plain", count(close_plain))
    refuse_unlike_weights(field, concrete)
    assert sum(sizes) == len(field.area)
    assert max(sizes) <= 50 < len(field.area)
    with pytest.raises(GeometryError):
        refuse_unlike_weights(field, replace(concrete, slab=concrete.slab * 1.00001))


@pytest.mark.parametrize("job", SAMPLES, ids=lambda job: f"{job.parent.name}-{job.stem}")
def test_every_sample_is_a_closed_body_of_the_same_volume(check_sample, job):
    result = check_sample(f"{job.parent.name}/{job.name}")
    field, concrete = result.field, result.concrete
    for step, allowed in ((1e-9, 1e-8), (2e-6, 2e-5), (2.0**-17, 1e-4)):
        body = build_body(field, step=step)
        solid = trimesh.Trimesh(body.vertices, body.faces, process=False)
        assert solid.is_watertight
        assert solid.is_winding_consistent
        assert_allclose(solid.volume, concrete.slab, rtol=allowed)
        assert_allclose(weigh_body(body), [solid.volume, solid.area], rtol=1e-9)
        if step > 1e-8:  # less apart than that is one place to trimesh
            assert trimesh.Trimesh(solid.vertices, solid.faces, process=True).is_watertight


def test_pieces_that_share_their_corners_are_closed_by_them(check_sample):
    field = check_sample("cloud_pad/job.toml").field
    part = field.take(_are_plain(field))
    assert 0 < len(part.area) < len(field.area)
    body = close_plain(part)
    solid = trimesh.Trimesh(body.vertices, body.faces, process=False)
    assert solid.is_winding_consistent
    # an edge over a corner that the rim passes twice is that of four faces
    assert (np.unique(solid.edges_unique_inverse, return_counts=True)[1] % 2 == 0).all()
    assert_allclose(weigh_body(body), [solid.volume, solid.area], rtol=1e-9)
    volume = volume_above(part.area, part.thickness).sum()
    assert_allclose([solid.volume, weigh_body(build_body(part))[0]], volume, rtol=1e-8)
    assert len(find_lone(part.rows)) < len(part.area)  # by far the most sides have a neighbour


def test_the_samples_are_there():
    assert len(SAMPLES) >= 7


@pytest.mark.usefixtures("unsimulated")
@pytest.mark.parametrize("share", [-1e-6, 1e-6, 0.01])
def test_a_volume_that_the_body_does_not_have_is_refused(monkeypatch, tmp_path, share):
    def spoiled(area, depth):
        return volume_above(area, depth) * (1 + share)

    job = read_job(write_job(tmp_path))
    right = check_job(job).concrete.slab / CUBIC_YARD
    monkeypatch.setattr("gradevol.measures.concrete.volume_above", spoiled)
    with pytest.raises(GeometryError) as caught:
        check_job(job)
    said = str(caught.value)
    assert f"comes to {right * (1 + share):.10g} yd³ added up" in said
    assert "do not order by this job" in said
    assert " m" not in said.replace(" must", "")
    assert "\n" not in said


def test_a_field_whose_pieces_do_not_fit_their_areas_is_refused(weighed, tmp_path):
    field, concrete = weighed(write_job(tmp_path))
    area = np.where(np.arange(len(field.area)) == 3, field.area * 1.001, field.area)
    slab = Slab(np.array([[0, 0], [4.8768, 0], [4.8768, 2.7432], [0, 2.7432]]), (), 0.15, 0.1)
    wrong = replace(field, area=area)
    with pytest.raises(GeometryError, match="one of them is wrong"):
        refuse_unlike_weights(wrong, measure_concrete(wrong, slab))
    refuse_unlike_weights(field, concrete)


@pytest.mark.parametrize("thickness", [0.0, 1e-16, 1e-12, 1e-9, 1.5e-9, 1e-8, 1e-6])
def test_concrete_of_no_thickness_is_no_contradiction(weighed, tmp_path, thickness):
    field, concrete = weighed(write_job(tmp_path))
    film = field.with_thickness(np.full(field.rows.shape, thickness))
    refuse_unlike_weights(film, replace(concrete, slab=thickness * float(field.area.sum())))


def test_nothing_is_written_of_a_job_that_is_refused(monkeypatch, tmp_path):
    monkeypatch.setattr("gradevol.doubts.weighing.weigh_body", lambda _: (0.0, 1.0))
    done = CliRunner().invoke(
        main, ["check", str(write_job(tmp_path)), "--out", str(tmp_path / "out")]
    )
    assert done.exit_code == 2
    assert "job.toml: The concrete between base and top comes to" in done.output
    assert done.output.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_a_body_far_from_the_origin_weighs_the_same(weighed, tmp_path):
    body = build_body(weighed(write_job(tmp_path))[0])
    moved = Body(body.vertices + np.array([600_000.0, 5_000_000.0, 1000.0]), body.faces)
    assert_allclose(weigh_body(moved), weigh_body(body), rtol=1e-7)
