"""Notes of how a cloud's points were thinned."""

from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.survey import SURE_MEAN, Grain


def note_thinning(kept: int, left: int, grain: Grain) -> Note:
    """Note how many points of the base were gathered in how many squares of which side."""
    if grain.cell == 0:
        return Note("cloud-bins", f"The {kept:,} points of the cloud are used one by one.")
    return Note(
        "cloud-bins",
        f"The {kept:,} points of the cloud were averaged in {left:,} squares of {{}}.",
        (Measure(grain.cell, Kind.THICKNESS),),
    )


def note_choice(grain: Grain, least: float) -> Note:
    """Note which cell was chosen where the job states none, and why; `least`, m, is the least."""
    if grain.scatter is None or grain.sigma is None:
        return Note(
            "cloud-cell",
            "The job states no cell, and the points are too few to tell how much they scatter: "
            "none was chosen.",
        )
    scatter = Measure(grain.scatter, Kind.FINE)
    if grain.cell == 0:
        return Note(
            "cloud-cell",
            "The job states no cell, and none was needed: the points are well apart, and a single "
            "one is off by {} (one standard deviation), as a careful shot may be.",
            (scatter,),
        )
    sigma, cell = Measure(grain.sigma, Kind.FINE), Measure(grain.cell, Kind.THICKNESS)
    if grain.sigma > SURE_MEAN:
        why = "Larger ones would be surer, but hide what can be graded"
    elif grain.cell <= least * (1 + 1e-9):
        why = "Nobody grades smaller ones"
    else:
        why = "In smaller ones no mean is as sure as a careful shot"
    return Note(
        "cloud-cell",
        "The job states no cell, so squares of {} were chosen: a single point is off by {} (one "
        f"standard deviation), the mean of the {grain.held:,.0f} in a square by {{}}. {why}.",
        (cell, scatter, sigma),
    )
