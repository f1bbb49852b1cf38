"""Words of the day of the pour, with gaps for figures: the screen and the page fill in the same."""

from gradevol.answer.said.step_words import split_clock

#: Each is said once, here: `day.tell_day` fills it in, and `pour.html` does after each entry.
DAY = {
    "full": "The slab is full: it took {}.",
    "still": "Still needed {} ({} at {}).",
    "range": "{} to {}",
    "nothing": "Call nothing more{}.",
    "enough": ": the {} on the way is enough",
    "call": "Call {}{}.",
    "by": " by {}",
    "late": " now: {} has gone by",
    "feeds": "It feeds {}.",
    "next day": "{} the next day",
    "days on": "{} {} days on",
    "several": "{} x {}",
    "into": "{} into the slab on {}",
    "behind": "modelled behind the front: {}",
    "gone": "Elsewhere: {}.",
    "returned": "returned {}",
    "total": "The slab will take {} ({} at {}); modelled {}.",
    "factor": "It takes {} for each 1 modelled ({} to {}); {} was expected{}.",
    "wait": "The later you call, the surer: the slab may yet need {} to {} of it.",
    "short": "{} chance that the slab comes up short; {} beyond it as expected.",
    "rests still": "Still needed {}",
    "rests coming": "less {} released and not ticketed yet",
    "rests risk": "at {} risk",
    "rests costs": "at the least expected cost",
    "rests step": "in steps of {}",
    "pace": "Out at {}; {} {} an hour ({}); {} notice.",
    "stated": "stated",
    "seen": "as it went so far",
    "alert": "{}: {} {} is ticketed than its front accounts for.",
    "more": "more",
    "less": "less",
    "ahead": " (it then stands {} farther {})",
    "on": "on",
    "back": "back",
    "gave way": "a wrong ticket, a form or a base that gave way",
    "left out": "a ticket left out, or more on a truck than it says",
    "front": "The loads after it say that its front was misread{}.",
    "concrete": "The loads after it bear it out: {}. It is counted in what the slab takes.",
    "open": "If its front is misread{}, the slab takes {}; if it is {}, {}. Tape the front again "
    "and look at the ticket before you call.",
}


def say_clock(hours: float) -> str:
    """Say a time of day: ``9:10``; of a later day, ``0:20 the next day``."""
    said, day = split_clock(hours)
    if day > 1:
        return DAY["days on"].format(said, day)
    return DAY["next day"].format(said) if day else said
