"""Next shots: where they are, and what each is expected to gain."""

import math
from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_place
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.notes import Note
from gradevol.uncertainty.advice import HEIGHT, STRINGS
from gradevol.uncertainty.next_shots import NextShot, NextShots

#: What they are for, and what it is called.
_FOR = {"thin": "thin concrete", "volume": "the volume"}


def tell_next_shots(result: Result) -> tuple[Topic, ...]:
    """
    Tell where to shoot next.

    Returns
    -------
    tuple of Topic
        One for all of them, one for each thing that they are for; empty where none were planned.
    """
    if (planned := result.next_shots) is None:
        return ()
    told = (
        ("", (*_tell_all(result), *_advise("next-shots", result))),
        ("For thin concrete", (*_tell_thin(planned, result), *_advise("thin", result))),
        ("For the volume", (*_tell_volume(planned, result), *_advise("volume", result))),
    )
    return tuple(
        Topic("next_shots", "Next shots", "Next shots", said, group=group)
        for group, said in told
        if said
    )


def has_bends(result: Result) -> bool:
    """Whether shots where the top bends come before all others, which can't know of them."""
    return any(note.code == "top-bends-unshot" for note in result.notes)


def name_next(planned: NextShots) -> dict[tuple[float, float], str]:
    """
    Name the places of the next shots.

    Those for thin concrete are numbered first: what they miss can't be made good. A place that
    serves for the volume too has one name.
    """
    places = dict.fromkeys(shot.at for shot in (*planned.thin, *planned.volume))
    return {at: f"NEXT{number}" for number, at in enumerate(places, start=1)}


def list_next(result: Result) -> list[tuple[str, tuple[str, ...], tuple[float, float]]]:
    """List the next shots: name, what it is for (``thin``, ``volume``, both), place."""
    if (planned := result.next_shots) is None:
        return []
    at = {what: [shot.at for shot in getattr(planned, what)] for what in _FOR}
    return [
        (name, tuple(what for what in _FOR if place in at[what]), place)
        for place, name in name_next(planned).items()
    ]


def _tell_all(result: Result) -> Iterator[Statement]:
    """Tell the first place, or that more shots would not help."""
    if shots := list_next(result):
        (name, what, first), more = shots[0], len(shots) - 1
        rest = f"; {more} more in fix_points.csv" if more else ""
        place = say_place(first, result.slab, result.units)
        yield Statement(
            "next_shots.head",
            short=words("for {}: {}{}", " and ".join(map(_FOR.__getitem__, what)), place, rest),
            place=first,
            mark=name,
        )
        text = words("All NEXT places are in fix_points.csv, to set out.")
        yield Statement("next_shots.set_out", Weight.SPARE, short=text)
        return
    if has_bends(result):
        yield Statement("next_shots.head", short=words("where the top bends, before all else"))
        return
    for note in list_advice(result):
        if note.code == "volume-shared-errors":
            cause = next((cause for cause in (HEIGHT, STRINGS) if cause in note.text), "")
            instead = f"recheck {cause}" if cause else "check forms and strike-off"
            text = words("more won't help the volume; {}", instead)
            yield Statement("next_shots.head", short=text)


def list_advice(result: Result) -> tuple[Note, ...]:
    """List what would help instead of more shots; of the volume nothing where the top bends."""
    advice = result.next_shots.advice if result.next_shots else ()
    is_open = not has_bends(result)
    return tuple(note for note in advice if is_open or not note.code.startswith("volume-"))


def _advise(about: str, result: Result) -> Iterator[Statement]:
    """Give the advice whose codes begin with a word."""
    for note in list_advice(result):
        if note.code.startswith(f"{about}-"):
            text = Words((note.say(result.units),))
            yield Statement(f"next_shots.{note.code}", Weight.DETAILS, short=text)


def _tell_thin(planned: NextShots, result: Result) -> Iterator[Statement]:
    if planned.thin and planned.open_area is not None:
        least = result.units.say_thickness(result.slab.least_thickness)
        text = words(
            "On {} the shots leave open whether concrete is under {}.",
            Figure(say_area(planned.open_area, result), "next_shots.open_area"),
            Figure(least, "slab.least_thickness"),
        )
        yield Statement("next_shots.thin", Weight.DETAILS, short=text)
    names = name_next(planned)
    for number, shot in enumerate(planned.thin):
        key = f"next_shots.thin.{number}"
        said = words(
            "{} chance that it is thin there; a shot should settle about {}",
            Figure(say_chance_up(shot.chance or 0.0), f"{key}.chance"),
            Figure(say_area(shot.gain, result), f"{key}.gain"),
        )
        where = say_place(shot.at, result.slab, result.units)
        yield _shot("thin", names[shot.at], shot, said, where)


def _tell_volume(planned: NextShots, result: Result) -> Iterator[Statement]:
    if not planned.volume:
        return
    half, say = planned.half_width, result.units.say_volume
    now = Figure(f"±{say(half)}", "next_shots.half_width")
    text = words("The margin is {} now.", now)
    yield Statement("next_shots.volume", Weight.DETAILS, short=text)
    names, told = name_next(planned), {shot.at for shot in planned.thin}
    for number, shot in enumerate(planned.volume):
        key = f"next_shots.volume.{number}"
        half -= shot.gain
        said = words("with this one about {}", Figure(f"±{say(half)}", f"{key}.half_width"))
        where = "" if shot.at in told else say_place(shot.at, result.slab, result.units)
        yield _shot("volume", names[shot.at], shot, said, where)


def _shot(what: str, name: str, shot: NextShot, said: Words, where: str) -> Statement:
    return Statement(
        f"next_shots.{what}.{name}",
        Weight.DETAILS,
        name,
        short=said,
        where=where,
        place=shot.at,
        mark=name,
    )


def say_area(area: float, result: Result) -> str:
    """Say an area; one that is there is never told as 0."""
    return result.units.say_some_area(area) if area > 0 else result.units.say_area(area)


def say_chance_up(chance: float) -> str:
    """Say a chance in whole per cent, rounded up: ``under 1 %`` where it is less."""
    return "under 1 %" if chance < 0.01 else f"{100 * round_chance_up(chance):.0f} %"


def round_chance_up(chance: float) -> float:
    """Round a chance up to the hundredth, 0.01 at least: less would be too sure."""
    return max(math.ceil(100 * chance - 1e-4), 1) / 100
