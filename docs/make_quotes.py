"""Renew what README and tutorial quote of the program: `python docs/make_quotes.py`."""

import re
from pathlib import Path
from tempfile import TemporaryDirectory

from gradevol.answer.said.topics import tell_topics
from gradevol.job import read_job
from gradevol.out.starter import write_starter
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job

ROOT = Path(__file__).parents[1]


def quote_summary(job: Path) -> str:
    """What `gradevol check` prints of a job."""
    result = check_job(read_job(job))
    return compose_summary(result.title, tell_topics(result))


def renew(page: Path, mark: str, text: str) -> None:
    """Put a text in place of the block that stands after a mark on a page."""
    block = re.compile(rf"(<!-- {mark} -->\n```\n).*?(```\n)", re.DOTALL)
    page.write_text(block.sub(lambda found: found[1] + text + found[2], page.read_text("utf-8")))


if __name__ == "__main__":
    renew(
        ROOT / "README.md",
        "summary",
        quote_summary(ROOT / "sample_surveys" / "boat_shed" / "job.toml"),
    )
    with TemporaryDirectory() as folder:
        starter = write_starter(Path(folder) / "floor", "feet", "rods")
        tutorial = ROOT / "docs" / "tutorial" / "first-check.md"
        renew(tutorial, "starter summary", quote_summary(starter))
