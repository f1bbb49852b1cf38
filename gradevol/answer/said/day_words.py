"""Words of the day of the pour, with gaps for figures: the screen and the page fill in the same."""

from typing import TYPE_CHECKING

from gradevol.answer.said.step_words import split_clock

if TYPE_CHECKING:
    from gradevol.after.steps import Step  # what a check would load all of the day for

#: Each is said once, here: `day.tell_day` fills it in, and `pour.html` does after each entry.
DAY = {
    "full": "The slab is full: it took {}.",
    "full by tickets": "The slab is full: by the tickets as they stand it took {}.",
    "still": "Still needed {} ({} at {}){}.",
    "on the way": "; {} of it is on the way",
    "range": "{} to {}",
    "nothing": "Call nothing more{}.",
    "enough": ": the {} on the way is enough{}",
    "spare": ", with {} to spare",
    "check": "First check with the plant what {} held{}.",
    "tape": ", and tape the front again",
    "tape done": ", and look what is done",
    "slip ticket": "ticket",
    "slip front": "front",
    "slip front done": "panel",
    "both": "both",
    "or": " or ",
    "wrong": "{} wrong?",
    "right": "{} right?",
    "call": "Call {}{}.",
    "by": " by {}",
    "late": " now, if not called yet: {} has gone by",
    "feeds": "It feeds {}.",
    "next day": "{} the next day",
    "days on": "{} {} days on",
    "several": "{} x {}",
    "into": "{} into the slab on {}",
    "behind": "modelled behind the front{}: {}",
    "behind done": "modelled in what is done{}: {}",
    "front of": " of {}",
    "no front": "No front is given for {}: counted as ticketed, and judged by the next front. If "
    "the slab is full, give a front at its far side.",
    "no front done": "Nothing more is put down as done with {}: counted as ticketed, and judged by "
    "what is done next. If the slab is full, put all of it down as done.",
    "gone": "Elsewhere: {}.",
    "returned": "returned {}",
    "called": "Called beside what was released: {}.",
    "total": "The slab will take {} ({} at {}); modelled {}.",
    "total by tickets": "By the tickets as they stand the slab will take {} ({} at {}); modelled "
    "{}.",
    "factor": "It takes {} for each 1 modelled ({} to {}); {} was expected{}.",
    "wait": "The later you call, the surer: the slab may yet need {} to {} of it.",
    "short": "{} chance that the slab comes up short; about {} left over.",
    "rests still": "Still needed {}",
    "rests coming": "less {} released and not ticketed yet",
    "rests called": "less {} released or called and not ticketed yet",
    "rests risk": "at {} risk",
    "rests costs": "at the least expected cost",
    "rests step": "in steps of {}",
    "pace": "{} {}; {} {} an hour ({}); {} notice.",
    "out at": "Out at",
    "starts": "Starts at",
    "no notice": "By when to call can't be told: the job gives no notice (order.notice).",
    "no start": "By when to call is told once a load has its time, or the job its start "
    "(order.start).",
    "no rate": "By when to call is told once two loads have their times, or the job its rate "
    "(placing.rate) or its trucks' spacing (order.spacing).",
    "stated": "stated",
    "seen": "as it went so far",
    "trucks": "as trucks come",
    "alert": "{}: {} {} is ticketed than the front accounts for.",
    "alert done": "{}: {} {} is ticketed than what is done accounts for.",
    "unit": "All fronts fit if the tickets are in {}, not {}: look what unit they state.",
    "unit done": "All that is done fits if the tickets are in {}, not {}: look what unit they "
    "state.",
    "over": "{} more is ticketed than the slab takes. Look up {}, without a front: counted twice, "
    "poured elsewhere, sent back?",
    "over done": "{} more is ticketed than the slab takes. Look up {}, with nothing more put down "
    "as done: counted twice, poured elsewhere, sent back?",
    "more": "more",
    "less": "less",
    "ahead": " (it then stands {} farther {})",
    "on": "on",
    "back": "back",
    "too much": "a ticket says too much",
    "too little": "a ticket says too little, or one is left out",
    "gave way": "a form or the base gave way",
    "higher": "the base stands higher there than shot",
    "front": "The loads after it say that the front was misread{}.",
    "concrete": "The loads after it bear it out: {} (the slab then takes {}), or {} ({}). Ask the "
    "plant what was on the truck.",
    "beyond": "No front is misread by so much: {} (the slab then takes {}), or {} ({}). Ask the "
    "plant what was on the truck.",
    "open": "If the front is misread{}, the slab takes {}; if {}, {}; if {}, {}. Tape the front "
    "again and ask the plant what was on the truck.",
    "more done": "more is done than is told",
    "less done": "less is done than is told",
    "front done": "The loads after it say that {}.",
    "beyond done": "It is no slip in what is done: {} (the slab then takes {}), or {} ({}). Ask "
    "the plant what was on the truck.",
    "open done": "If {}, the slab takes {}; if {}, {}; if {}, {}. Look what is done and ask the "
    "plant what was on the truck.",
}


def name_of(words: str, *steps: "Step") -> str:
    """Name of the words of a front, or of what is done where that alone is told."""
    return f"{words} done" if steps and all(step.is_by_name for step in steps) else words


def say_clock(hours: float, since: float | None = None) -> str:
    """Say a time of day: ``9:10``; of a later day than `since` is, ``0:20 the next day``."""
    said, day = split_clock(hours)
    day -= split_clock(since or 0.0)[1]
    if day > 1:
        return DAY["days on"].format(said, day)
    return DAY["next day"].format(said) if day == 1 else said
