"""The how-to pages: the jobs that they show run, and print what the pages say."""

import re
from pathlib import Path

import pytest

from gradevol.answer.said.topics import tell_topics
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job

ROOT = Path(__file__).parents[2]
FLOOR = ROOT / "sample_surveys" / "boat_shed"
BLOCK = re.compile(r"<!-- (.+?) -->\n+```(?:toml)?\n(.*?)```", re.DOTALL)


def find_blocks():
    """Each job that a page shows, the files beside it, and what it is said to print."""
    for page in sorted((ROOT / "docs" / "how-to").glob("*.md")):
        beside: dict[str, str] = {}
        for name, text in BLOCK.findall(page.read_text(encoding="utf-8")):
            if name.endswith(".csv"):
                beside[name] = text
            elif name.endswith("job"):
                job = text if name == "whole job" else put_into_the_floor(text)
            elif name.startswith("prints"):
                is_all = name.endswith("with all")
                yield pytest.param(job, beside, text, is_all, id=f"{page.stem}-{len(job)}")


def put_into_the_floor(tables):
    """The job of the floor, with tables in place of its own of their names."""
    told = set(re.findall(r"^\[+([a-z_]+)", tables, re.MULTILINE))
    parts = re.split(r"(?m)^(?=\[)", (FLOOR / "job.toml").read_text(encoding="utf-8"))
    kept = [part for part in parts if (name := re.match(r"\[+([a-z_]+)", part)) is None
            or name[1] not in told]  # fmt: skip
    return "".join(kept) + "\n" + tables


def test_pages_show_jobs():
    assert len(list(find_blocks())) >= 5


@pytest.mark.parametrize(("job", "beside", "prints", "is_all"), list(find_blocks()))
def test_a_job_of_a_how_to_page_prints_what_the_page_says(tmp_path, job, beside, prints, is_all):
    (tmp_path / "rods.csv").write_bytes((FLOOR / "rods.csv").read_bytes())
    for name, text in beside.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    result = check_job(read_job(tmp_path / "job.toml"))
    assert prints in compose_summary(result.title, tell_topics(result), is_all=is_all)


def test_the_page_on_the_fix_list_quotes_what_its_sample_prints(check_sample):
    page = (ROOT / "docs" / "how-to" / "fix-list.md").read_text(encoding="utf-8")
    result = check_sample("apron/job_costs.toml")
    (then,) = (text for name, text in BLOCK.findall(page) if name == "then")
    assert then in compose_summary(result.title, tell_topics(result))
    everything = compose_summary(result.title, tell_topics(result), is_all=True)
    for quoted in re.findall(r"`(If shot 41 [^`]+)`", page):
        assert quoted in everything
