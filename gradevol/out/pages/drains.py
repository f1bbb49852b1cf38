"""The design top: how it fits, how it falls, where it holds water, and what moving it would do."""

from typing import Any

from gradevol.answer.result import Result
from gradevol.ground.units import Units
from gradevol.measures.drainage.notes import say_fall
from gradevol.out.pages.answer import say_volume_of
from gradevol.out.pages.markup import Table, listing, number, paragraph, say, section

#: Flat places and ponds told one by one, at most; `result.json` has all.
_MOST = 6


def compose_top(view: dict[str, Any], result: Result) -> str:
    """Compose what is known of the design top."""
    top, units = view.get("top", {}), result.units
    lines = []
    if residuals := top.get("residuals"):
        furthest = max(abs(x) for x in residuals) / units.to_length(1.0)
        lines.append(f"Fits its {len(residuals)} points to {say(units.say_level(furthest))}.")
    if falls := top.get("falls"):
        mean = number(view, "top.falls.mean", say_fall(falls["mean"]))
        least = number(view, "top.falls.least", say_fall(falls["least"]))
        several = falls["resultant"] < 0.5 * falls["mean"]
        towards = "several ways" if several else f"to the {falls.get('towards', 'level')}"
        if falls["mean"] > 0:
            lines.append(
                f"Falls {mean} on the mean, {towards}; least {least}: {say(falls['least_where'])}. "
                f"{_button(falls['least_at'], 'least fall', result)}"
            )
        else:
            lines.append("Level: water has no way to run.")
    lines += _flat(view, result)
    lines += _ponds(view, result)
    return section("top", "Design top", listing(lines))


def _flat(view: dict[str, Any], result: Result) -> list[str]:
    top, units = view.get("top", {}), result.units
    if "flat" not in top:
        return []
    stated = number(view, "top.falls.stated", say_fall(top["falls"]["stated"]))
    if not top["flat"]:
        return [f"No place falls less than {stated}."]
    area = number(view, "top.flat_area", say_area_of(top["flat_area"], units))
    lines = [f"Under {stated}: {area}."]
    for place, flat in enumerate(top["flat"][:_MOST]):
        least = number(view, f"top.flat.{place}.least", say_fall(flat["least"]))
        causes = ", ".join(cause["point"] for cause in flat["causes"])
        why = f", for the measured point {say(causes)}" if causes else ""
        at = _button(flat["at"], f"flat place {place + 1}", result)
        lines.append(f"Flat, falls {least} there{why}: {say(flat['where'])}. {at}")
    return lines


def _ponds(view: dict[str, Any], result: Result) -> list[str]:
    top, units = view.get("top", {}), result.units
    if "ponding" not in top:
        return []
    if not top["ponding"]:
        return ["Holds no water as drawn."]
    lines = []
    for place, pond in enumerate(top["ponding"][:_MOST]):
        deep = units.say_thickness(pond["depth"] / units.to_length(1.0))
        depth = number(view, f"top.ponding.{place}.depth", deep)
        area = number(view, f"top.ponding.{place}.area", say_area_of(pond["area"], units))
        at = _button(pond["at"], f"pond {place + 1}", result)
        why = (
            f" Lowest at {say(pond['lowest_point'])}, runs over at {say(pond['sill_point'])}."
            if "lowest_point" in pond
            else ""
        )
        lines.append(f"Holds water {depth} deep over {area}: {say(pond['where'])}.{why} {at}")
    return lines


def _button(at: list[float], what: str, result: Result) -> str:
    """Return a button that shows a place (in the job's coordinates) on the plan."""
    east, north = (
        x / result.units.to_length(1.0) - float(off)
        for x, off in zip(at[:2], result.survey.origin[:2], strict=True)
    )
    return (
        f'<button type="button" class="inline" data-at="{east:.6f} {north:.6f}">show'
        f'<span class="unseen"> {what} on the plan</span></button>'
    )


def say_area_of(area: float, units: Units) -> str:
    """Say an area that is in the units of the answer; one that is there is never nought."""
    square_metres = area / units.to_area(1.0)
    return units.say_some_area(square_metres) if area > 0 else units.say_area(square_metres)


def _say_thin(area: float, units: Units) -> str:
    """Say what is thin of a moved top, an area in the units of the answer."""
    return f"thin {units.say_some_area(area / units.to_area(1.0))}" if area else "none thin"


def compose_moves(view: dict[str, Any], result: Result) -> str:
    """Compose what moving the top would do."""
    moves, units = view.get("moves", []), result.units
    if not moves:
        return ""
    unit = view["units"]
    heads = ["move", f"concrete_{unit['volume']}", f"thin_{unit['area']}", "least", "least_fall"]
    cells = [heads]
    rows = []
    for place, move in enumerate(moves):
        key = f"moves.{place}"
        volume = say_volume_of(abs(move["volume"]), units)
        more = f"{'+' if move['volume'] > 0 else '−'}{volume}"
        least = units.say_thickness(move["least"] / units.to_length(1.0), down=True)
        thin = number(view, f"{key}.thin_area", _say_thin(move["thin_area"], units))
        told = f"{thin}, least {number(view, f'{key}.least', least)}"
        if move["least_fall"] > 0:
            fall = number(view, f"{key}.least_fall", say_fall(move["least_fall"]))
            told += f", falls {fall} or more"
        way, *leaves = move["text"].split("; ")  # what is moved, and what it no longer meets
        rows.append(
            [
                f"{say(way[:1].upper() + way[1:])}<small>{say('; '.join(leaves))}</small>",
                f"<b>{number(view, f'{key}.volume', more)}</b><small>{told}</small>",
            ]
        )
        numbers = f"{move['volume']:.2f}", f"{move['thin_area']:.1f}", least
        cells.append([move["text"], *numbers, f"{move['least_fall']:.4f}"])
    table = Table("If the top moved", ["Move", "Concrete"], rows, cells, style="moves")
    return section(
        "moves",
        "If the top moved",
        table.markup(),
        paragraph("Nothing is chosen: the engineer and the edges it must meet say.", "soft"),
    )
