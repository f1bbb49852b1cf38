"""Where to shoot next, and what that is expected to gain."""

import math
from typing import Any

from gradevol.answer.result import Result
from gradevol.out.pages.drains import say_area_of
from gradevol.out.pages.markup import listing, number, paragraph, say, section


def compose_next_shots(view: dict[str, Any], result: Result) -> str:
    """
    Compose the next shots.

    Parameters
    ----------
    view : dict
        From `present`.
    result : Result
        The same result.

    Returns
    -------
    str
        Markup of one section; nothing where none were planned.
    """
    planned = view.get("next_shots")
    if planned is None:
        return ""
    is_set_out = planned["thin"] or planned["volume"]
    return section(
        "next-shots",
        "Next shots",
        _advise(planned, "next-shots"),
        _part("For thin concrete", _thin(view, planned, result), _advise(planned, "thin")),
        _part("For the volume", _volume(view, planned, result), _advise(planned, "volume")),
        paragraph("All NEXT places are in fix_points.csv, to set out.", "soft")
        if is_set_out
        else "",
    )


def _part(title: str, *parts: str) -> str:
    return f"<h3>{title}</h3>{''.join(parts)}" if any(parts) else ""


def _advise(planned: dict[str, Any], about: str) -> str:
    """Give the advice whose codes begin with a word."""
    return "".join(
        paragraph(say(note["text"]))
        for note in planned["advice"]
        if note["code"].startswith(f"{about}-")
    )


def _thin(view: dict[str, Any], planned: dict[str, Any], result: Result) -> str:
    if not planned["thin"]:
        return ""
    units, items = result.units, []
    for place, shot in enumerate(planned["thin"]):
        key = f"next_shots.thin.{place}"
        chance = number(view, f"{key}.chance", say_chance(shot["chance"]))
        gain = number(view, f"{key}.gain", say_area_of(shot["gain"], units))
        items.append(
            f"{_name(shot)} Thin there with a chance of {chance}; the shot is expected to "
            f"clear up {gain}."
        )
    area = number(view, "next_shots.open_area", say_area_of(planned["open_area"], units))
    least = say(units.say_thickness(result.slab.least_thickness))
    return paragraph(
        f"On {area} the shots neither rule out concrete under {least} nor make it sure."
    ) + listing(items)


def _volume(view: dict[str, Any], planned: dict[str, Any], result: Result) -> str:
    if not planned["volume"]:
        return ""
    units, items = result.units, []
    volume = units.to_volume(1.0)
    for place, shot in enumerate(planned["volume"]):
        half = number(
            view,
            f"next_shots.volume.{place}.half_width",
            f"±{units.say_volume(shot['half_width'] / volume)}",
        )
        items.append(f"{_name(shot)} Then {half} is expected.")
    now = number(
        view, "next_shots.half_width", f"±{units.say_volume(planned['half_width'] / volume)}"
    )
    return paragraph(f"It is known to {now} as it is.") + listing(items)


def _name(shot: dict[str, Any]) -> str:
    """Name of a shot and its place, with a button that shows it on the plan."""
    return (
        f'<b>{shot["name"]}</b>: {say(shot["where"])}. <button type="button" class="inline" '
        f'data-next="{shot["name"]}">show<span class="unseen"> {shot["name"]} on the plan'
        "</span></button>"
    )


def say_chance(chance: float) -> str:
    """Say a chance in whole per cent, rounded up: ``under 1 %`` where it is less."""
    return "under 1 %" if chance < 0.01 else f"{math.ceil(100 * chance - 1e-9)} %"
