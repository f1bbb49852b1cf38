"""The starter jobs: they run, and what is commented out in them works too."""

import re
from functools import cache

import pytest

from gradevol.cli import new
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.out.starter import WAYS, write_starter
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

UNITS = ["feet", "metres"]
#: The survey of each way.
SURVEYS = {
    **{"shots": "shots.csv", "rods": "rods.csv", "tape": "depths.csv", "scan": "scan.laz"},
    "curve": "shots.csv",
}


@pytest.fixture(params=UNITS)
def units(request):
    return request.param


@pytest.fixture(params=WAYS)
def way(request):
    return request.param


@pytest.fixture
def starter(units, way, tmp_path):
    """Job file of a starter, with the files that its commented lines name."""
    job = write_starter(tmp_path / "new" / "job", units, way)
    shots = write_starter(tmp_path / "shots", units).parent / "shots.csv"
    for name in ("forms.csv", "second.csv"):
        (job.parent / name).write_bytes(shots.read_bytes())
    return job


@pytest.fixture(scope="module")
def checked(tmp_path_factory):
    """Check a starter as it is written, once."""

    @cache
    def run(units, way):
        return check_job(read_job(write_starter(tmp_path_factory.mktemp("job"), units, way)))

    return run


def test_the_command_knows_every_way_and_unit():
    assert new.WAYS == WAYS
    assert sorted(new.UNITS.values()) == UNITS
    assert set(SURVEYS) == set(WAYS)


def test_it_writes_its_survey_and_says_that_all_is_invented(tmp_path, units, way):
    job = write_starter(tmp_path / "a" / "b", units, way)
    assert job == tmp_path / "a" / "b" / "job.toml"
    written = {path.name for path in job.parent.iterdir()}
    assert written == {"job.toml", SURVEYS[way]} | ({"control.csv"} if way == "scan" else set())
    for name in written - {"scan.laz"}:
        assert "invented" in (job.parent / name).read_text(encoding="utf-8").lower()


def test_it_runs_and_shows_something_of_each_kind(checked, units, way):
    result = checked(units, way)
    assert 0.9 < result.concrete.volume / result.concrete.nominal < 1.1
    assert result.suspects == ()
    assert result.high is not None
    assert result.low is not None
    assert result.high.area > 0
    assert result.low.area > 0
    assert result.delivery.order is not None
    wrong = {"suspect-shots", "thickness-far-from-design", "base-above-top", "far-shots"}
    assert not wrong & {note.code for note in result.notes}


def test_every_way_shows_one_base(checked, tmp_path, units):
    """Rods, tape and scan measure what the shots do: the scan stands low, and says so."""
    ways = set(WAYS) - {"curve", "scan"}  # the slab of the curve is another
    volumes = {way: checked(units, way).concrete.volume for way in ways}
    text = (job := write_starter(tmp_path, units, "scan")).read_text(encoding="utf-8")
    text = text.replace('"control.csv" }', '"control.csv", apply = true }')
    job.write_text(text, encoding="utf-8")
    volumes["scan"] = check_job(read_job(job)).concrete.volume
    assert volumes["rods"] == pytest.approx(volumes["shots"], rel=1e-9)
    assert volumes["tape"] == pytest.approx(volumes["shots"], rel=0.005)  # in eighths
    assert volumes["scan"] == pytest.approx(volumes["shots"], rel=0.01)  # out to the forms


def commented(text):
    """Lines that are a key or a table behind a mark, without the mark."""
    lines = [line[2:] for line in text.splitlines() if re.match(r"# (\[|[a-z_]+ = )", line)]
    return [re.sub(r" +# .*$", "", line) for line in lines]


def test_every_table_that_is_commented_out_can_be_used(units, tmp_path):
    starter = write_starter(tmp_path, units)
    text = starter.read_text(encoding="utf-8")
    start = text.index("# [[thickening]]")
    used = re.sub(r"^# (?=\[|[a-z_]+ = )", "", text[start:], flags=re.MULTILINE)
    starter.write_text(text[:start] + used, encoding="utf-8")
    job = read_job(starter)
    assert len(job.slab.thickenings) == 1
    assert len(job.slab.voids) == 1
    assert [test.name for test in job.tests] == ["acceptance 1"]
    assert job.order is not None
    terms = job.order
    assert terms.least_load
    assert terms.short_load
    assert terms.truck
    assert terms.least_load < terms.short_load < terms.truck
    assert terms.costs
    assert terms.costs.short_load
    result = check_job(job)
    assert result.concrete.thickenings > 0
    assert len(result.cover) == 1


def test_every_key_of_base_and_slab_that_is_commented_out_can_be_used(starter):
    text = starter.read_text(encoding="utf-8")
    start, end = text.index("[base]"), text.index("[top]")
    lines = [line for line in text[start:end].splitlines() if re.match(r"# [a-z_]+ = ", line)]
    assert len(lines) > 3
    for line in lines:
        starter.write_text(text.replace(line, line[2:]), encoding="utf-8")
        read_job(starter)
        assert f"\n{line[2:]}\n" in starter.read_text(encoding="utf-8")


@pytest.mark.parametrize("key", ["level", "plane", "between", "shots"])
def test_every_other_top_that_is_shown_can_be_used(units, tmp_path, key):
    starter = write_starter(tmp_path, units)
    (starter.parent / "forms.csv").write_bytes((starter.parent / "shots.csv").read_bytes())
    text = starter.read_text(encoding="utf-8")
    head, tail = text.split("[top]")
    (line,) = (line for line in commented(tail) if line.startswith(f"{key} = "))
    kept = re.sub(r"^(through|fall|bearing) = .*\n", "", tail, flags=re.M)
    starter.write_text(f"{head}[top]{kept}".replace(f"# {line}", line), encoding="utf-8")
    volume = check_job(read_job(starter)).concrete.volume
    assert volume > 0 or key == "shots"  # the forms are the base here: no concrete


@pytest.mark.parametrize("name", ["job.toml", "control.csv", "scan.laz"])
def test_nothing_is_replaced(tmp_path, name):
    (tmp_path / name).write_text("mine")
    with pytest.raises(InputError, match=f"there is a {name} already"):
        write_starter(tmp_path, "feet", "scan")
    assert (tmp_path / name).read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_file_where_the_folder_should_be_is_told_of(tmp_path):
    (tmp_path / "taken").write_text("mine")
    with pytest.raises(InputError, match="taken: it is a file, where a folder"):
        write_starter(tmp_path / "taken" / "job", "feet")
