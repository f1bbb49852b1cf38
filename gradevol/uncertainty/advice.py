"""Advice: what helps where a few more shots would not."""

import math

from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.next_for_thin import NEGLIGIBLE

#: A cause of this share of the largest one is told with it.
_LARGE = 0.5

#: What is rechecked where no more shots would help.
HEIGHT, STRINGS = "the instrument height", "the strings"
SEEN = Note(
    "next-shots-seen",
    "No next shots are planned where a cloud or a surface file shows the base.",
)
NO_ROOM = Note("next-shots-no-room", "No next shots: no place is far enough from the shots taken.")


def advise_on_volume(interval: Interval, then: float, count: int, survey: Survey) -> Note:
    """
    Say what would help the volume more than a few shots.

    Parameters
    ----------
    interval : Interval
    then : float
        Half of its width with some more shots, m³.
    count : int
        How many more.
    survey : Survey

    Returns
    -------
    Note
        Causes at least half as large as the largest are told, the largest first.
    """
    recheck = (
        f"{HEIGHT} by a second backsight to the bench mark, and how the rod stands"
        if survey.depths is None
        else f"how {STRINGS} stand on the forms"
    )
    # what they share comes first among equals: it is the cheaper to recheck
    causes = {
        f"recheck {recheck} ({{}})": interval.datum,
        "check forms, strings and strike-off ({})": interval.top,
        "shoot closer together all over ({} between the shots)": interval.between_shots,
        "read each shot twice ({} from single shots)": interval.shots,
    }
    largest = max(causes.values())
    told = sorted(
        (text for text, size in causes.items() if size >= _LARGE * largest > 0),
        key=lambda text: -causes[text],
    )
    is_shared = interval.datum**2 + interval.top**2 > interval.between_shots**2 + interval.shots**2
    now = (interval.high - interval.low) / 2
    measures = tuple(Measure(size, Kind.VOLUME) for size in (now, *(causes[text] for text in told)))
    share = math.floor(100 * (1 - then / now) + 1e-9) + 1 if now > 0 else 1
    rest = (
        f"{count} more at the best places would narrow the margin, ±{{}}, by less than "
        f"{share} %. Instead {'; '.join(told)}."
    )
    if is_shared:
        head = "Stop: more shots would not help the volume"
        return Note("volume-shared-errors", f"{head}. {rest}", measures)
    return Note(
        "volume-needs-many", f"A few more shots would not help the volume: {rest}", measures
    )


def say_unlikely(slab: Slab) -> Note:
    """Say that thin concrete is nowhere likely, which is not that there is none."""
    return Note(
        "thin-unlikely",
        "No next shots for thin concrete: nowhere between the shots is the chance of less than {} "
        f"over {100 * NEGLIGIBLE:g} %. What more shots can't settle (single stones, instrument "
        "height, strike-off) is not in that, nor a hump that no shot caught.",
        (Measure(slab.least_thickness, Kind.THICKNESS),),
    )


def say_settled(least: float) -> Note:
    """Say that no single shot would settle much."""
    return Note(
        "thin-little-settled",
        "No next shots for thin concrete: no single shot would settle more than {}.",
        (Measure(least, Kind.AREA),),
    )
