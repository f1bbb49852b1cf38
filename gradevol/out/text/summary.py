"""``summary.txt``: the answer on one screen, the volume first."""

import re
import textwrap
from pathlib import Path
from typing import Any

from gradevol.answer.cautions import CAUTIONS, NO_ALLOWANCE, NO_INTERVAL, ORDER_APART
from gradevol.answer.data.hidden import say_briefly as say_hidden
from gradevol.answer.data.hidden import say_tests
from gradevol.answer.data.interval import say_causes, say_interval, say_stated
from gradevol.answer.data.next_shots import say_next
from gradevol.answer.data.slip import say_order
from gradevol.answer.result import Result
from gradevol.ground.units import Units
from gradevol.measures.drainage.notes import say_fall
from gradevol.out.text.summary_sections import Section, count_spots, list_some, points_of
from gradevol.out.text.summary_survey import tell_rechecks, tell_survey, tell_suspects
from gradevol.out.text.summary_work import tell_first, tell_grading, tell_then

#: One screen of a terminal.
LINES, COLUMNS = 40, 78
_MARGIN = 12
#: Where lists are cut shorter than this, next shots are left to the page.
_ROOMY = 2
#: Lengths of lists, and how much else gives way before the first works do: what the margin is made
#: of, the tolerances, core tests, what suspect shots change after the work (1); what is drawn (2).
_DETAIL = ((5, 0), (4, 0), (3, 0), (3, 1), (3, 2), (2, 2), (1, 2), (0, 2))
_SPARE_MORE = 2
#: Notes that the sections above them tell already.
_TOLD = {"beyond-survey", "rechecks-applied", "suspect-shots", "top-flat", "top-holds-water"}
#: Spaces at which no line is broken: within a measure, and before the number of a side.
_BOUND = re.compile(
    r"(?<=\d) (?=\d+(?:/\d+)? |(?:ft|in|mm|m|yd)[²³]?\b)|(?<= ft) (?=\d)|(?<=side|rner) (?=\d)"
    r"|(?<=\d) (?=x \d)|(?<=\d x) (?=\d)"
)
_BOND = "\x1f"


def compose_summary(view: dict[str, Any], result: Result) -> str:
    """
    Write the answer as text of one screen.

    Parameters
    ----------
    view : dict
        From `present`: places in words, and notes.
    result : Result
        The same result; its measures are said as a tape shows them.

    Returns
    -------
    str
        At most `LINES` lines of `COLUMNS` characters. Lists too long for that are cut short and
        say so. It still reads well where letters are not of one width, as in a text message.
    """
    foot = ["", *(line for caution in CAUTIONS for line in textwrap.wrap(caution, COLUMNS))]
    room = LINES - len(foot)
    for most, spare in _DETAIL:
        lines = _compose(view, result, most, spare)
        if len(lines) <= room:
            break
    return "\n".join([*lines[:room], *foot]) + "\n"


def write_summary(path: Path, view: dict[str, Any], result: Result) -> None:
    """Write `compose_summary` to a file."""
    path.write_text(compose_summary(view, result), encoding="utf-8", newline="\n")


def _compose(view: dict[str, Any], result: Result, most: int, spare: int) -> list[str]:
    """Lines above the cautions, no list in them longer than `most`; see `_DETAIL`."""
    lines = [
        textwrap.shorten(_plain(view["title"]) or "Base check", COLUMNS, placeholder=" ..."),
        "",
        f"  {_headline(result)} of concrete",
        "",
    ]
    for label, paragraphs in (
        _interval(result, spare),
        _order(result),
        _volume(result, most, spare),
        _thickness(view, result),
        _thin(result),
        _likely(result),
        _cores(result, most if spare == 0 else 0),
        tell_first(result, most),
        tell_then(result, spare),
        tell_grading(result, spare),
        _falls(view, result),
        tell_survey(view, result),
        tell_rechecks(view, result),
        tell_suspects(view, result, most),
        ("Next shots", say_next(view) if most >= _ROOMY else []),
        _cover(view, result, most),
        _notes(view, most),
    ):
        for number, paragraph in enumerate(paragraphs):
            lines += _fill(label if number == 0 else "", paragraph)
    return lines


def _fill(label: str, paragraph: str) -> list[str]:
    lines = textwrap.wrap(
        _BOUND.sub(_BOND, _plain(paragraph)),
        COLUMNS,
        initial_indent=label.ljust(_MARGIN),
        subsequent_indent=" " * _MARGIN,
        max_lines=3,
        placeholder=" ...",
        break_on_hyphens=False,
    )
    return [line.replace(_BOND, " ") for line in lines]


def _plain(text: str) -> str:
    """Text without line breaks or what a terminal would obey."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _volume(result: Result, most: int, spare: int) -> Section:
    units, concrete, slab = result.units, result.concrete, result.slab
    say = units.say_volume
    shown = sum(part.surveyed == "yes" for part in slab.thickenings)
    parts = [f"slab {say(concrete.slab)}"]
    if len(concrete.parts) <= max(most, 1):
        parts += [f"{name} {say(volume)}" for name, volume in concrete.parts]
    else:
        parts += [f"thickenings {say(concrete.thickenings)}", f"voids {say(-concrete.voids)}"]
    over = concrete.over_nominal
    than = (
        "just that"
        if say(abs(over)) == say(0.0)
        else f"{say(abs(over))} {'more' if over > 0 else 'less'}"
    )
    nominal = (
        f"As drawn {units.say_area(slab.area)} x {units.say_thickness(slab.thickness)} = "
        f"{say(concrete.nominal)}; over the base as graded the slab takes {than}."
    )
    inside = ["Thickenings that were shot are in the slab's figure."] if shown else []
    beside = [NO_ALLOWANCE] if result.order is None else [ORDER_APART]
    if spare >= _SPARE_MORE:
        return "Made up of", [", ".join(parts), *inside, *beside[: result.order is None]]
    return "Made up of", [", ".join(parts), *inside, nominal, *beside]


def _order(result: Result) -> Section:
    """What to order: of each part where there are parts."""
    delivery, units = result.delivery, result.units
    if delivery.part_orders:
        return "Order", [
            f"{part.name}: {say_order(order, units)}"
            for part, order in zip(delivery.parts, delivery.part_orders, strict=True)
        ]
    return "Order", [say_order(delivery.order, units)] if delivery.order is not None else []


def _headline(result: Result) -> str:
    if result.interval is None:
        return result.units.say_volume(result.concrete.volume)
    return say_stated(result.interval, result.units)


def _interval(result: Result, spare: int) -> Section:
    if result.interval is None:
        return "Margin", [NO_INTERVAL]
    units = result.units
    causes = [] if spare else [say_causes(result.interval, units)]
    return "Margin", [say_interval(result.interval, units), *causes]


def _thickness(view: dict[str, Any], result: Result) -> Section:
    say, moments = result.units.say_thickness, result.thickness
    overlap = result.concrete.overlap
    above = f"The base stands above the top: {result.units.say_volume(overlap)} to cut away first."
    return "Thickness", [
        f"least {say(moments.min, down=True)}: {view['thickness']['min_where']}",
        f"mean {say(moments.mean)}, most {say(moments.max)}",
        *([above] if moments.min < 0 else []),
    ]


def _thin(result: Result) -> Section:
    units, thin = result.units, result.thin
    gap = result.widest_gap
    ridge = "a ridge" if gap is None else f"a ridge narrower than {units.say_tape(gap)}"
    hidden = f"{ridge} between {points_of(result)} would not show"
    if not thin.listed:
        seen = f"none seen under {units.say_thickness(result.slab.least_thickness)}"
        return "Thin", [f"{seen} at the {points_of(result)}; {hidden}"]
    cut = units.say_some_volume(sum(spot.volume for spot in thin.listed))
    least = units.say_thickness(result.slab.least_thickness)
    head = f"{units.say_some_area(thin.area)} under {least} in {count_spots(thin)}; {cut} to cut"
    head += " in the largest. " if thin.unlisted else ". "
    return "Thin", [f"{head}Besides, {hidden}."]


def _likely(result: Result) -> Section:
    """Tell how much is likely to be thin, where it is known."""
    return "Likely thin", [said] if (said := say_hidden(result)) else []


def _cores(result: Result, most: int) -> Section:
    """Chances that cores fail, where there is room."""
    if result.hidden is None or not result.hidden.acceptance or most < _ROOMY:
        return "", []
    return "Core tests", [say_tests(result.hidden)]


def _falls(view: dict[str, Any], result: Result) -> Section:
    """How the top falls, where it is flat and where it holds water: two lines of it or so."""
    drainage, units = result.drainage, result.units
    if drainage is None:
        return "", []
    falls, top = drainage.falls, view["top"]
    several = falls.resultant < 0.5 * falls.mean
    towards = "several ways" if several else f"to the {top['falls'].get('towards', 'level')}"
    said = [
        f"the top falls {say_fall(falls.mean)} on the mean, {towards}; least "
        f"{say_fall(falls.least)}"
        if falls.mean > 0
        else "the top is level"
    ]
    if drainage.flat:
        stated = say_fall(drainage.runoff.least_fall or 0.0)
        said.append(
            f"under {stated}: {units.say_area(drainage.flat_area or 0.0)}, most of it about "
            f"{top['flat'][0]['where']}{_causes(top['flat'][0])}"
        )
    if drainage.ponds:
        said.append(
            f"holds water {units.say_thickness(drainage.ponds[0].depth)} deep over "
            f"{units.say_some_area(drainage.ponds[0].area)}: {top['ponding'][0]['where']}"
            f"{_hangs_on(top['ponding'][0])}"
        )
    return "Falls", said


def _causes(flat: dict[str, Any]) -> str:
    """Measured points that make a place flat."""
    named = [cause["point"] for cause in flat["causes"]]
    return f"; flat by {' and '.join(named)}" if named else ""


def _hangs_on(pond: dict[str, Any]) -> str:
    """Measured points that a pond hangs on."""
    if "lowest_point" not in pond:
        return ""
    return f"; lowest at {pond['lowest_point']}, runs over at {pond['sill_point']}"


def _cover(view: dict[str, Any], result: Result, most: int) -> Section:
    units: Units = result.units
    items = []
    for cover, shown in zip(result.cover, view["cover"], strict=True):
        least = f"{cover.name}: least {units.say_thickness(cover.least, down=True)}"
        if cover.required is not None:
            least += f", {units.say_thickness(cover.required)} required"
        if cover.short > 0:
            least += f", short on {units.say_tape(cover.short)}"
        items.append(f"{least}; {shown['where']}")
    return "Cover", list_some(items, most, where="result.json")


def _notes(view: dict[str, Any], most: int) -> Section:
    texts = [note["text"] for note in view["notes"] if note["code"] not in _TOLD]
    ended = [text if text.endswith((".", "?", "!")) else f"{text}." for text in texts]
    return "Notes", list_some(ended, most, where="result.json")
