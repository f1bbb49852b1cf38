"""Times of loads that are hardly right: by when to call rests on them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from gradevol.files.tickets.loads import Load
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import capital

#: From the first time of a load to its last, hours: more is likelier misread than so. Common
#: practice, no source.
_LOAD_TAKES = 5.0
#: From one load out to the next, hours beyond what it takes at the rate that the job states: what
#: was placed before it is setting by then. Common practice, no source.
NEXT_TAKES = 2.0
#: A load may be out so long before the one ahead of it, hours: of two that unload at once, one is
#: soon done. Common practice, no source.
NEXT_AHEAD = 0.5
#: The first load may be out so long after or before the start that the job gives, hours: plants
#: and weather delay a pour. Common practice, no source.
FIRST_OFF = 5.0
#: So much a time may stand before the one ahead of it, as written from memory, hours.
_SLOPPY = 0.25
_EVEN = 1e-6

#: What is said of a load's times, with gaps: the page of the day fills in the same.
SAID = {
    "time after": "{} was out {} h after {} by its times",
    "time before": "{} was out {} h before {} by its times",
    "the start": "the job's start",
    "of the next day": ", taken to be of the next day",
    "misread": ": is one misread? By when to call rests on them.",
}


def doubt_times(
    loads: Sequence[Load], *, rate: float | None = None, start: float | None = None
) -> Iterator[Note]:
    """
    Name loads whose times are hardly right.

    Parameters
    ----------
    loads : sequence of Load
    rate : float or None
        m³ an hour, as the job states it.
    start : float or None
        When the pour begins, as the job has it, hours after midnight.
    """
    last = None if start is None else (start, SAID["the start"])
    limits = (FIRST_OFF, FIRST_OFF)
    day = loads[0].day if loads else 0
    for load in loads:
        if load.day != day:  # by its date: nothing is known of its start
            last, day = None, load.day
        times, said = load.times, ""
        if any(later < time - _SLOPPY for time, later in pairwise(times)):
            said = f"{capital(load.name)} runs backwards by its times"
        elif times and times[-1] - times[0] > _LOAD_TAKES:
            said = f"{capital(load.name)} took {times[-1] - times[0]:.1f} h by its times"
        elif load.finished is not None:
            after = load.finished - last[0] if last else 0.0
            off = after
            if last is not None and last[1] == SAID["the start"]:
                after -= times[0] // 24 * 24  # of its own day
                off = (after + 12) % 24 - 12  # from a start of 22:00 to 0:10 it is two hours
            takes = load.volume / rate if rate else 0.0
            if last and not -limits[0] - _EVEN <= off <= limits[1] + takes + _EVEN:
                words = SAID["time after" if after > 0 else "time before"]
                said = words.format(capital(load.name), f"{abs(after):.1f}", last[1])
                if load.finished // 24 > last[0] // 24:
                    said += SAID["of the next day"]
            last = load.finished, load.name
            limits = (NEXT_AHEAD, NEXT_TAKES)
        if said:
            yield Note("ticket-times", escape(said + SAID["misread"]))
