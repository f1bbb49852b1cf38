"""Keys of [slab], and of the rings that it and other tables name."""

from dataclasses import replace

from gradevol.ground.units import METRES, eighths
from gradevol.job import kinds, paths, shapes
from gradevol.job.declarations import Key, TableKeys, declare_alike, declare_table
from gradevol.job.keys.base import CODES, COLUMNS, IGNORE_UNIT, SHEET_NAME, SHOTS, UNITS

#: An individual sample of a slab on ground may be this much under the design thickness, m (3/4 in):
#: ACI 117-10, section 4.5.4, as quoted by K. Basham, forconstructionpros.com/article/12094593
#: (a secondary source; the standard itself was not read).
SAMPLE_TOLERANCE = 0.01905

DRAWN_RING = declare_table(
    "a ring",
    Key("file", paths.FILE, required=True, field="path").means("Its name."),
    Key("layer", kinds.TEXT).means("Of a DXF."),
    replace(SHEET_NAME, beside=()).means("Of a workbook, as in `[base]`."),
    replace(UNITS).means("Of its numbers, where they are not the job's."),
    *declare_alike("[base]", (IGNORE_UNIT,), is_bound=False),
)
OUTLINE = shapes.outline(DRAWN_RING)

CIRCLE = declare_table(
    "slab.openings",
    Key("center", shapes.point(2)).means("`[e, n]`"),
    Key("diameter", kinds.LENGTH).means("""
        A length. The circle becomes chords that stay within 1 mm of it and have its area."""),
)


def declare_coded(heading: str, what: str) -> TableKeys:
    """Declare what names shots in the order of the file: the corners of an edge, a line."""
    return declare_table(
        heading,
        replace(
            CODES,
            beside=(),
            required=True,
            remedy=f"Say which descriptions are {what}, in the file's order",
        ).means(f"Patterns of the descriptions that are {what}."),
        replace(SHOTS).means("The file. Left out: that of the base."),
        *declare_alike("[base]", (SHEET_NAME,), is_bound=False),
        *declare_alike(
            "[base]",
            (COLUMNS, UNITS, IGNORE_UNIT),
            but="; left out: the base's, as is the layer",
            is_bound=False,
        ),
    )


CODED_EDGE = declare_coded("slab.edge", "corners")

SLAB = declare_table(
    "[slab]",
    Key(
        "edge",
        shapes.edge(DRAWN_RING),
        required=True,
        remedy="List its corners in order: [[e, n], ...]",
    ).means("""
        Corners in order around it, `[[e, n], ...]`, or a file: see [a ring](#a-ring). Side 1 runs
        from corner 1 to corner 2; an arc is one side: see [a curve](#a-curve). Or from coded shots:
        see [slab.edge](#slabedge)."""),
    Key("sides", kinds.TEXTS, field="side_names").means("""
        What stands at each side, in the order of the corners: `["south slab", "east form", ...]`.
        Places are told by these names; what is called a form, screed or bulkhead is built for the
        pour, and nothing stands there that the top must meet."""),
    Key("openings", shapes.openings(DRAWN_RING, CIRCLE)).means("""
        A list of rings `[[e, n], ...]`, of files, or of circles: see
        [slab.openings](#slabopenings)."""),
    Key("opening_names", kinds.TEXTS, beside=("openings",)).means("""
        What to call each, in the order of `openings`: `["drain", ...]`. Left out: opening 1,
        opening 2."""),
    Key("thickness", kinds.LENGTH, required=True).means("""
        The design thickness, plumb as all thickness here: 6 in square to a ramp of 1:8 is
        6 1/16 in."""),
    Key("least_thickness", kinds.LENGTH).means(f"""
        Below it concrete is a thin spot. Left out: the thickness less {
        eighths(SAMPLE_TOLERANCE / METRES["in"])
    } in (ACI 117-10, section 4.5.4, as K. Basham quotes it,
        forconstructionpros.com/article/12094593; the standard itself was not read)."""),
    *(
        Key(name, kinds.LENGTH_OR_0).means("""
            Grading tolerance above and below the design base, both positive. Left out: no high or
            no low spots are looked for.""")
        for name in ("base_high", "base_low")
    ),
)
