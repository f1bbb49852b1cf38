"""The answer: how much concrete, what it rests on, how thick, and what to do first."""

import math
from typing import Any

from gradevol.answer.cautions import NO_ALLOWANCE, NO_INTERVAL, ORDER_APART
from gradevol.answer.data.hidden import say_expected
from gradevol.answer.data.interval import say_ends, say_level_of, say_stated
from gradevol.answer.data.outcome import say_without_suspects, tell_stages
from gradevol.answer.data.slip import say_order
from gradevol.answer.data.words import say_where
from gradevol.answer.result import Result
from gradevol.answer.result_notes import SMALL_SHARE
from gradevol.ground.units import METRES, Units
from gradevol.out.pages.markup import facts, number, paragraph, say
from gradevol.site.locating import locate

#: Places told among what to do first.
_MOST = 2


def compose_answer(view: dict[str, Any], result: Result) -> str:
    """
    Compose the head of the page.

    Parameters
    ----------
    view : dict
        From `present`.
    result : Result
        The same result; its measures are said as a tape shows them.

    Returns
    -------
    str
        Markup of one section.
    """
    big = number(view, "concrete.volume", say_total(result))
    return (
        '<section id="answer" aria-labelledby="title">'
        '<p class="kind">Base check before the pour</p>'
        f'<h1 id="title">{say(view["title"]) or "Base check"}</h1>'
        f'<p class="big">{_split_unit(big)}</p>'
        f"{paragraph(_say_margin(view, result), 'margin')}{_say_orders(result)}"
        f"{paragraph(_say_rests_on(view, result), 'soft')}"
        f"{_thickness(view, result)}{_first(view, result)}{_say_then(view, result)}</section>"
    )


def say_total(result: Result) -> str:
    """Say the volume with no more digits than it bears."""
    if result.interval is None:
        return result.units.say_volume(result.concrete.volume)
    return say_stated(result.interval, result.units)


def _split_unit(big: str) -> str:
    """Set the unit of a figure smaller than its digits."""
    digits, _, unit = big.removesuffix("</data>").rpartition("\u00a0")
    return (
        f'{digits}<span class="unit">\u00a0{unit}</span></data> <span class="of">of concrete</span>'
    )


def say_volume_of(volume: float, units: Units) -> str:
    """Say a volume that is in the units of the answer."""
    return units.say_volume(volume / units.to_volume(1.0))


def _say_margin(view: dict[str, Any], result: Result) -> str:
    beside = NO_ALLOWANCE if result.order is None else ORDER_APART
    if result.interval is None:
        return say(f"{NO_INTERVAL} {beside}")
    low, high = (
        number(view, f"concrete.interval.{key}", said)
        for key, said in zip(("low", "high"), say_ends(result.interval, result.units), strict=True)
    )
    sure = say_level_of(result.interval)
    return f"{say(sure)}: <b>{low} to {high}</b>. {say(beside)}"


def _say_orders(result: Result) -> str:
    """Say what to order: of each part where there are parts."""
    delivery, units = result.delivery, result.units
    told = [
        (f"{part.name}: order ", say_order(order, units))
        for part, order in zip(delivery.parts, delivery.part_orders, strict=False)
    ]
    if not told and delivery.order is not None:
        told = [("Order ", say_order(delivery.order, units))]
    return "".join(paragraph(_link_order(*words), "order") for words in told)


def _link_order(lead: str, text: str) -> str:
    """Say what to order large, and what comes of it below."""
    order, _, rest = text.partition("; ")
    return f'<a href="#order">{say(lead + order)}</a><small>{say(rest)}</small>'


def points_of(result: Result) -> str:
    """Return what its points are called."""
    return "shots" if result.survey.ids else "points"


def say_share(share: float) -> str:
    """Say a share in per cent, never rounded up."""
    return f"{math.floor(1000 * share + 1e-6) / 10:g} %"


def _say_rests_on(view: dict[str, Any], result: Result) -> str:
    survey, units = view["survey"], result.units
    count = number(view, "survey.count", f"{survey['count']:,} {points_of(result)}")
    share = number(view, "survey.coverage", say_share(result.coverage))
    reach = (
        "all of the slab lies within them"
        if result.coverage > 1 - 1e-6
        else f"{share} of the slab lies within them"
    )
    step = 1e-3 if units.is_metric else METRES["in"] / 8
    each = (
        f"Each {units.say_thickness(step)} all over is {units.say_volume(step * result.slab.area)}."
    )
    credited = survey.get("credits", {})
    who = f" by {say(credited['by'])}" if "by" in credited else ""
    when = f", {say(credited['date'])}" if "date" in credited else ""
    return f"It rests on {count}{who}{when}; {reach}. {say(each)}"


def _thickness(view: dict[str, Any], result: Result) -> str:
    units, moments, slab = result.units, result.thickness, result.slab
    least = number(view, "thickness.min", units.say_thickness(moments.min, down=True))
    mean = number(view, "thickness.mean", units.say_thickness(moments.mean))
    most = number(view, "thickness.max", units.say_thickness(moments.max))
    design = number(view, "slab.thickness", units.say_thickness(slab.thickness))
    limit = number(view, "slab.least_thickness", units.say_thickness(slab.least_thickness))
    thin = number(view, "thin.area", units.say_some_area(result.thin.area))
    thin = thin.replace("less than ", '<span class="lead">less than</span> ')
    is_thin, none = result.thin.area > 0, "none\u00a0seen"
    expected = ""
    if result.hidden is not None:
        area = number(view, "thin.could_hide.area", say_expected(result.hidden, units))
        expected = f'; <a href="#hidden">likely</a> in all {area}'
    return facts(
        [
            ("Least", f'<b class="{"alert" if is_thin else ""}">{least}</b>'),
            ("Mean", f"<b>{mean}</b><small>design\u00a0{design}</small>"),
            ("Most", f"<b>{most}</b>"),
            (
                "Thin",
                f'<b class="{"alert" if is_thin else ""}">{thin if is_thin else none}</b>'
                f"<small>under {limit}{expected}</small>",
            ),
        ],
        "stats",
    )


def place_of(index: int, result: Result) -> str:
    """Say where a shot is, by tape."""
    place = result.survey.points[index, :2]
    return say_where(locate(place, result.slab), result.units, result.slab.side_names)


def _first(view: dict[str, Any], result: Result) -> str:
    """Say what to do before the pour, most urgent first."""
    units, lines = result.units, []
    if result.suspects:
        names = [shot["id"] for shot in view["survey"]["suspect"]]
        more = f" and {len(names) - 1} more" if len(names) > 1 else ""
        where = "see the list" if more else place_of(result.suspects[0].index, result)
        lines.append(
            f'<a href="#suspects">Reshoot</a> shot {say(names[0])}{more} before anything is cut: '
            f"{say(where)}.{_without(view, result)}"
        )
    if result.concrete.overlap > 0 and result.thickness.min < 0:
        over = number(view, "concrete.overlap", units.say_volume(result.concrete.overlap))
        lines.append(f"The base stands above the top: {over} to cut away.")
    lines += _first_fixes(view, result)
    if result.coverage < 1 - SMALL_SHARE:
        beyond = units.say_volume(result.concrete.beyond_survey)
        lines.append(
            f'<a href="#unseen">Shoot</a> the base out to the edge: '
            f"{number(view, 'concrete.beyond_survey', beyond)} rests on a base held level there."
        )
    if not lines:
        lines.append(
            f'<a href="#unseen">Look</a> between the {points_of(result)}: none seen is not none.'
        )
    items = "".join(f"<li>{line}</li>" for line in lines)
    return f'<h2 class="small">First</h2><ol class="first">{items}</ol>'


def _say_then(view: dict[str, Any], result: Result) -> str:
    """Say the concrete once that is done; what is conditional stands with the work list."""
    told = [
        f"{say(one.lead)}: <b>{number(view, one.key, one.said)}</b>"
        for one in tell_stages(result, noun="place")
    ]
    if not told:
        return ""
    first, *rest = told
    text = "; ".join([first[:1].upper() + first[1:], *rest])
    text += '; <a href="#work">recheck</a> then.'
    return paragraph(f"{text} {say(say_without_suspects(result))}".rstrip(), "then")


def _without(view: dict[str, Any], result: Result) -> str:
    if result.volume_without_suspects is None:
        return ""
    said = result.units.say_volume(result.volume_without_suspects)
    it = "it" if len(result.suspects) == 1 else "them"
    return f" Without {it}: {number(view, 'survey.volume_without_suspects', said)}."


def _first_fixes(view: dict[str, Any], result: Result) -> list[str]:
    """Lines of work that must be done, but for those that a reshot may do away with."""
    must = [
        (fix, shown)
        for fix, shown in zip(result.work.fixes, view["fix"], strict=True)
        if fix.is_must and fix.call != "reshoot"
    ]
    lines = [
        f'<a href="#spot-{fix.rank}">{say(shown["do"][:1].upper() + shown["do"][1:])}</a> '
        f"{say(result.units.say_thickness(fix.worst))} at {fix.rank}: {say(shown['where'])}."
        for fix, shown in must[:_MOST]
    ]
    if len(must) > _MOST:
        lines.append(f'<a href="#work">{len(must) - _MOST} more places</a> must be put right.')
    return lines
