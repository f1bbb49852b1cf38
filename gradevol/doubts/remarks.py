"""Doubts that are told beside an answer, in the order in which they are told."""

from collections.abc import Iterator
from typing import Any

from gradevol.doubts.astray import remark_on_astray
from gradevol.doubts.bends import remark_on_bends
from gradevol.doubts.coarse_cells import remark_on_cell
from gradevol.doubts.control_apart import remark_on_control
from gradevol.doubts.corner import remark_on_corner
from gradevol.doubts.dug import remark_on_walls
from gradevol.doubts.epochs import remark_on_epochs, remark_on_outlived
from gradevol.doubts.form_lines import remark_on_form_lines
from gradevol.doubts.grid_rows import remark_on_rows
from gradevol.doubts.left_out import remark_on_left_out
from gradevol.doubts.misplaced import remark_on_fit, remark_on_setups, remark_on_top_elsewhere
from gradevol.doubts.sizes import remark_on_plausibility
from gradevol.doubts.spikes import (
    remark_on_one_level,
    remark_on_spikes,
    remark_on_thickness,
)
from gradevol.doubts.top_slips import remark_on_top_points, remark_on_top_shots
from gradevol.doubts.written.remarks import remark_on_file
from gradevol.files import Files
from gradevol.files.tables.broken_rows import remark_on_commented
from gradevol.files.tables.table import Table
from gradevol.ground.notes import Note
from gradevol.job import Job
from gradevol.job.inputs import walk
from gradevol.measures.base import BaseSurface, MeasuredBase
from gradevol.measures.field import ThicknessField
from gradevol.measures.thickness import Moments
from gradevol.site.rechecks import Epochs
from gradevol.site.slab import Slab
from gradevol.site.top import Design, Top


def find_doubts(
    job: Job,
    files: Files,
    measured: MeasuredBase,
    base: BaseSurface,
    *,
    epochs: Epochs | None,
    slab: Slab,
    design: Design,
    top: Top,
    field: ThicknessField,
    thickness: Moments,
    coverage: float,
    volume: float,
) -> tuple[Note, ...]:
    """
    Find what speaks against files, survey and top, though they make an answer.

    Parameters
    ----------
    job : Job
    files : Files
        What the run has opened.
    measured : MeasuredBase
        With the survey that is used: of two epochs, both together.
    base : BaseSurface
        As built of it.
    epochs : Epochs or None
    slab : Slab
    design : Design
        The top's.
    top : Top
        As built of it.
    field : ThicknessField
    thickness : Moments
        The field's.
    coverage : float
        Share of the slab within the survey.
    volume : float
        The concrete, m³.
    """
    survey = measured.survey
    first = epochs.first if epochs else survey
    return (
        *_note_units(job, files),
        *(note for table in files.held(Table) for note in remark_on_commented(table)),
        *remark_on_file(job.base.source, survey, files),
        *remark_on_left_out(job.base.source, survey, base, slab, files, top=top.surface),
        *remark_on_astray(measured, slab, top, unit=job.base.source.unit, volume=volume),
        *remark_on_corner(measured, slab),
        *remark_on_spikes(measured, base, slab, top),
        *remark_on_one_level(measured),
        *remark_on_cell(survey, slab),
        *remark_on_rows(job.base.source, measured, slab, files),
        *remark_on_thickness(thickness, slab),
        *remark_on_control(survey, slab, volume),
        *remark_on_epochs(epochs),
        *remark_on_outlived(epochs, slab, top),
        *remark_on_setups(job, first, epochs, design),
        *remark_on_top_elsewhere(slab, design),
        *remark_on_top_points(survey, slab, design, top),
        *remark_on_top_shots(design, field),
        *remark_on_bends(measured, base, slab, top, field),
        *remark_on_walls(measured, slab, top, volume),
        *remark_on_form_lines(design, top, slab),
        *remark_on_fit(job, survey, slab, coverage),
        *remark_on_plausibility(job, field, slab, float(survey.origin[2])),
    )


def _note_units(job: Job, files: Files) -> tuple[Note, ...]:
    """Note each file whose own word on its unit the job has passed over; once."""
    parts: Iterator[Any] = walk((job.base, job.slab, job.top, job.pours))
    sources = [part for part in parts if getattr(part, "ignores_unit", False)]
    if not sources:
        return ()
    from gradevol.files.ignored import note_ignored  # noqa: PLC0415  (it reads all formats)

    notes = [note for source in sources for note in note_ignored(source, files)]
    return tuple(dict.fromkeys(notes))
