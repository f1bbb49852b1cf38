"""Keys of [top] and of its panels."""

from dataclasses import replace

from gradevol.ground.units import METRES
from gradevol.job import kinds, shapes
from gradevol.job.declarations import Key, declare_alike, declare_table
from gradevol.job.keys.base import (
    AZIMUTH,
    CODES,
    COLUMNS,
    IGNORE_UNIT,
    LAYER,
    NOTATION,
    SETUPS,
    SHEET_NAME,
    SHOTS,
    SURFACE_FILE,
    SURFACE_NAME,
    UNITS,
)
from gradevol.job.keys.parts import SIDES
from gradevol.job.keys.slab import OUTLINE, declare_coded
from gradevol.site.top import TOP_SIGMA

_DESIGNS = ("level", "plane", "through", "between", "shots", "surface_file")
_FALL = kinds.fall(
    "1/4 in per ft",
    "a ratio from 0 to less than 1",
    lambda ratio: 0 <= ratio < 1,
    'Write 2 per cent as "2 %" or 0.02; turn the bearing where the water runs back',
)
_LEAST_FALL = kinds.fall(
    "1 %",
    "a ratio above 0 and below 1",
    lambda ratio: 0 < ratio < 1,
    'Write 1 per cent as "1 %" or 0.01; leave it out to judge nothing',
)

CODED_LINE = declare_coded("top.between", "points of the line")

_OF_PANELS = (
    Key("level", kinds.ELEVATION).means("One elevation."),
    Key("plane", shapes.points(3, least=3)).means("""
        `[[e, n, z], ...]`: a plane through three points; through more by least squares, and how
        far each point is off it is told."""),
    Key("through", shapes.point(3)).means("""
        `[e, n, z]`: a point of a plane; with `fall` and `bearing`."""),
    Key(
        "fall",
        _FALL,
        beside=("through",),
        remedy='Write fall = "1/4 in per ft", "2 %" or a ratio such as 0.02',
    ).means("Drop per run, {limits}."),
    Key(
        "bearing",
        AZIMUTH,
        beside=("through",),
        remedy="Write the azimuth towards which water runs, in degrees clockwise from north",
    ).means("""
        The way water runs, degrees clockwise from north, {limits}."""),
    Key("between", shapes.rulings(CODED_LINE)).means("""
        `[line, line]`, each `[[e, n, z], ...]`, or coded shots: straight rulings between two
        measured edges. See [top.between](#topbetween)."""),
    replace(SHOTS).means("""
        Files of shots on forms, screeds or tie-in edges: a TIN, made as that of the base."""),
    replace(COLUMNS, beside=("shots",)).means("""
        As in `[base]`. Left out, of a file that the base names too: as there, like `units` and
        `notation`. Of another file without a header row it is asked for where `base.columns` is not
        PNEZD."""),
    *declare_alike("[base]", (CODES,)),
    replace(SURFACE_FILE).means("Its own faces are the top; formats as in `[base]`."),
    *declare_alike("[base]", (LAYER, SURFACE_NAME, replace(SHEET_NAME, beside=("shots",)))),
    replace(UNITS, beside=("shots", "surface_file")).means("The unit of their numbers."),
    *declare_alike("[base]", (replace(IGNORE_UNIT, beside=("shots", "surface_file")),)),
    *declare_alike("[base]", (replace(NOTATION, beside=("shots",)),)),
    replace(SETUPS, beside=("shots",)).means("""
        Their setups, where they were shot by rod, as in [base.setups](#basesetups), or `"base"`.
        Left out: those of the base, where the names match."""),
)

PANEL = declare_table(
    "[[top.panel]]",
    Key("edge", OUTLINE, required=True, remedy="List its corners: [[e, n], ...]").means("""
        Its corners, or a file, as the slab's."""),
    *declare_alike("[top]", _OF_PANELS),
    one_of=_DESIGNS,
)

TOP = declare_table(
    "[top]",
    *_OF_PANELS,
    Key("panel", kinds.parts(PANEL)).means("The tables `[[top.panel]]` below."),
    Key("least_fall", _LEAST_FALL).means("""
        Where the top falls less it is flat, {limits}: see [water on the
        top](../explanation/drainage.md). Left out: falls are told, none is judged."""),
    Key("closed_sides", SIDES).means("""
        Sides of the slab over which no water leaves, `[1, 3]`, or by their names in `slab.sides`: a
        wall, an older slab. Left out: it leaves over every side."""),
    Key("sigma", kinds.LENGTH_OR_0).means(f"""
        One standard deviation of the finished top's mean level about the design; used for the
        interval. Left out: {TOP_SIGMA * 1000:g} mm, {TOP_SIGMA / METRES["ft"]:.3f} ft (common
        practice, no source)."""),
    one_of=(*_DESIGNS, "panel"),
)
