"""Keys of what is cast with the slab, or displaces its concrete."""

from gradevol.job import kinds, shapes
from gradevol.job.declarations import Key, declare_table
from gradevol.job.sides import sides_of

#: Sides are counted from 1; how many there are is not known where the edge is in a file.
SIDES = sides_of(None, ())
NAME = Key("name", kinds.TEXT, default=lambda table: table.name).means("""
    What to call it. Left out: its number.""")

THICKENING = declare_table(
    "[[thickening]]",
    NAME,
    Key("sides", SIDES).means("""
        Sides of the slab it follows, `[1, 3]`, or by their names in `slab.sides`: side 1 runs from
        corner 1 to corner 2. It lies inside the slab."""),
    Key("along", shapes.LINE).means("""
        A line `[[e, n], ...]`: to both sides of it; into the slab only where the line is its edge
        or an opening's. `along = { sides = [1, 3] }` says the same as `sides`."""),
    Key("outline", shapes.RING).means("The ring of its bottom."),
    Key("width", kinds.LENGTH).means("Width at its bottom; not needed with `outline`."),
    Key("depth", kinds.LENGTH, required=True).means("""
        Depth of its bottom below the slab's design underside."""),
    Key("side_slope", kinds.number("a ratio of run to rise", 0, 100)).means("""
        Run per rise of its side towards the slab, {limits}. Left out: upright."""),
    Key(
        "surveyed",
        kinds.choice(
            True,
            False,
            "departure",
            remedy="false: as drawn; true: the shots show it; departure: a few trench shots "
            "correct it",
        ),
    ).means("""
        `false` (left out): no shot was taken in it, it counts as drawn. `true`: the shots show it
        as it is, its foot and upper edge too; it adds nothing of its own. `"departure"`: shots in
        it are trench shots: see [the surface](../explanation/surface.md#trench-shots)."""),
    one_of=("along", "sides", "outline"),
)

VOID = declare_table(
    "[[void]]",
    NAME,
    Key("volume", kinds.SIGNED_VOLUME).means("Displaced; negative where it adds."),
    Key("section", kinds.SIGNED_AREA).means("""
        Area across; with `length`, or the length of its `line`. A negative section or length is a
        key that adds concrete."""),
    Key("length", kinds.ELEVATION, beside=("diameter", "section")).means("Along it."),
    Key("diameter", kinds.LENGTH).means("Outside diameter of a conduit."),
    Key("line", shapes.AXIS).means("""
        Its axis: `[[e, n], ...]` for what lies on the base, or `[[e, n, z], ...]`. The cover over
        it is then measured. Where neither `volume` nor `length` is given, it displaces by the
        length of its line that is in concrete: not in openings, nor beyond the edge."""),
    Key("least_cover", kinds.LENGTH, beside=("line",)).means("What must stand over it."),
    one_of=("volume", "section", "diameter"),
)
