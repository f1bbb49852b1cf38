"""`gradevol pour`: a small screen, its JSON, and a file that grows."""

import json
import shutil
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest

from gradevol.answer.declared import describe_schema
from gradevol.answer.tree.day import DayData
from tests.cli.conftest import ENVIRONMENT
from tests.conftest import leave_out_simulated
from tests.unit.test_docs import block_after

ROOT = Path(__file__).parents[2]
APRON = ROOT / "sample_surveys" / "apron"
PAGE = ROOT / "docs" / "how-to" / "pour-day.md"


@pytest.fixture(scope="module")
def day(tmp_path_factory, invoke):
    """Folder of the apron with the model kept, and its tickets after so many loads."""
    folder = tmp_path_factory.mktemp("apron")
    shutil.copytree(APRON, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("job*/"))
    rows = (folder / "tickets.csv").read_text().splitlines(keepends=True)

    def tickets(count):
        path = folder / f"after{count}.csv"
        path.write_text("".join(rows[: count + 1]))
        return path

    class Day:
        def __init__(self):
            self.folder, self.tickets = folder, tickets

        def __call__(self, count, *options):
            done = invoke("pour", folder / "job_pour.toml", "--tickets", tickets(count), *options)
            assert (done.exit_code, done.stderr) == (0, "")
            return done.stdout

    run = Day()
    with leave_out_simulated():
        run(1)
    return run


def test_the_page_shows_what_the_program_prints(day):
    assert block_after(PAGE, "<!-- pour after load 6 -->") == day(6)


@pytest.mark.parametrize("count", range(9))
def test_it_fits_a_small_screen_with_what_is_needed_and_what_to_call_first(day, count):
    lines = day(count).splitlines()
    assert len(lines) <= 26
    assert max(map(len, lines)) <= 80
    assert lines[2].startswith("  Still needed" if count < 8 else "  The slab is full")
    assert count == 8 or "Call " in lines[3]


@pytest.mark.parametrize("count", [0, 1, 6, 8])
def test_its_json_is_as_its_schema_says(day, count):
    found = json.loads(day(count, "--json"))
    jsonschema.validate(found, describe_schema(DayData))
    assert found["loads"] == count
    assert found["total"]["low"] <= 76.8 <= found["total"]["high"]
    assert ("call" in found) == (count < 8)
    assert ("behind_front" in found) == (count > 0)


def test_the_text_and_the_json_say_the_same(day):
    found = json.loads(day(6, "--json"))
    text = day(6)
    assert f"Still needed {found['still']['volume']:.1f} yd³" in text
    assert f"Call {found['call']['volume']:g} yd³ by {found['call']['by']}" in text


@pytest.mark.parametrize(("count", "verdict"), [(4, "open"), (6, "front")])
def test_a_load_out_of_line_is_told_before_all_that_rests_on_it(
    day, invoke, tmp_path, count, verdict
):
    misread = tmp_path / "misread.csv"
    misread.write_text(day.tickets(count).read_text().replace(",39.0,38.5,", ",33.0,32.5,"))
    words = ["pour", day.folder / "job_pour.toml", "--tickets", misread]
    found = json.loads(invoke(*words, "--json").stdout)
    jsonschema.validate(found, describe_schema(DayData))
    (alert,) = found["alerts"]
    assert (alert["load"], alert["line"], alert["verdict"]) == ("4", 5, verdict)
    text = invoke(*words).stdout
    assert len(text.splitlines()) <= 26
    assert text.index("Alert") < text.index("So far")
    assert " ".join(text.split()).count(alert["text"]) == 1


def test_a_bad_row_is_one_paragraph_and_exit_2(day, invoke, tmp_path):
    bad = tmp_path / "bad.csv"
    bad.write_text(day.tickets(2).read_text().replace(",10.0,20.0,", ",ten,20.0,"))
    done = invoke("pour", day.folder / "job_pour.toml", "--tickets", bad)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "bad.csv, line 3: 'ten' under 'ticket_yd'" in done.stderr


def test_a_growing_file_is_followed(day):
    growing = day.folder / "growing.csv"
    shutil.copy(day.tickets(1), growing)
    words = ["pour", str(day.folder / "job_pour.toml"), "--tickets", str(growing), "--watch"]
    said = day.folder / "said.txt"
    with said.open("wb") as out:
        running = subprocess.Popen(
            [sys.executable, "-u", "-m", "gradevol", *words], stdout=out, env=ENVIRONMENT
        )
    try:
        for count in (1, 2):
            if count == 2:  # a row that is being written is waited for
                growing.write_bytes(day.tickets(2).read_bytes().rstrip()[:-3])
                time.sleep(1.5)
                assert "after load 2" not in said.read_text("utf-8")
            shutil.copy(day.tickets(count), growing)
            until = time.monotonic() + 60
            while f"after load {count}" not in said.read_text("utf-8"):
                assert time.monotonic() < until
                time.sleep(0.1)
    finally:
        running.terminate()
        running.wait()


def test_ruler_and_page_are_written_beside_the_result_and_once(day):
    ruler, page = (day.folder / "job_pour" / name for name in ("pour_ruler.pdf", "pour.html"))
    day(1)
    assert ruler.read_bytes().startswith(b"%PDF")
    assert page.read_text("utf-8").startswith("<!doctype html>")
    written = [path.stat().st_mtime_ns for path in (ruler, page)]
    day(2)
    assert [path.stat().st_mtime_ns for path in (ruler, page)] == written


def test_an_order_writes_ruler_and_page_where_the_job_says_where_placing_begins(
    invoke,
    day,
    unsimulated,  # noqa: ARG001
):
    written = [day.folder / "job_pour" / name for name in ("pour_ruler.pdf", "pour.html")]
    for path in written:
        path.unlink()
    assert invoke("order", day.folder / "job_pour.toml").exit_code == 0
    assert all(path.exists() for path in written)
