"""Keys of the day of the pour: [placing], and the headings of its [tickets]."""

from gradevol.ground.units import CUBIC_YARD
from gradevol.job import kinds
from gradevol.job.declarations import Key, Kind, declare_table
from gradevol.job.keys.parts import NAME
from gradevol.job.keys.slab import OUTLINE
from gradevol.job.sides import side_of
from gradevol.job.table import Value

_HEADINGS = {
    "load": "the load's number",
    "ticket": "the plant's ticket number",
    "volume": "the volume as ticketed",
    "date": "its day",
    "batched": "when it was batched",
    "arrived": "when it came",
    "started": "when it began to unload",
    "finished": "when it was out",
    "done": "panels or pours that were finished",
    "went_to": "where it went",
    "returned": "what went back",
    "called": "what was called at the plant beside what was released at once",
    "water_added": "water added on site",
    "batch_weight": "what all that was batched weighs",
    "unit_weight": "a unit weight that was measured",
    "note": "remarks",
}


def _read_side(value: Value) -> int | str:
    """Number of a side, or its name."""
    given = value.given
    if isinstance(given, bool) or not isinstance(given, int | str) or given in ("", 0):
        raise value.wrong(
            "the number of a side, or its name in slab.sides",
            "Side 1 runs from corner 1 to corner 2",
        )
    return given


FRONT = declare_table(
    "[[tickets.front]]",
    Key("heading", kinds.TEXT, required=True).means("As it stands in the file of tickets."),
    Key("side", side_of(None, ()), required=True).means("""
        The side of the slab along which the tape lies: its number, or its name in `slab.sides`.
        Side 1 runs from corner 1 to corner 2."""),
    Key(
        "from",
        kinds.choice(
            "near", "far", remedy="far: the tape is held at the end away from where placing began"
        ),
        default="near",
        field="end",
    ).means("""
        Which end of that side the tape is held at: `"near"`, the end nearer to the side where
        placing began, or `"far"`. Left out: {default}."""),
)

TICKETS = declare_table(
    "[tickets]",
    *(
        Key(name, kinds.TEXT).means(f"Heading in the file of {what}.")
        for name, what in _HEADINGS.items()
    ),
    Key("front", kinds.parts(FRONT)).means("The tables `[[tickets.front]]` below."),
)

DONE_PANEL = declare_table(
    "[[placing.panel]]",
    NAME,
    Key("edge", OUTLINE, required=True, remedy="List its corners: [[e, n], ...]").means("""
        Its corners `[[e, n], ...]`, or a file, as the slab's. What of it lies beyond the slab is
        left out."""),
)

PLACING = declare_table(
    "[placing]",
    Key("from", Kind(_read_side, '3, or "north slab"'), field="start").means("""
        The side where placing begins: its number, or its name in `slab.sides`. Needed for fronts
        by tape or by points."""),
    Key("rate", kinds.number("a number", 0.1, feet=CUBIC_YARD)).means("""
        Expected yd³ or m³ placed in an hour, {limits}. With the trucks' spacing it tells by when to
        call, the slower of both. Left out, or where trucks bring less: as the loads that are out
        went, from their times, and before that as trucks come by `order.spacing`."""),
    Key("released", kinds.VOLUME).means("""
        What the plant was told to bring without another call. Left out: the loads that the order
        releases at once; where it holds none back, all of it."""),
    Key("carries", kinds.FLAG, default=True).means("""
        Whether small pours of `[[pour]]` are offered what the slab does not take, in their
        order. Left out: `true`."""),
    Key("pour", kinds.TEXT).means("""
        Name of the `[[pour]]` with an `edge` that is poured this day. Left out: all of the
        slab."""),
    Key("front_sigma", kinds.LENGTH).means("""
        One standard deviation of where a front is, along the way of placing: of the tape, and of a
        front that is not straight. Left out: 60 mm, 0.2 ft (a judgement, no source)."""),
    Key("panel", kinds.parts(DONE_PANEL)).means("""
        The tables `[[placing.panel]]` below: panels by name, for a column `done`."""),
)
