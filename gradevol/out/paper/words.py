"""The sheet's words: the figures, what was not measured, and what to bear in mind."""

from typing import Any

from gradevol.answer.cautions import CAUTIONS, NO_ALLOWANCE, NO_INTERVAL
from gradevol.answer.data.hidden import say_briefly as say_hidden
from gradevol.answer.data.interval import say_interval, say_stated
from gradevol.answer.data.outcome import say_outcome_briefly
from gradevol.answer.data.slip import say_order
from gradevol.answer.data.words import say_where
from gradevol.answer.drawing.captions import say_removed
from gradevol.answer.result import Result
from gradevol.out.paper.type import Item
from gradevol.out.paper.works import WorkLine
from gradevol.site.locating import locate

#: Notes that other parts of the sheet tell already.
_TOLD = {"base-above-top", "beyond-survey", "cloud-bins", "cloud-not-base", "suspect-shots"}
#: What ends the life of a sheet: common practice, no source.
VOID = "Rain or traffic after the shots voids this sheet: shoot again."
#: Shots and thickenings that are named, items whose cover is told, parts whose order is: more
#: leave no room for a map.
_MOST_NAMED, _MOST_COVERS, _MOST_ORDERS = 3, 3, 4
#: Lines of one note: none in use is longer, but the list of a long survey's points.
_MOST_LINES = 9


def list_figures(result: Result) -> tuple[str, list[Item]]:
    """Say the volume in place, and list the figures that go with it."""
    units, slab, moments = result.units, result.slab, result.thickness
    interval = result.interval
    if interval is None:
        big, margin = units.say_volume(result.concrete.volume), Item(NO_INTERVAL)
    else:
        big = say_stated(interval, units)
        margin = Item("", lead=f"{say_interval(interval, units)}.")
    items = [
        margin,
        *_order(result),
        *_then(result),
        Item(
            f"{units.say_thickness(moments.min, down=True)} (rounded down), "
            f"{say_place(moments.min_at, result)}",
            lead="Least thickness",
        ),
        Item(
            f"{units.say_thickness(moments.mean)}; design {units.say_thickness(slab.thickness)}",
            lead="Mean thickness",
        ),
        _thin(result),
        Item(
            f"cut {units.say_volume(result.grading.cut)}, fill "
            f"{units.say_volume(result.grading.fill)} to the design base (bank measure)",
            lead="Base",
        ),
    ]
    if moments.min < 0:
        items.append(
            Item(f"{units.say_volume(result.concrete.overlap)} to cut first", lead="Base above top")
        )
    return big, [*items, *_cover(result)]


def _order(result: Result) -> list[Item]:
    """Say what to order, in steps of the plant, or that the volume is none."""
    delivery, units = result.delivery, result.units
    if delivery.part_orders:
        items = [
            Item(say_order(order, units), lead=f"Order for {part.name}")
            for part, order in zip(delivery.parts, delivery.part_orders, strict=True)
        ]
        return _some(items, _MOST_ORDERS, "orders")
    if delivery.order is None:
        return [Item(NO_ALLOWANCE)]
    return [Item(say_order(delivery.order, units), lead="Order")]


def _then(result: Result) -> list[Item]:
    """Say the concrete once the work is done; the page tells what suspect shots change of it."""
    said = say_outcome_briefly(result)
    return [Item(said, lead="Then:")] if said else []


def say_place(place: tuple[float, float], result: Result) -> str:
    """Say where to tape a place: what stands at the sides is on the map."""
    return say_where(locate(place, result.slab), result.units)


def _thin(result: Result) -> Item:
    units = result.units
    limit = units.say_thickness(result.slab.least_thickness)
    if result.thin.area > 0:
        return Item(f"{units.say_some_area(result.thin.area)} under {limit}", lead="Thin")
    what = "the shots" if result.survey.ids else "the points"
    return Item(f"none seen under {limit} at {what}", lead="Thin")


def _cover(result: Result) -> list[Item]:
    units = result.units
    items = []
    for cover in result.cover:
        text = f"least {units.say_thickness(cover.least, down=True)}"
        if cover.required is not None:
            text += f" of {units.say_thickness(cover.required)} required"
        if cover.short > 0:
            text += f", short on {units.say_tape(cover.short)}"
        items.append(
            Item(f"{text}; {say_place(cover.at, result)}", lead=f"Cover over {cover.name}")
        )
    items.sort(key=lambda item: "short on" not in item.text)
    return _some(items, _MOST_COVERS, "items cast in")


def _some(items: list[Item], most: int, what: str) -> list[Item]:
    """First of a list, and how many more there are."""
    if len(items) <= most:
        return items
    return [*items[:most], Item(f"{len(items) - most} more {what}: see result.json.")]


def list_fixes(works: list[WorkLine], result: Result, *, most: int) -> list[Item]:
    """List the first lines of work, each with its number."""
    spots = (result.thin, result.high, result.low)
    told = sum(fix.call == "leave" for fix in result.work.fixes)
    left = told + result.work.left
    if not result.work.fixes and not left and any(held and held.listed for held in spots):
        return [Item("No plan of work was made: see the hatched places.")]
    see = ", or see fix_list.csv" if told else ""
    small = [Item(f"{left} too small to work: leave{see}.")] if left else []
    if small and not works:
        return small
    if not works:
        bound = result.slab.base_high is not None or result.slab.base_low is not None
        known = "thin or beyond the tolerances" if bound else "thin; the job states no tolerance"
        return [Item(f"Nothing seen that is {known}.")]
    items = [Item(work.text, lead=work.lead, number=work.number, most=6) for work in works[:most]]
    if len(works) > most:
        items.append(Item(f"{len(works) - most} more: see fix_list.csv."))
    if any(work.is_must for work in works[:most]):
        said = [*(item.text for item in small), "Must: more concrete can't make it good."]
        return [*items, Item(" ".join(said))]
    return items + small


def list_unmeasured(result: Result) -> list[Item]:
    """List what was not measured, as far as can be known."""
    units, points = result.units, "shots" if result.survey.ids else "points"
    items = []
    if result.coverage < 1 - 1e-6:
        outside = (1 - result.coverage) * result.slab.area
        items.append(
            Item(
                f"outside the outermost {points}, {units.say_area(outside)}: the base is taken as "
                f"level there, {units.say_volume(result.concrete.beyond_survey)} rests on it.",
                lead="At the edge,",
            )
        )
    if result.widest_gap is not None:
        gap = units.say_tape(result.widest_gap)
        items.append(
            Item(
                f"the widest gap is {gap} across; a ridge narrower than that would not show.",
                lead=f"Between {points},",
            )
        )
    else:
        items.append(
            Item("what stood on the base when it was scanned hides it.", lead="Under things,")
        )
    if expected := say_hidden(result):
        items.append(Item(f"{expected}.", lead="Likely thin:"))
    items += _next_shot(result)
    if result.survey.removed is not None and len(result.survey.removed):
        items.append(
            Item(
                f"{say_removed(result)} stood off the base and were taken away (plan.png shows "
                "where). Bars and forms lower than those can't be told from base.",
                lead="Filtered:",
                most=6,
            )
        )
    items += _trenches(result)
    return items + _suspects(result)


def _next_shot(result: Result) -> list[Item]:
    """Say the place where one more shot tells most; the others are on the map."""
    planned = result.next_shots
    if planned is None or not (planned.thin or planned.volume):
        return []
    what = "thin concrete" if planned.thin else "the volume"
    first = (*planned.thin, *planned.volume)[0]
    more = len(planned.thin) + len(planned.volume) - 1
    rest = f"; {more} more: triangles, fix_points.csv" if more else ""
    return [Item(f"for {what}, {say_place(first.at, result)}{rest}.", lead="Shoot next")]


def _trenches(result: Result) -> list[Item]:
    said = {
        "no": "no shot was taken in it: it is as drawn.",
        "departure": "its bottom by the trench shots; its walls were not shot.",
    }
    by_way: dict[str, list[str]] = {}
    for part in result.slab.thickenings:
        if part.surveyed in said:
            by_way.setdefault(part.surveyed, []).append(part.name)
    items = []
    for way, names in by_way.items():
        text = said[way]
        if len(names) > 1:
            text = text.replace("in it: it is", "in them: they are").replace("its ", "their ")
        items.append(Item(text, lead=f"{_name(names)}:"))
    return items


def _suspects(result: Result) -> list[Item]:
    items = []
    for suspect in result.suspects[:_MOST_NAMED]:
        way = "above" if suspect.difference > 0 else "below"
        slip = f": {suspect.slip}" if suspect.slip else ""
        items.append(
            Item(
                f"is {result.units.say_level(abs(suspect.difference))} {way} its neighbours{slip}. "
                "Reshoot before you cut.",
                lead=f"Shot {result.survey.name(suspect.index)}",
            )
        )
    if len(result.suspects) > _MOST_NAMED:
        items.append(Item(f"{len(result.suspects) - _MOST_NAMED} more suspect shots: see ? marks."))
    return items


def _name(names: list[str]) -> str:
    unlike = list(dict.fromkeys(names))
    more = f" and {len(unlike) - _MOST_NAMED} more" if len(unlike) > _MOST_NAMED else ""
    return ", ".join(unlike[:_MOST_NAMED]) + more


def list_notes(view: dict[str, Any], *, most: int) -> list[Item]:
    """List the notes that nothing else on the sheet tells."""
    texts = [note["text"] for note in view["notes"] if note["code"] not in _TOLD]
    items = [
        Item(text if text.endswith((".", "?", "!")) else f"{text}.", most=_MOST_LINES)
        for text in texts[:most]
    ]
    if len(texts) > most:
        items.append(Item(f"{len(texts) - most} more notes: see result.json."))
    return items


def list_cautions() -> list[Item]:
    """List the cautions that go with every answer."""
    return [Item(VOID), *(Item(caution) for caution in CAUTIONS)]
