"""Each line of work in words: in full, for a small screen, and its parts."""

from gradevol.answer.data.words import say_where
from gradevol.answer.data.work_costs import price_of, say_costs
from gradevol.answer.result import Result
from gradevol.ground.units import Units
from gradevol.plan.fixes.fix import Fix, Lowering
from gradevol.plan.fixes.hauling import Haul
from gradevol.plan.fixes.pricing import FillPrice


def say_do(fix: Fix, result: Result) -> str:
    """Say in a few words what is done at a place."""
    what = _say_work(fix, result)
    if not fix.suspects:
        return what
    shots = ", ".join(result.survey.name(index) for index in fix.suspects)
    if fix.call == "leave":
        return f"leave; reshoot {shots}"
    return f"reshoot {shots}; {'if right,' if fix.call == 'reshoot' else 'then'} {what}"


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
        return "pour"
    cuttings = sum(haul.volume for haul in result.work.hauls if haul.target == fix.rank)
    is_all = cuttings > fix.volume - 1e-9
    if fix.call == "either":
        rest = "" if is_all else "; fill or pour the rest"
        return f"fill with cuttings{rest}" if cuttings else "fill or pour"
    price = price_of(fix, result)
    is_poured = isinstance(price, FillPrice) and price.way == "cuttings" and not is_all
    rest = ", pour the rest" if is_poured else ""
    return f"fill{' with cuttings' if cuttings else ''}{rest}"


def say_fix(fix: Fix, result: Result) -> str:
    """Say one line of work in full: what, how much, how large, where, why, with what, for what."""
    parts = [
        f"{_capital(say_do(fix, result))}: {_say_much(fix, result, is_brief=False)}",
        f"{'' if fix.kind == 'cover' else 'worst '}{say_worst_place(fix, result)}",
        *_say_reasons(fix, result.units),
        *filter(None, [say_hauls(fix, result)]),
        *say_costs(fix, result),
    ]
    parts += filter(None, [say_shots(fix, result)])
    return "; ".join(parts)


def say_briefly(fix: Fix, result: Result) -> str:
    """Say one line of work for a small screen: what, how much, how large, where."""
    ends = "".join(f", {way}" for way, _ in _ways_of(fix, result))
    much = _say_much(fix, result, is_brief=True)
    return f"{_capital(say_do(fix, result))}: {much}{ends}; {say_worst_place(fix, result)}"


def _ways_of(fix: Fix, result: Result) -> list[tuple[str, Haul]]:
    """Where cuttings of a line of work go, or come from: ``to 3``."""
    return [
        (f"to {haul.target}" if haul.source == fix.rank else f"from {haul.source}", haul)
        for haul in result.work.hauls
        if fix.rank in (haul.source, haul.target)
    ]


def _say_much(fix: Fix, result: Result, *, is_brief: bool) -> str:
    units = result.units
    if fix.kind == "cover":
        return f"by {units.say_thickness(fix.worst)} over {units.say_tape(fix.length)}"
    worst = f"up to {units.say_thickness(fix.worst)}"
    if is_brief:
        return f"{worst}, {_say_size(fix, units)}"
    mean, volume = units.say_thickness(fix.mean), units.say_volume(fix.volume)
    loose = units.say_volume(fix.volume * result.work.loose)
    size = _say_size(fix, units)
    return f"{worst}, {mean} on average, over {size}, {volume} ({loose} loose)"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _say_reasons(fix: Fix, units: Units) -> list[str]:
    thickness = units.say_thickness(fix.thickness, down=True)
    if fix.kind == "cover":
        return [f"{thickness} of cover"]
    said = []
    if "thin" in fix.reasons:
        said.append(f"{thickness} thick")
    if "near-thin" in fix.reasons:
        said.append(f"{thickness} thick, too near the least for the shots to tell")
    if fix.covers:
        said.append(f"too little cover over {' and '.join(fix.covers)}")
    return said


def say_hauls(fix: Fix, result: Result) -> str:
    """Say where cuttings go, or come from: ``0.27 yd³ to 3, 41 ft 2 in``; empty where none."""
    units = result.units
    return "; ".join(
        f"{units.say_volume(haul.volume)} {way}, {units.say_tape(haul.distance)}"
        for way, haul in _ways_of(fix, result)
    )


def _say_size(fix: Fix, units: Units) -> str:
    long, wide = (units.to_length(value) for value in (fix.length, fix.width))
    least, digits, unit = (0.1, 1, "m") if units.is_metric else (1, 0, "ft")
    if long < least:
        return f"less than {least:g} {unit} across"
    return f"{long:.{digits}f} x {max(wide, least):.{digits}f} {unit}"


def say_shots(fix: Fix, result: Result, most: int = 6) -> str:
    """Say which shots say so: ``shots 22, 27``; the nearest where none lies within the place."""
    if not fix.shots or not result.survey.ids:
        return ""
    names = [result.survey.name(index) for index in fix.shots]
    more = f" and {len(names) - most} more" if len(names) > most else ""
    which = "shot" if fix.is_shot else "nearest shot"
    return f"{which}{'s' if len(names) > 1 else ''} {', '.join(names[:most])}{more}"


def say_worst_place(fix: Fix, result: Result) -> str:
    """Say where the worst place of a line of work is, by tape."""
    return say_where(fix.where, result.units, result.slab.side_names)
