"""A job from its file to the files of its answer."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from gradevol.ground.progress import Progress

if TYPE_CHECKING:
    from gradevol.answer.compose import Answer


def check_and_write(
    job: Path,
    folder: Path,
    *,
    has_pictures: bool,
    exports: tuple[str, ...],
    paper: str | None,
    progress: Progress,
    scheduler: str | None = None,
) -> "tuple[Answer, list[str]]":
    """
    Check a job and write its files.

    Parameters
    ----------
    job, folder : Path
    has_pictures, exports, paper, progress
        As for `write_outputs`.
    scheduler : str, optional
        Address of a cluster whose workers read a cloud.

    Returns
    -------
    Answer
    list of str
        Sentences on what could not be drawn.
    """
    from gradevol.answer.compose import compose_answer  # noqa: PLC0415
    from gradevol.ground.cluster import connecting  # noqa: PLC0415
    from gradevol.job import read_job  # noqa: PLC0415
    from gradevol.job.inputs import find_inputs  # noqa: PLC0415
    from gradevol.out.outputs import write_outputs  # noqa: PLC0415
    from gradevol.runs.check import check_job  # noqa: PLC0415  (numpy: not for --help to pay)

    description = read_job(job)
    options = [
        *([] if has_pictures else ["--no-pictures"]),
        *([] if paper is None else [f"--paper {paper}"]),
        *(f"--export {kind}" for kind in exports),
    ]
    with connecting(scheduler) as cluster:
        result = check_job(description, progress=progress, cluster=cluster)
    result = replace(result, record=replace(result.record, options=tuple(options)))
    progress("drawing up", 0.0)
    answer, surfaces = compose_answer(result), None
    if exports:
        from gradevol.answer.surfaces import compose_surfaces  # noqa: PLC0415

        surfaces = compose_surfaces(result)
    missing = write_outputs(
        answer,
        surfaces,
        folder,
        inputs=find_inputs(description),
        has_pictures=has_pictures,
        exports=exports,
        paper=paper,
        progress=progress,
    )
    return answer, missing
