"""Next shots as plain data: where they are by tape, and what each is expected to gain."""

from typing import Any

import numpy as np

from gradevol.answer.data.words import say_place
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.setting_out import level_of_design
from gradevol.uncertainty.advice import HEIGHT, STRINGS
from gradevol.uncertainty.next_shots import NextShot


def present_next_shots(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put the next shots into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict
        Under ``next_shots``; empty where none were planned. Those for thin concrete are numbered
        first: what they miss can't be made good.
    """
    planned = result.next_shots
    if planned is None:
        return {}
    thin = [_present(shot, result, rounding) for shot in planned.thin]
    for shown, shot in zip(thin, planned.thin, strict=True):
        shown["gain"] = rounding.area(shot.gain)
        shown["chance"] = rounding.share(shot.chance or 0.0)
    volume = [_present(shot, result, rounding) for shot in planned.volume]
    half_width = planned.half_width
    for shown, shot in zip(volume, planned.volume, strict=True):
        half_width -= shot.gain
        shown["gain"] = rounding.volume(shot.gain)
        shown["half_width"] = rounding.volume(half_width)
    for number, shown in enumerate([*thin, *volume], start=1):
        shown["name"] = f"NEXT{number}"
    held: dict[str, Any] = {
        "half_width": rounding.volume(planned.half_width),
        "volume": volume,
        "thin": thin,
        "advice": [{"code": note.code, "text": note.say(result.units)} for note in planned.advice],
    }
    if planned.open_area is not None:
        held["open_area"] = rounding.area(planned.open_area)
    return {"next_shots": held}


def _present(shot: NextShot, result: Result, rounding: Rounding) -> dict[str, Any]:
    level = float(level_of_design(result, np.array([shot.at]))[0])
    return {
        "name": "",
        "at": rounding.place((*shot.at, level)),
        "where": say_place(shot.at, result.slab, result.units),
    }


def say_next(view: dict[str, Any]) -> list[str]:
    """
    Say the first place to shoot by coordinates, or that more shots would not help.

    Parameters
    ----------
    view : dict
        From `present`.

    Returns
    -------
    list of str
        One short sentence, or none.
    """
    planned = view.get("next_shots", {"advice": ()})
    for what, words in (("thin", "thin concrete"), ("volume", "the volume")):
        if shots := planned.get(what):
            east, north = (f"{x:z.1f}".removesuffix(".0") for x in shots[0]["at"][:2])
            more = f"; {len(shots) - 1} more in report.html" if len(shots) > 1 else ""
            return [f"for {words} E {east}, N {north} {view['units']['length']}{more}"]
    for note in planned["advice"]:
        if note["code"] == "volume-shared-errors":
            what = next((what for what in (HEIGHT, STRINGS) if what in note["text"]), "")
            instead = f"recheck {what}" if what else "check forms and strike-off"
            return [f"stop: more won't help the volume; {instead}"]
    return []
