"""The pages, held against the code: keys, codes, commands, links, and what the program prints."""

import ast
import math
import re
import runpy
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from gradevol.answer.account import compose_account
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.said.topics import tell_topics
from gradevol.answer.tree.note_codes import CODES
from gradevol.cli import COMMANDS, main
from gradevol.job import read_job
from gradevol.out.outputs import ALWAYS, OURS
from gradevol.out.text.account import compose_account_text
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests import after_pour

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "gradevol"
README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
DOCS = ROOT / "docs"
PAGES = [
    README,
    DEVELOPERS,
    *sorted((ROOT / "sample_surveys").rglob("README.md")),
    *sorted(DOCS.rglob("*.md")),
]


def text_of(page):
    return page.read_text(encoding="utf-8")


def block_after(page, remark):
    """What stands in the fence that follows a remark, or a heading, on the line before it."""
    match = re.search(rf"^{re.escape(remark)}\n+```\w*\n(.*?\n)```$", text_of(page), re.M | re.S)
    assert match, f"no block after {remark!r} in {page.name}"
    return match[1]


def section(page, heading):
    """Text from a heading of the second rank to the next."""
    match = re.search(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", text_of(page), re.M | re.S)
    assert match, f"no section {heading!r} in {page.name}"
    return match[1]


def rows_of(text):
    """Rows of the tables in a text: what is in backticks in the first cell, and the rest."""
    rows = [line.split("|", 2)[1:] for line in text.splitlines() if line.startswith("| `")]
    return [(re.findall(r"`([^`]+)`", first), rest) for first, rest in rows]


def anchor(heading):
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


# README


def test_the_readmes_lines_are_those_that_a_newcomer_and_the_machine_run():
    venv = "python3 -m venv .venv && .venv/bin/pip install --quiet"
    assert block_after(README, "<!-- run line -->") == (
        f"{venv} '.[view]' && .venv/bin/gradevol check sample_surveys/boat_shed/job.toml\n"
    )
    uv = ".venv/bin/uv pip install --quiet --python .venv --compile-bytecode"
    assert block_after(README, "<!-- test line -->") == (
        f"{venv} uv && {uv} '.[view,test]' && .venv/bin/python -m pytest -q\n"
    )


def test_the_readmes_summary_is_what_the_program_prints(check_sample):
    result = check_sample("boat_shed/job.toml")
    assert block_after(README, "<!-- summary -->") == compose_summary(
        result.title, tell_topics(result)
    )


def test_the_readme_has_the_cautions():
    safety = section(README, "Safety")
    assert [line.removeprefix("- ") for line in safety.strip().splitlines()] == list(CAUTIONS)


# the tutorial


def test_the_tutorial_shows_what_the_program_prints(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    tutorial = DOCS / "tutorial" / "first-check.md"
    made = CliRunner().invoke(main, ["new", "floor", "--by", "rods"], catch_exceptions=False)
    assert made.output in text_of(tutorial)
    result = check_job(read_job(Path("floor/job.toml")))
    told = compose_summary(result.title, tell_topics(result))
    assert block_after(tutorial, "<!-- starter summary -->") == told
    for figure in ("11.1 yd³", "0.30 yd³", "9 ft", "0.86 yd³"):  # what its words lean on
        assert figure in " ".join(told.split())
    for label in re.findall(r"^(\w[\w /]{1,10}?)  ", told, re.M):
        assert f"\n**{label}" in text_of(tutorial), f"the tutorial explains no {label}"


# the how-to pages


def test_the_page_of_the_curved_drive_shows_what_its_sample_is_and_prints(check_sample):
    page, sample = DOCS / "how-to" / "curved-drive.md", ROOT / "sample_surveys" / "drive"
    assert section(page, "Write the edge").split("```toml\n")[1].split("```")[0] in text_of(
        sample / "job.toml"
    )
    result = check_sample("drive/job.toml")
    told = compose_summary(result.title, tell_topics(result)).splitlines()
    assert set(block_after(page, "<!-- lines of the summary -->").splitlines()) <= set(told)


def test_the_numbers_of_the_curved_drive_are_those_of_its_arc():
    string, square = 21.21, 4.39
    assert round(string**2 / (8 * square) + square / 2, 1) == 15.0
    assert abs(math.dist((19.5, 27.5), (16.39, 30.61)) - square) < 0.01
    strips = [(27 - math.sqrt(27**2 - (apart / 2) ** 2)) * 12 for apart in (5, 3)]
    assert [round(strip * 8) / 8 for strip in strips] == [1.375, 0.5]


# reference


def test_the_page_of_commands_is_what_help_says():
    page = DOCS / "reference" / "commands.md"
    assert text_of(page) == runpy.run_path(str(DOCS / "make_commands.py"))["compose_commands"]()


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_command_and_each_of_its_options_has_help(command):
    made = main.get_command(main.make_context("gradevol", [command]), command)
    assert made is not None
    assert made.help
    shown = section(DOCS / "reference" / "commands.md", f"gradevol {command}")
    for option in made.params:
        if option.param_type_name == "option" and not getattr(option, "hidden", False):
            assert option.help
            assert option.opts[0] in shown


def test_the_page_of_the_job_file_is_what_its_keys_are_declared_to_be():
    page = DOCS / "reference" / "job-file.md"
    assert text_of(page) == runpy.run_path(str(DOCS / "make_reference.py"))["compose_reference"]()


def test_the_job_in_the_page_of_the_job_file_can_be_read(tmp_path):
    page = text_of(DOCS / "reference" / "job-file.md")
    (tmp_path / "job.toml").write_text(re.findall(r"```toml\n(.*?)```", page, re.S)[0])
    (tmp_path / "shots.csv").write_text("point,easting,northing,elevation\n")
    assert read_job(tmp_path / "job.toml").title == "Workshop floor"


def test_the_tables_of_the_result_are_those_that_its_declarations_make():
    page = text_of(DOCS / "reference" / "result.md")
    assert len(rows_of(section(DOCS / "reference" / "result.md", "Keys"))) > 80
    assert page == runpy.run_path(str(DOCS / "make_result.py"))["compose_page"](page)


def test_the_table_of_the_pour_is_what_its_declarations_make():
    page = text_of(DOCS / "reference" / "pour.md")
    assert len(rows_of(section(DOCS / "reference" / "pour.md", "Keys"))) > 40
    assert page == runpy.run_path(str(DOCS / "make_result.py"))["compose_day_page"](page)


def test_the_page_of_the_account_is_what_its_declarations_make_and_names_its_files():
    page = DOCS / "reference" / "reconcile.md"
    assert len(rows_of(section(page, "Keys"))) > 60
    made = runpy.run_path(str(DOCS / "make_result.py"))["compose_account_page"](text_of(page))
    assert text_of(page) == made
    named = {name for names, _ in rows_of(text_of(page).split("## ")[0]) for name in names}
    written = re.findall(r'draft / "([^"]+)"', text_of(PACKAGE / "out" / "account.py"))
    assert named == set(written)


def test_the_page_on_the_yards_shows_what_the_program_prints(check_sample):
    page = DOCS / "how-to" / "where-the-yards-went.md"
    done = after_pour.reconciled(check_sample, top_shots=after_pour.TOP_SHOTS)
    told = compose_account_text(compose_account(done))
    assert block_after(page, "<!-- account -->") == told.partition("\nNext time")[0] + "\n"


def codes_of_notes():
    for module in PACKAGE.rglob("*.py"):
        if "Note(" not in text_of(module):  # it is parsed sooner than looked through
            continue
        for node in ast.walk(ast.parse(text_of(module))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Note":
                code = node.args[0]
                assert isinstance(code, ast.Constant), (
                    f"{module}: a code is written out in Note(...)"
                )
                yield code.value


def test_every_code_of_a_note_is_declared_and_no_other():
    declared = [code for codes in CODES.values() for code in codes]
    assert len(declared) > 10
    assert sorted(declared) == sorted(set(codes_of_notes()))


def test_the_files_of_the_table_are_those_that_are_written():
    rows = rows_of(text_of(DOCS / "reference" / "result.md").split("## ")[0])
    written = re.findall(r'draft / "([^"]+)"', text_of(PACKAGE / "out" / "outputs.py"))
    assert {name for names, _ in rows for name in names} == set(written)
    assert set(written) - {"exports"} <= {"result.json", *ALWAYS, *OURS}


# for developers


def list_rooms():
    return [name for (name, *_), _ in rows_of(section(DEVELOPERS, "The rooms"))]


def test_every_room_has_its_line_for_developers():
    modules = {path.stem for path in PACKAGE.glob("*.py")} - {"__init__", "__main__", "version"}
    modules |= {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert set(list_rooms()) == modules


def test_rooms_for_developers_stand_in_the_order_of_the_contract():
    contracts = tomllib.loads(text_of(ROOT / "pyproject.toml"))["tool"]["importlinter"]["contracts"]
    layers = [re.split(r"\s*[|:]\s*", layer) for layer in contracts[0]["layers"]]
    ordered = [name.removeprefix("gradevol.") for layer in layers for name in layer]
    assert list_rooms() == ordered


# all pages


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page):
    for target in re.findall(r"\]\(([^)\s]+)\)", text_of(page)):
        if target.startswith(("http://", "https://")):
            continue
        name, _, place = target.partition("#")
        file = (page.parent / name).resolve() if name else page
        assert file.exists(), f"{page.name} links to {target}"
        if place:
            headings = re.findall(r"^#+ (.+)$", text_of(file), re.M)
            assert place in map(anchor, headings), f"{page.name} links to {target}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_tests_that_a_page_names_are_there(page):
    for file, name in re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", text_of(page)):
        assert (ROOT / file).is_file(), f"{page.name} names {file}"
        assert f"def {name}" in text_of(ROOT / file), f"{page.name} names {file}::{name}"


def test_pages_name_the_tests_that_reproduce_the_formulas():
    named = re.findall(r"`tests/[\w/]+\.py::\w+`", text_of(DOCS / "explanation" / "figures.md"))
    assert len(named) > 5
