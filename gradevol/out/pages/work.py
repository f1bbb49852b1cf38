"""The work: places to shave or fill, shots to take again, and cover."""

from typing import Any

from gradevol.answer.data.work_costs import list_costs, say_costs
from gradevol.answer.data.work_lines import say_hauls, say_shots
from gradevol.answer.result import Result
from gradevol.out.pages.answer import place_of, say_volume_of
from gradevol.out.pages.markup import Table, number, paragraph, plain, say, section
from gradevol.plan.fixes.fix import Fix

#: Shots told one by one, at most; `result.json` has all.
_MOST_SUSPECTS = 60


def compose_work(view: dict[str, Any], result: Result) -> str:
    """Compose the list of work on the base, in the order in which it is to be done."""
    units, fixes = result.units, result.work.fixes
    cut = number(view, "grading.cut", units.say_volume(result.grading.cut))
    fill = number(view, "grading.fill", units.say_volume(result.grading.fill))
    whole = f"All of the base, to the design base: cut {cut}, fill {fill}, bank measure."
    left = result.work.left
    if not fixes:
        none = "No place is off its limits."
        if left:
            none = f"{left} place{'s' * (left > 1)} off the limits, too small to work: leave."
        return section("work", "Work list", paragraph(f"{none} {whole}"))
    table = Table(
        "Work list",
        ['<span class="unseen">Place</span>', "Do", "Worst place, by tape"],
        [_row(fix, view, result) for fix in fixes],
        [_heads(view, result), *(_cells(fix, view, result) for fix in fixes)],
        [f"spot-{fix.rank}" for fix in fixes],
        "work",
    )
    said = [" ".join([whole, *_material(view, result)])]
    if "after_work" in view:
        said.append(say(view["after_work"]["text"]))
    if view.get("fix_costs", {}).get("text"):
        said.append(say(view["fix_costs"]["text"]))
    if "regrading" in view:
        said.append(say(view["regrading"]["text"]))
    unlisted = view["thin"].get("unlisted", 0) + sum(
        view["grading"].get(f"{kind}_unlisted", 0) for kind in ("high", "low")
    )
    small = f"{left} more, too small to work: leave. " if left else ""
    if unlisted:
        small += f"{unlisted:,} smaller spots are not listed; the figures hold them."
    if small:
        said.append(small.strip())
    told = (paragraph(text, "soft") for text in said)
    return section("work", "Work list", table.markup(), *told)


def _material(view: dict[str, Any], result: Result) -> list[str]:
    """Say what becomes of the cuttings of the list."""
    material, units = view.get("material"), result.units
    if not material or not (material["cut"] or material["fill"]):
        return []

    def said(key: str) -> str:
        return number(view, f"material.{key}", say_volume_of(material[key], units))

    if not material["fill"]:
        return [f"The list cuts {said('cut')}, and no low place of it takes that."]
    text = f"The list cuts {said('cut')} and has room for {said('fill')}; {said('moved')} moves"
    if material["wanting"]:
        text += f", {said('wanting')} is bought or poured"
    if material["left_over"]:
        text += f", {said('left_over')} is left over"
    return [f"{text}."]


def _row(fix: Fix, view: dict[str, Any], result: Result) -> list[str]:
    units, shown = result.units, view["fix"][fix.rank - 1]
    key = f"fix.{fix.rank - 1}"
    do = say(shown["do"][:1].upper() + shown["do"][1:])
    worst = number(view, f"{key}.worst", units.say_thickness(fix.worst))
    thick = number(view, f"{key}.thickness", units.say_thickness(fix.thickness, down=True))
    told = [f"{thick} of {'cover' if fix.kind == 'cover' else 'concrete'} there"]
    if "near-thin" in fix.reasons:
        told[0] += ", too near the least for the shots to tell"
    if fix.covers:
        told.append(f"too little cover over {say(' and '.join(fix.covers))}")
    if fix.area:
        mean = number(view, f"{key}.mean", units.say_thickness(fix.mean))
        volume = number(view, f"{key}.volume", units.say_some_volume(fix.volume))
        told.append(f"{mean} on average, {volume}")
        loose = units.say_volume(fix.volume * result.work.loose)
        if loose != units.say_volume(0.0):
            told[-1] += f", {number(view, f'{key}.loose_volume', loose)} loose"
    if hauls := say_hauls(fix, result):
        told.append(say(hauls))
    told += [say(cost) for cost in say_costs(fix, result)]
    if shots := say_shots(fix, result):
        told.append(say(shots))
    way = "short" if fix.kind == "cover" else "low" if fix.is_fill else "high"
    kind = "must" if fix.is_must else "may"
    button = (
        f'<button type="button" class="rank {kind}" data-spot="{fix.rank}">'
        f'<span class="unseen">Show place </span>{fix.rank}'
        '<span class="unseen"> on the plan</span></button>'
    )
    must = '<span class="alert">Must.</span> ' if fix.is_must else ""
    size = say(units.say_tape(fix.length))
    if fix.width:
        size += f" by {say(units.say_tape(fix.width))}"
    return [
        button,
        f"{must}<b>{do}: {worst} {way}</b><small>{'; '.join(told)}</small>",
        f"{say(shown['where'])}<small>{size}</small>",
    ]


def _heads(view: dict[str, Any], result: Result) -> list[str]:
    length, area, volume = view["units"].values()
    costs = ["hours", "fix_cost", "pour_cost"] if result.work.prices else []
    return [
        "place", "kind", "must", "do", "cut_or_fill", f"cut_or_fill_{length}", "mean",
        f"mean_{length}", "thickness", f"area_{area}", f"length_{length}", f"width_{length}",
        f"bank_volume_{volume}", "material", "where", f"e_{length}", f"n_{length}", *costs,
    ]  # fmt: skip


def _cells(fix: Fix, view: dict[str, Any], result: Result) -> list[str]:
    units, shown = result.units, view["fix"][fix.rank - 1]
    fine = 3 if units.is_metric else 2
    return [
        str(fix.rank),
        fix.kind,
        "yes" if fix.is_must else "",
        shown["do"],
        units.say_thickness(fix.worst),
        f"{units.to_length(fix.worst):z.{fine}f}",
        units.say_thickness(fix.mean),
        f"{units.to_length(fix.mean):z.{fine}f}",
        units.say_thickness(fix.thickness, down=True),
        *(f"{shown[name]:z.1f}" for name in ("area", "length", "width")),
        f"{shown['volume']:z.3f}",
        say_hauls(fix, result),
        shown["where"],
        *(f"{x:z.{fine}f}" for x in shown["at"][:2]),
        *(list_costs(shown.get("cost", {})) if result.work.prices else []),
    ]


def compose_suspects(view: dict[str, Any], result: Result) -> str:
    """Compose the list of shots that disagree with those around."""
    shown = view["survey"]["suspect"]
    if not shown:
        return ""
    units, rows, cells = result.units, [], []
    cells.append(["shot", "difference", "likely slip", "where"])
    pairs = list(zip(result.suspects, shown, strict=True))
    for place, (suspect, one) in enumerate(pairs[:_MOST_SUSPECTS]):
        way = "above" if suspect.difference > 0 else "below"
        off = units.say_level(abs(suspect.difference))
        where = place_of(suspect.index, result)
        east, north = result.survey.points[suspect.index, :2].tolist()
        value = number(view, f"survey.suspect.{place}.difference", off)
        rows.append(
            [
                f'<button type="button" class="rank shot" data-at="{east:.6f} {north:.6f}">'
                f'<span class="unseen">Show shot </span>{say(one["id"])}'
                '<span class="unseen"> on the plan</span></button>',
                f"<b>{value} {way}</b> the shots around"
                f"<small>{say(one['slip']) or 'no slip fits: look at the place'}</small>",
                say(where),
            ]
        )
        sign = "" if suspect.difference > 0 else "-"
        cells.append([one["id"], f"{sign}{off}", one["slip"], where])
    table = Table(
        "Suspect shots",
        ['<span class="unseen">Shot</span>', "Stands", "Where, by tape"],
        rows,
        cells,
        style="work",
    )
    text = "Reshoot before you cut. None is left out of the figures."
    if result.volume_without_suspects is not None:
        without = number(
            view,
            "survey.volume_without_suspects",
            units.say_volume(result.volume_without_suspects),
        )
        text += f" Without {'it' if len(shown) == 1 else 'them'} the concrete is {without}."
    if len(pairs) > _MOST_SUSPECTS:
        text += f" {len(pairs) - _MOST_SUSPECTS} more stand in result.json."
    return section("suspects", "Suspect shots", table.markup(), paragraph(text, "soft"))


def compose_cover(view: dict[str, Any], result: Result) -> str:
    """Compose the list of what is cast in, with the concrete over it."""
    units, rows, cells = (
        result.units,
        [],
        [["item", "least cover", "required", "short on", "where"]],
    )
    for place, (cover, one) in enumerate(zip(result.cover, view["cover"], strict=True)):
        key = f"cover.{place}"
        least = number(view, f"{key}.least", units.say_thickness(cover.least, down=True))
        told = "no limit is stated"
        required = short = ""
        if cover.required is not None:
            required = units.say_thickness(cover.required)
            told = f"{number(view, f'{key}.required', required)} required"
        if cover.short > 0:
            short = units.say_tape(cover.short)
            told += f', <span class="alert">short on {number(view, f"{key}.short", short)}</span>'
        elif cover.required is not None:
            told += ", kept by this surface"
        east, north = cover.at
        show = (
            f'<button type="button" class="inline" data-at="{east:.6f} {north:.6f}">show'
            f'<span class="unseen"> {say(cover.name)} on the plan</span></button>'
        )
        rows.append(
            [
                say(cover.name),
                f"<b>{least}</b> at the least<small>{told}</small>",
                f"{say(one['where'])} {show}",
            ]
        )
        least_said = units.say_thickness(cover.least, down=True)
        cells.append([plain(cover.name), least_said, required, short, one["where"]])
    if not rows:
        return ""
    table = Table("Cover", ["Item", "Cover", "Where, by tape"], rows, cells, style="items")
    return section("cover", "Cover over what is cast in", table.markup())
