"""The account: what the volume is made of, what was not measured, notes, and the survey."""

from typing import Any

import numpy as np

from gradevol.answer.data.interval import say_spread
from gradevol.answer.result import Result
from gradevol.out.pages.answer import points_of, say_share, say_total
from gradevol.out.pages.markup import Table, facts, listing, number, paragraph, say, section, signed

#: Notes that other sections tell already.
_TOLD = {"beyond-survey", "rechecks-applied", "suspect-shots"}
#: Parts of the interval, and what they are.
_SPREADS = {
    "shots": "single shots",
    "between_shots": "between the shots",
    "datum": "what shots of a setup share",
    "top": "the finished top",
}
#: What the job says of the shots, never used.
_CREDITS = {
    "by": "Shot by",
    "date": "On",
    "instrument": "With",
    "benchmark": "From",
}


def compose_parts(view: dict[str, Any], result: Result) -> str:
    """Compose the volume by its parts."""
    units, concrete = result.units, result.concrete
    say_volume = units.say_volume
    area = number(view, "slab.area", units.say_area(result.slab.area))
    thickness = number(view, "slab.thickness", units.say_thickness(result.slab.thickness))
    over = concrete.over_nominal
    lines = [
        (
            f"Slab as drawn<small>{area} of {thickness}</small>",
            "slab.nominal_volume",
            concrete.nominal,
            "Slab as drawn",
        ),
        (
            f"Base {'below' if over >= 0 else 'above'} the drawing"
            "<small>net, over the base as graded</small>",
            "concrete.over_nominal",
            over,
            "Base off the drawing, net",
        ),
    ]
    lines += [
        (say(name), f"concrete.parts.{place}.volume", volume, name)
        for place, (name, volume) in enumerate(concrete.parts)
    ]
    rows = [[name, number(view, key, signed(say_volume(volume)))] for name, key, volume, _ in lines]
    total = number(view, "concrete.volume", say_total(result))
    rows.append(["<b>Concrete in place</b>", f"<b>{total}</b>"])
    unit = view["units"]["volume"]
    cells = [["part", f"volume_{unit}"]]
    cells += [[said, f"{units.to_volume(volume):z.3f}"] for _, _, volume, said in lines]
    cells.append(["Concrete in place", f"{view['concrete']['volume']:z.3f}"])
    table = Table("Parts of the volume", ["Part", "Volume"], rows, cells, style="sums")
    shown = any(part.surveyed == "yes" for part in result.slab.thickenings)
    inside = "Thickenings that were shot are in the figure of the base. " if shown else ""
    return section(
        "parts",
        "Parts of the volume",
        table.markup(),
        paragraph(f"{inside}Parts are rounded one by one.", "soft"),
        _interval(view, result),
    )


def _interval(view: dict[str, Any], result: Result) -> str:
    if (interval := result.interval) is None:
        return ""
    none, pairs = say_spread(0.0, result.units), []
    for key, words in _SPREADS.items():
        sd = getattr(interval, key)
        said = say_spread(sd, result.units)
        if sd > 0 and said == none:  # what is there is not told as nought
            said = f"less than {none.replace('0.00', '0.01')}"
        pairs.append((words, number(view, f"concrete.interval.{key}", said)))
    return f"<h3>One standard deviation of the volume</h3>{facts(pairs)}"


def compose_unseen(view: dict[str, Any], result: Result) -> str:
    """Compose what was not measured."""
    units, slab = result.units, result.slab
    gap = view["thin"].get("could_hide", {}).get("width")
    points = points_of(result)
    ridge = "A ridge"
    if gap is not None and result.widest_gap is not None:
        width = number(view, "thin.could_hide.width", units.say_tape(result.widest_gap))
        ridge = f"A ridge narrower than {width}"
    items = [f"{ridge} between the {points} would not show."]
    if result.coverage < 1 - 1e-6:
        beyond = (1 - result.coverage) * slab.area
        volume = number(
            view, "concrete.beyond_survey", units.say_volume(result.concrete.beyond_survey)
        )
        items.append(
            f"{say(units.say_area(beyond))} of the slab lies beyond the outermost {points}. There "
            f"the base is held level, and {volume} rests on that. It is dotted on the plan."
        )
    drawn = [say(part.name) for part in slab.thickenings if part.surveyed == "no"]
    if drawn:
        items.append(f"Not shot, taken as drawn: {', '.join(drawn)}.")
    missing = {"base_high": "high", "base_low": "low"}
    missing = {key: way for key, way in missing.items() if getattr(slab, key) is None}
    if missing:
        items.append(
            f"The job states no limit for how {' or '.join(missing.values())} the base may be "
            f"({', '.join(missing)}): such spots were not looked for."
        )
    unlined = [say(void.name) for void in slab.voids if void.line is None]
    if unlined:
        items.append(f"Without a line, so not on the plan: {', '.join(unlined)}.")
    return section("unseen", "Not measured", listing(items))


def compose_notes(view: dict[str, Any]) -> str:
    """Compose the notes that nothing else on the page tells."""
    texts = [say(note["text"]) for note in view["notes"] if note["code"] not in _TOLD]
    return section("notes", "Notes", listing(texts))


def compose_survey(view: dict[str, Any], result: Result) -> str:
    """Compose how the base was measured, and the limits it is held against."""
    units, slab, survey = result.units, result.slab, view["survey"]
    say_thickness = units.say_thickness
    pairs = [
        ("Method", say(survey["method"])),
        ("Read", number(view, "survey.count", f"{survey['count']:,} {points_of(result)}")),
        ("Used", number(view, "survey.used", f"{survey['used']:,}")),
        ("Slab within them", number(view, "survey.coverage", say_share(result.coverage))),
        ("Slab", number(view, "slab.area", units.say_area(slab.area))),
        ("Design", number(view, "slab.thickness", say_thickness(slab.thickness))),
        ("Thin below", number(view, "slab.least_thickness", say_thickness(slab.least_thickness))),
    ]
    for key, words in (("base_high", "Base high beyond"), ("base_low", "Base low beyond")):
        if (tolerance := getattr(slab, key)) is not None:
            pairs.append((words, number(view, f"slab.{key}", say_thickness(tolerance))))
    pairs.append(("Spread of thickness", number(view, "thickness.sd", _fine(result))))
    pairs += [
        (words, say(survey["credits"][key]))
        for key, words in _CREDITS.items()
        if key in survey.get("credits", {})
    ]
    if setups := sorted({name for name in result.survey.setups if name}):
        pairs.append(("Setups", f"{len(setups)}"))
    rechecked = ""
    if rechecks := survey.get("rechecks"):
        before = ""
        if result.volume_before_rechecks is not None:
            volume = number(
                view,
                "survey.rechecks.volume_before",
                units.say_volume(result.volume_before_rechecks),
            )
            before = f" Before the rework: {volume}."
        rechecked = paragraph(
            f"{len(rechecks['later'])} later shots replace {len(rechecks['retired'])} of the first "
            f"{rechecks['first_count']}.{before}"
        )
    return section("survey", "Survey and limits", facts(pairs), rechecked)


def _fine(result: Result) -> str:
    """Say one standard deviation of the thickness, never as nought where it is none."""
    return result.units.say_thickness(float(np.ceil(result.thickness.sd * 1e9) / 1e9))
