"""A table of four shots, read as a survey."""

import pytest

from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import Shots

PNEZD = "1,10.5,20.25,100.1,BASE\n2,11,21,100.2,FORM\n3,12,22.5,100.3,BASE\n4,13,20,100.4,BASE\n"


ENZ = [[20.25, 10.5, 100.1], [21, 11, 100.2], [22.5, 12, 100.3], [20, 13, 100.4]]


@pytest.fixture
def read(tmp_path):
    def read(*texts, unit="m", columns=None, codes=()):
        paths = []
        for number, text in enumerate(texts, start=1):
            paths.append(tmp_path / f"shots{number}.csv")
            paths[-1].write_text(text, encoding="utf-8", newline="")
        return read_delimited(Shots(tuple(paths), unit, columns, codes))

    return read


def absolute(survey):
    return survey.points + survey.origin


def codes_of(survey):
    return [note.code for note in survey.notes]
