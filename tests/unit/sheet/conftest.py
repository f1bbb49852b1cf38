"""The apron's sheet, written once on a small and a large paper."""

import pypdf
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.out.paper import sheet as sheet_module
from gradevol.out.paper.paper import write_pdf
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
def written(apron, tmp_path_factory):
    """The apron's sheet, and the drawing that it was written from."""
    path, kept = tmp_path_factory.mktemp("sheet") / "sheet.pdf", []

    def keep(drawn, *given, **named):
        kept.append(drawn)
        write_pdf(drawn, *given, **named)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sheet_module, "write_pdf", keep)
        write(apron, path)
    return path, kept[0]


@pytest.fixture(scope="session")
def sheet(written):
    """The apron's sheet."""
    return written[0]


@pytest.fixture(scope="session")
def drawn(written):
    """The same as drawn."""
    return written[1]


@pytest.fixture(scope="session")
def large(apron, tmp_path_factory):
    """The same on a large sheet, which has room for all of its words."""
    path = tmp_path_factory.mktemp("large") / "sheet.pdf"
    write(apron, path, paper="tabloid")
    return path
