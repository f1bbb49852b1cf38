"""`gradevol order`: the slip, the loads, the streams."""

import json
from pathlib import Path

import jsonschema
import pytest

from gradevol.answer.tree.result import describe_result
from tests.conftest import leave_out_simulated, look_coarsely
from tests.small_job import JOB, write_job

ROOT = Path(__file__).parents[2]
APRON = ROOT / "sample_surveys" / "apron" / "job_costs.toml"
SCHEMA = describe_result()
ORDER = '[order]\nwaste = 0.03\nrisk = 0.05\ntruck = "1 yd3"\nleast_load = "0.5 yd3"\n'
HALVES = (
    '[[pour]]\nname = "west half"\nedge = [[0, 0], [8, 0], [8, 9], [0, 9]]\n'
    '[[pour]]\nname = "east half"\nedge = [[8, 0], [16, 0], [16, 9], [8, 9]]\n'
)


@pytest.fixture(scope="module")
def told(invoke):
    """What is said of the apron's order."""
    with leave_out_simulated():
        done = invoke("order", APRON)
    assert (done.exit_code, done.stderr) == (0, "")
    return done.stdout


@pytest.fixture(scope="module")
def checked(invoke, tmp_path_factory):
    """The apron's check: what it says, and its JSON."""
    out = tmp_path_factory.mktemp("apron")
    with look_coarsely():
        done = invoke("check", APRON, "--no-pictures", "--out", out)
    assert (done.exit_code, done.stderr) == (0, "")
    return done.stdout, json.loads((out / "result.json").read_text(encoding="utf-8"))


@pytest.fixture
def ordered(invoke, tmp_path, unsimulated):  # noqa: ARG001
    """Order JSON of a small job with some text below it."""

    def run(text, shots=None):
        more = {} if shots is None else {"shots": shots}
        done = invoke("order", write_job(tmp_path, job=f"{JOB}{text}", **more), "--json")
        assert (done.exit_code, done.stderr) == (0, "")
        return json.loads(done.stdout)

    return run


@pytest.mark.usefixtures("unsimulated")
def test_the_slip_comes_first_and_no_file_is_written(invoke, tmp_path):
    job = write_job(tmp_path, job=JOB + ORDER)
    done = invoke("order", job)
    assert (done.exit_code, done.stderr) == (0, "")
    slip = " ".join(done.stdout.split("\n\n")[0].split())
    assert slip.startswith("Pad (invented): need 2.")
    assert len(slip) <= 300
    for label in ("Needed", "Order", "Runner-up", "Loads"):
        assert f"\n{label} " in done.stdout
    assert {path.name for path in tmp_path.iterdir()} == {"job.toml", "shots.csv"}


@pytest.mark.usefixtures("unsimulated")
def test_json_is_the_order_of_check_alone(invoke, checked):
    shown, whole = json.loads(invoke("order", APRON, "--json").stdout), checked[1]
    jsonschema.validate(whole, SCHEMA)
    assert set(shown) == {"schema", "title", "units", "order", "pours", "notes"}
    assert shown == {key: whole[key] for key in shown}
    assert not [note for note in whole["notes"] if note["code"].startswith("order-")]


def test_the_summary_has_a_line_of_it(checked):
    summary, view = checked
    assert f"\nOrder       {view['order']['volume']:g} yd³ (7 x 10 + " in summary
    assert "an order needs an allowance" not in summary


def test_the_aprons_order_adds_up(checked):
    view = checked[1]  # by hand, from the figures that the program gives
    order, need, interval = view["order"], view["order"]["need"], view["concrete"]["interval"]
    assert need["in_place"] == view["concrete"]["volume"]
    assert need["volume"] == pytest.approx(1.025 * need["in_place"], abs=1e-5)
    assert need["volume"] == pytest.approx(sum(line["volume"] for line in need["lines"]), abs=1e-5)
    budget = sum(interval[key] ** 2 for key in ("shots", "between_shots", "datum", "top"))
    assert need["survey_sd"] ** 2 >= budget * (1 - 1e-5)
    assert need["survey_sd"] ** 2 <= 1.6 * budget  # the rest: the process' middle is off the TIN's
    assert need["allowance_sd"] == pytest.approx(0.0095 * need["in_place"], abs=1e-5)
    parts = need["survey_sd"] ** 2 + need["allowance_sd"] ** 2
    assert need["sd"] ** 2 == pytest.approx(parts, rel=1e-5)
    assert sum(order["loads"]) == order["volume"] > need["volume"]
    assert order["loads"] == [*order["staged"]["go"], *order["staged"]["balance"]]
    assert order["staged"]["call_after"] == 6
    assert order["staged"]["call_by"] == "by 8:50"
    assert order["expected_cost"] <= order["runner_up"]["expected_cost"]
    taken = sum(pour["expected"] for pour in order["small_pours"])
    assert order["expected_left_over"] - order["expected_unused"] == pytest.approx(taken, abs=1e-5)
    assert [pour["kind"] for pour in view["pours"]] == ["small", "small"]


def test_the_page_on_ordering_shows_what_the_program_prints(told):
    assert told.split("\n\n")[0] in (ROOT / "docs" / "how-to" / "order.md").read_text(
        encoding="utf-8"
    )


def test_the_order_of_the_apron_reads_as_it_is_kept(told):
    kept = ROOT / "tests" / "golden" / "order_of_the_apron.txt"
    assert told == kept.read_text(encoding="utf-8")


def test_what_the_order_must_not_be_read_without_stands_below_it(told):
    notes = " ".join(told.split("\nNotes ")[1].split())
    assert "Reshoot 41 first: 72.7 yd³ in place with it, 73.1 yd³ without" in " ".join(told.split())
    assert "beyond the outermost shots; 5.67 yd³ there is assumed" in notes


def test_parts_have_their_own_slips_and_add_up(ordered, invoke, tmp_path):
    view = ordered(ORDER + HALVES)
    parts = view["pours"]
    assert [part["kind"] for part in parts] == ["part", "part"]
    total = sum(part["volume"] for part in parts)
    assert total == pytest.approx(view["order"]["need"]["in_place"], abs=1e-5)
    assert sum(part["order"]["volume"] for part in parts) >= view["order"]["volume"] - 0.25
    told = invoke("order", tmp_path / "job.toml").stdout
    assert told.index("west half: need ") < told.index("east half: need ")


def test_what_parts_leave_is_noted(ordered):
    view = ordered(ORDER + HALVES.split('[[pour]]\nname = "east', maxsplit=1)[0])
    assert [part["name"] for part in view["pours"]] == ["west half", "rest of the slab"]
    assert "pours-leave-rest" in {note["code"] for note in view["notes"]}


def test_an_order_without_any_allowance_is_noted(ordered):
    codes = {note["code"] for note in ordered("[order]\nrisk = 0.1\n")["notes"]}
    assert "order-without-allowance" in codes
    assert "order-without-allowance" not in {note["code"] for note in ordered(ORDER)["notes"]}


def test_a_pump_has_lines_of_its_own(ordered):
    pump = 'pump = { line = "100 ft", diameter = "5 in", hopper = "0.3 yd3" }\n'
    need = ordered(ORDER + pump)["order"]["need"]
    held = {line["kind"]: line["volume"] for line in need["lines"]}
    assert held["pump line"] == pytest.approx(0.505, abs=5e-4)
    assert held["pump hopper"] == pytest.approx(0.3, abs=1e-6)


@pytest.mark.parametrize("text", ["", "[order.costs]\nconcrete = 150\n"])
def test_a_job_without_an_order_is_refused_with_what_to_write(invoke, tmp_path, text):
    done = invoke("order", write_job(tmp_path, job=JOB + text))
    assert (done.exit_code, done.stdout) == (2, "")
    assert "says nothing of an order" in done.stderr
    assert 'truck = "10 yd3"' in done.stderr
    assert "Traceback" not in done.stderr


def test_a_metric_job_without_an_order_is_told_what_to_write_in_cubic_metres(invoke):
    done = invoke("order", ROOT / "sample_surveys" / "courtyard" / "job.toml")
    assert 'truck = "8 m3" and least_load = "2 m3"' in done.stderr
