"""Setups that a job lists and no shot was taken from."""

from gradevol.files.setups import note_unused
from gradevol.files.sheet_sources import Rods, Sheets
from gradevol.files.sources import Shots
from gradevol.ground.notes import Note
from gradevol.job import Job, TopPanels, TopShots
from gradevol.site.rechecks import Epochs
from gradevol.site.survey import Survey
from gradevol.site.top import Design, Measured, parts_of


def remark_on_setups(
    job: Job, survey: Survey, epochs: Epochs | None, design: Design
) -> tuple[Note, ...]:
    """
    Remark on setups that neither base, nor rechecks, nor top was shot from.

    Parameters
    ----------
    job : Job
    survey : Survey
        The base's shots, the first epoch where there are two.
    epochs : Epochs or None
    design : Design
        The top.

    Returns
    -------
    tuple of Note
        Code ``setup-not-used``.
    """
    source = job.base.source
    listed = source.setups if isinstance(source, Shots | Rods | Sheets) else None
    of_top = {
        name for part in parts_of(design) if isinstance(part, Measured) for name in part.setups
    }
    used = {*survey.setups, *of_top, *(epochs.survey.setups if epochs else ())}
    notes = [] if listed is None else note_unused(listed, used)
    top = job.top
    drawn = [panel.design for panel in top.panels] if isinstance(top, TopPanels) else [top]
    for told in drawn:
        if isinstance(told, TopShots) and told.shots.setups and told.shots.setups.is_own:
            notes += note_unused(told.shots.setups, of_top)
    # where several setups shot one place of the top, it names none of them
    return () if "" in of_top else tuple(notes)
