"""The apron's sheet, written once on a small and a large paper."""

import pypdf
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.out.paper.sheet import write_sheet


def write(result, path, **rest):
    write_sheet(path, compose_answer(result), **rest)
    return path.read_bytes()


def words_of(path):
    """All words on the one page, single spaces between them."""
    reader = pypdf.PdfReader(path)
    assert len(reader.pages) == 1
    return " ".join(reader.pages[0].extract_text().split())


@pytest.fixture(scope="session")
def sheet(apron, tmp_path_factory):
    """The apron's sheet."""
    path = tmp_path_factory.mktemp("sheet") / "sheet.pdf"
    write(apron, path)
    return path


@pytest.fixture(scope="session")
def large(apron, tmp_path_factory):
    """The same on a large sheet, which has room for all of its words."""
    path = tmp_path_factory.mktemp("large") / "sheet.pdf"
    write(apron, path, paper="tabloid")
    return path
