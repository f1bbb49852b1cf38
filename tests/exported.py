"""Exports of a result, as `gradevol check --export` writes them."""

from gradevol.answer.compose import compose_answer
from gradevol.answer.surfaces import compose_surfaces
from gradevol.out.exports import write_exports


def export(result, folder, kinds):
    """Write the files of some kinds into a folder."""
    answer, surfaces = compose_answer(result), compose_surfaces(result)
    write_exports(answer, surfaces, folder, kinds, progress=lambda *_: None)
