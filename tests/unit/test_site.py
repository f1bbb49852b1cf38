"""The pages as a site, and the page of the names that Python is offered."""

import os
import re
import runpy
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import gradevol

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


def test_every_page_has_its_place_in_the_site():
    listed = re.findall(r"[\w/-]+\.md", (ROOT / "mkdocs.yml").read_text(encoding="utf-8"))
    there = {page.relative_to(DOCS).as_posix() for page in DOCS.rglob("*.md")}
    assert len(listed) == len(set(listed))
    assert set(listed) == there


def test_no_page_links_out_of_the_site_by_a_path():
    for page in DOCS.rglob("*.md"):
        for target in re.findall(r"\]\(([^)\s#]+)", page.read_text(encoding="utf-8")):
            if not target.startswith("http"):
                assert (page.parent / target).resolve().is_relative_to(DOCS), (page, target)


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("mkdocs") is None, reason="needs the extra `docs`")
def test_the_site_is_built_without_a_warning(tmp_path):
    subprocess.run(["mkdocs", "build", "--strict", "--site-dir", tmp_path], cwd=ROOT, check=True)
    assert (tmp_path / "reference" / "job-file.html").exists()


def test_the_page_of_names_is_what_their_docstrings_say():
    made = runpy.run_path(str(DOCS / "make_python.py"))
    assert {*made["NAMES"], "__version__"} == set(gradevol.__all__)
    assert (DOCS / "reference" / "python.md").read_text(encoding="utf-8") == made[
        "compose_python"
    ]()


@pytest.mark.parametrize(
    ("typed", "offered"), [("che", "check"), ("check --no-p", "--no-pictures")]
)
def test_the_shell_completes_commands_and_options(typed, offered):
    words = f"gradevol {typed}"
    done = subprocess.run(
        [sys.executable, "-c", "from gradevol.cli import main; main(prog_name='gradevol')"],
        capture_output=True,
        text=True,
        check=True,
        env={
            **os.environ,
            "_GRADEVOL_COMPLETE": "bash_complete",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(words.split()) - 1),
        },
    )
    assert done.stdout.splitlines() == [f"plain,{offered}"]
