"""Each row of the fix list, in words and cells: what is done, how much, where, why, for what."""

import math

from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.fix_costs import list_costs, price_of, say_costs
from gradevol.answer.said.outcome import name_rows
from gradevol.answer.said.places import say_where
from gradevol.answer.said.suspects import say_again
from gradevol.answer.statement import Figure, Statement, Weight, Words, join, words
from gradevol.ground.units import Units
from gradevol.ground.words import capital, first_of, noun_of
from gradevol.plan.fixes.fix import Fix, Lowering
from gradevol.plan.fixes.hauling import Haul
from gradevol.plan.fixes.pricing import FillPrice

#: Shots named of one line.
_MOST_SHOTS = 6


def tell_fix(fix: Fix, result: Result) -> Statement:
    """
    Tell one row of the fix list.

    Returns
    -------
    Statement
        Its mark is its rank, its short words say what to do and how much, its figure is the worst
        cut or fill. What is best left is told where there is room.
    """
    worst = _figure(fix, "worst", say_worst(fix, result))
    size, where = say_size(fix, result.units), say_worst_place(fix, result)
    do, details = capital(say_do(fix, result)), tuple(_list_details(fix, result))
    much = (
        words("{} by {} over {}", do, worst, size)
        if fix.kind == "cover"
        else words("{}{} up to {}, {}", do, "" if do == "Shave" else ":", worst, size)
    )
    to = [haul.target for haul in result.work.hauls if haul.source == fix.rank]
    ways = f"; cuttings to {name_rows(to)}" if to else ""
    place = where if fix.kind == "cover" else f"worst {where}"
    is_first = fix.is_must and fix.call != "reshoot"
    lighter = Weight.DETAILS if fix.call == "leave" else Weight.MATTERS
    return Statement(
        f"fix.{fix.rank}",
        Weight.ACTS if is_first else lighter,
        figure=worst,
        short=much + ways,
        long=join("; ", [much, place, *details]),
        details=details,
        where=where,
        size=size,
        place=fix.at[:2],
        mark=str(fix.rank),
        painted=say_painted(fix, result),
        is_must=fix.is_must,
        cells=_list_cells(fix, result),
    )


def say_painted(fix: Fix, result: Result) -> str:
    """Say cut or fill at the worst place as it is marked on the base: ``C.05``; blank of cover."""
    if fix.kind == "cover":
        return ""
    grade = find_grade(result)
    return f"{grade.say_way(not fix.is_fill)}{grade.say_move(fix.departure)}"


def say_worst(fix: Fix, result: Result) -> str:
    """Say cut or fill at the worst place, and of cover what it lacks: ``5/8 in``."""
    if fix.kind == "cover":
        return result.units.say_thickness(fix.worst)
    return find_grade(result).say_length(fix.departure)


def say_do(fix: Fix, result: Result) -> str:
    """Say in a few words what is done at a place."""
    what = _say_work(fix, result)
    if not fix.suspects:
        return what
    again = say_again(result, fix.suspects)
    if fix.call == "leave":
        return f"leave; {again}"
    return f"{again}; {'if right,' if fix.call == 'reshoot' else 'then'} {what}"


def _say_work(fix: Fix, result: Result) -> str:
    if fix.call == "leave":
        return "leave"
    if fix.kind == "cover":
        return f"lower {' and '.join(fix.covers)}"
    if not fix.is_fill:
        return "; ".join(["shave", *(_say_lowering(item, result.units) for item in fix.lowerings)])
    return "fill" if fix.call == "reshoot" else _say_fill(fix, result)


def _say_lowering(item: Lowering, units: Units) -> str:
    by, length = units.say_thickness(item.by), units.say_tape(item.length)
    return f"lower {item.name} with it, by {by} over {length}"


def _say_fill(fix: Fix, result: Result) -> str:
    if fix.call == "pour":
        return "leave low and pour full"
    hauls = [haul for haul in result.work.hauls if haul.target == fix.rank]
    cuttings = sum(haul.volume for haul in hauls)
    cut = f"fill with what you cut in {name_rows([haul.source for haul in hauls])}"
    is_all = cuttings > fix.volume - 1e-9
    if fix.call == "either":
        rest = "" if is_all else "; stone or concrete for the rest"
        return f"{cut}{rest}" if cuttings else "fill with stone, or pour full"
    price = price_of(fix, result)
    is_poured = isinstance(price, FillPrice) and price.way == "cuttings" and not is_all
    rest = "; concrete for the rest" if is_poured else ""
    return f"{cut if cuttings else 'fill'}{rest}"


def _list_details(fix: Fix, result: Result) -> list[Words]:
    """List what else is known of a row; nothing empty among it."""
    units = result.units
    thickness = _figure(fix, "thickness", units.say_thickness(fix.thickness, down=True))
    near = ", too close to the least to be sure" if "near-thin" in fix.reasons else ""
    said = [words("{} {}{}", thickness, "of cover" if fix.kind == "cover" else "thick", near)]
    if fix.covers and fix.kind != "cover":
        said.append(words("too little cover over {}", " and ".join(fix.covers)))
    if fix.area:
        mean = _figure(fix, "mean", units.say_thickness(fix.mean))
        volume = _figure(fix, "volume", units.say_some_volume(fix.volume))
        said.append(words("{} on average, {}", mean, volume))
        loose = units.say_volume(fix.volume * result.work.loose)
        if loose != units.say_volume(0.0):
            said[-1] += words(", {} loose", _figure(fix, "loose_volume", loose))
    said += [tell_hauls(fix, result), say_costs(fix, result), Words((say_shots(fix, result),))]
    return [part for part in said if part]


def _ways_of(fix: Fix, result: Result) -> list[tuple[str, int, Haul]]:
    """Where cuttings of a row go, or come from (``to row 3``), with their place in the data."""
    return [
        (f"to row {haul.target}" if haul.source == fix.rank else f"from row {haul.source}", n, haul)
        for n, haul in enumerate(result.work.hauls)
        if fix.rank in (haul.source, haul.target)
    ]


def tell_hauls(fix: Fix, result: Result) -> Words:
    """Tell where cuttings go: ``0.27 yd³ to row 3, 41 ft 2 in away``; empty where nowhere."""
    units = result.units
    return join(
        "; ",
        [
            words(
                "{} {}, {} away",
                Figure(units.say_volume(haul.volume), f"moves_of_material.{number}.volume"),
                way,
                Figure(units.say_tape(haul.distance), f"moves_of_material.{number}.distance"),
            )
            for way, number, haul in _ways_of(fix, result)
        ],
    )


def say_size(fix: Fix, units: Units) -> str:
    """Say how large a place is, to the foot or the tenth of a metre; of cover, how long."""
    if fix.kind == "cover":
        return units.say_tape(fix.length)
    long, wide = (units.to_length(value) for value in (fix.length, fix.width))
    least, digits, unit = (0.1, 1, "m") if units.is_metric else (1, 0, "ft")
    if long < least:
        return f"less than {least:g} {unit} across"
    return f"{long:.{digits}f} x {max(wide, least):.{digits}f} {unit}"


def say_shots(fix: Fix, result: Result) -> str:
    """Say which shots say so: ``shots 22, 27``; the nearest where none lies within the place."""
    if not fix.shots or not result.survey.ids:
        return ""
    names = [result.survey.name(index) for index in fix.shots]
    which = "shot" if fix.is_shot else "nearest shot"
    return f"{noun_of(len(names), which)} {first_of(names, _MOST_SHOTS)}"


def say_worst_place(fix: Fix, result: Result) -> str:
    """Say where the worst place of a row is, by tape."""
    return say_where(fix.where, result.units, result.slab.side_names)


def _figure(fix: Fix, key: str, text: str) -> Figure:
    return Figure(text, f"fix.{fix.rank - 1}.{key}")


def name_columns(result: Result) -> tuple[str, ...]:
    """
    Name the columns; those of numbers carry their units.

    `cut_or_fill` is at the worst place and `mean` over the place, each as a tape shows it and as a
    number; `thickness` is that at the worst place as the base lies. `material` says where cuttings
    go or come from, by rank and distance. Where a place rests on suspect shots, `do` says which to
    reshoot first. Columns of costs are there where the job gives costs.
    """
    units = result.units
    length, area, volume = (
        name.replace("-", "_") for name in (units.length, units.area, units.volume)
    )
    costs = ("hours", "fix_cost", "pour_cost") if result.work.prices else ()
    return (
        "rank", "kind", "do", "cut_or_fill", f"cut_or_fill_{length}", "mean", f"mean_{length}",
        "thickness", f"thickness_{length}", f"area_{area}", f"length_{length}", f"width_{length}",
        "bearing_deg", f"bank_volume_{volume}", "where", f"e_{length}", f"n_{length}", "must",
        "why", f"loose_volume_{volume}", "material", "shots", *costs,
    )  # fmt: skip


def _list_cells(fix: Fix, result: Result) -> tuple[str, ...]:
    """List the cells of one row under `name_columns`."""
    units, rounding = result.units, Rounding(result.units, result.survey.origin)
    fine, coarse = (3, 2) if units.is_metric else (2, 1)
    near = "" if fix.is_shot or not fix.shots else "near "
    return (
        str(fix.rank),
        fix.kind,
        say_do(fix, result),
        say_worst(fix, result),
        f"{units.to_length(fix.worst):z.{fine}f}"
        if fix.kind == "cover"
        else find_grade(result).say_booked(fix.departure),
        units.say_thickness(fix.mean),
        f"{units.to_length(fix.mean):z.{fine}f}",
        units.say_thickness(fix.thickness, down=True),
        f"{_round_down(units.to_length(fix.thickness), fine):z.{fine}f}",
        f"{rounding.area(fix.area):z.{coarse}f}",
        f"{rounding.length(fix.length):z.1f}",
        f"{rounding.length(fix.width):z.1f}",
        f"{round(fix.bearing, 1) % 180:.0f}",
        f"{rounding.volume(fix.volume):z.3f}",
        say_worst_place(fix, result),
        *(f"{value:z.3f}" for value in rounding.place(fix.at[:2])),
        "yes" if fix.is_must else "",
        " ".join(fix.reasons),
        f"{rounding.volume(fix.volume * result.work.loose):z.3f}",
        str(tell_hauls(fix, result)).replace("³", "3"),
        near + " ".join(result.survey.name(index) for index in fix.shots),
        *(list_costs(fix, result) if result.work.prices else ()),
    )


def _round_down(value: float, digits: int) -> float:
    """Round towards less, as thickness is told everywhere; what is whole but for noise stays."""
    return math.floor(value * 10**digits + 1e-6) / 10**digits
