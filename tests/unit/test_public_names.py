import ast
import subprocess
import sys
from pathlib import Path

import pytest

import gradevol

pytestmark = pytest.mark.usefixtures("unsimulated")

HEAVY = {"numpy", "scipy", "shapely", "matplotlib", "click"}


@pytest.mark.parametrize("name", gradevol.__all__)
def test_every_public_name_is_there(name):
    assert getattr(gradevol, name) is not None
    assert name in dir(gradevol)


def test_a_type_checker_sees_the_names_that_are_loaded():
    told = ast.parse(Path(gradevol.__file__).read_text(encoding="utf-8"))
    seen = set()
    for node in ast.walk(told):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("gradevol."):
            seen |= {alias.name for alias in node.names}
    assert seen == set(gradevol.__all__) == set(gradevol._HOMES)


def test_a_name_that_is_not_there_is_said_to_be_missing():
    with pytest.raises(AttributeError, match="has no attribute 'volume'"):
        _ = gradevol.volume


def test_the_package_alone_loads_nothing_heavy():
    told = subprocess.run(
        [sys.executable, "-c", "import gradevol, sys; print(*sys.modules)"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert not HEAVY & set(told.stdout.split())


def test_the_road_in_python_is_that_of_the_command():
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron" / "job.toml"
    view = gradevol.present(gradevol.check_job(gradevol.read_job(sample)))
    assert view["concrete"]["volume"] == pytest.approx(72.7, abs=0.1)


def test_objects_print_on_a_line():
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron" / "job.toml"
    job = gradevol.read_job(sample)
    result = gradevol.check_job(job)
    assert repr(job).endswith("'Cider-house loading apron', in ft>")
    assert repr(result).startswith("<Result of 'Cider-house loading apron': 72.7 yd³ of concrete; ")
    assert repr(result.survey) == "<Survey of 60 points, shots>"
    assert repr(result.field).startswith(f"<ThicknessField of {len(result.field.area):,} pieces")


def test_jobs_and_results_can_be_compared_and_kept_in_a_set():
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron" / "job.toml"
    job, again = gradevol.read_job(sample), gradevol.read_job(sample)
    result = gradevol.check_job(job)
    assert (job == job, job == again, result == result) == (True, False, True)  # noqa: PLR0124
    assert len({job, again, result}) == 3


def test_the_pages_example_runs(monkeypatch, capsys):
    root = Path(__file__).parents[2]
    page = (root / "docs" / "how-to" / "from-python.md").read_text(encoding="utf-8")
    monkeypatch.chdir(root)
    exec(page.split("```python\n")[1].split("```")[0], {})
    assert "from side" in capsys.readouterr().out


def test_a_path_may_be_plain_text(monkeypatch):
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron"
    monkeypatch.chdir(sample.parent)
    assert gradevol.read_job("apron/job.toml").path == sample / "job.toml"
    assert gradevol.take_inventory("apron/shots.csv").kind == "points"
    with pytest.raises(gradevol.InputError, match="there is no such file"):
        gradevol.take_inventory("apron/none.csv")


def test_a_path_in_place_of_a_job_or_a_result_is_told_what_to_do():
    with pytest.raises(TypeError, match=r"check_job\(read_job\(path\)\)"):
        gradevol.check_job("job.toml")  # type: ignore[arg-type]
    with pytest.raises(TypeError, match=r"present\(check_job\(read_job\(path\)\)\)"):
        gradevol.present("job.toml")  # type: ignore[arg-type]


@pytest.mark.parametrize("asked", [{"unit": "feet"}, {"notation": "tenths"}])
def test_a_unit_or_notation_of_no_such_name_is_refused(asked):
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron" / "shots.csv"
    with pytest.raises(ValueError, match="is none of"):
        gradevol.take_inventory(sample, **asked)
