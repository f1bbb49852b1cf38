"""Files of others under the names of a check's: none is lost."""

import pytest

from tests.small_job import write_job

pytestmark = pytest.mark.usefixtures("unsimulated")


@pytest.mark.parametrize("name", ["summary.txt", "plan.png", "exports/drawing.dxf"])
def test_a_folder_of_someone_else_is_left_as_it_is(invoke, tmp_path, name):
    job = write_job(tmp_path)
    mine = tmp_path / "site" / name
    mine.parent.mkdir(parents=True)
    mine.write_text("mine")
    given = ("check", job, "--no-pictures", "--out", tmp_path / "site")
    refused = invoke(*given)
    assert refused.exit_code == 2
    assert f"it holds {name}, but no result.json of a check that wrote it" in refused.stderr
    assert mine.read_text() == "mine"
    mine.rename(tmp_path / "moved")
    assert invoke(*given).exit_code == 0
    assert invoke(*given).exit_code == 0  # its own it writes over


def test_a_reconciliation_leaves_files_of_someone_else_as_they_are(invoke, tmp_path):
    job = write_job(tmp_path, files={"tickets.csv": "load,volume_yd3\n1,2.5\n"})
    out = tmp_path / "site"
    for name, given in (
        ("reconcile.csv", [job]),
        ("reconcile_jobs.csv", [job, write_job(tmp_path / "b")]),
    ):
        mine = out / name
        mine.parent.mkdir(exist_ok=True)
        mine.write_text("mine")
        tickets = tmp_path / "tickets.csv" if len(given) == 1 else "tickets.csv"
        refused = invoke("reconcile", *given, "--tickets", tickets, "--out", out)
        assert refused.exit_code == 2
        last = mine.with_suffix(".json").name
        assert f"it holds {name}, but no {last} of a reconciliation that wrote it" in refused.stderr
        assert mine.read_text() == "mine"
        assert [path.name for path in out.iterdir()] == [name]
        mine.unlink()
