"""Keys at the top of a job file, and of its small tables."""

from dataclasses import replace

from gradevol.ground.units import SQUARE_FOOT
from gradevol.ground.words import legible
from gradevol.job import kinds
from gradevol.job.declarations import Key, TableKeys, declare_table
from gradevol.job.keys.base import BASE
from gradevol.job.keys.order import ORDER, POUR
from gradevol.job.keys.parts import NAME, THICKENING, VOID
from gradevol.job.keys.placing import PLACING, TICKETS
from gradevol.job.keys.slab import SLAB
from gradevol.job.keys.top import TOP
from gradevol.measures.acceptance import SAMPLED_AREA, SAMPLES

_LEVEL = kinds.share(0.5, 0.999, such_as="0.9 for 90 %")
_SAMPLED = f"{SAMPLES} for each {SAMPLED_AREA / SQUARE_FOOT:,.0f} ft²"

SURVEY = declare_table(
    "[survey]",
    Key("by", kinds.NOTE).means("Who held the rod or ran the instrument."),
    Key("date", kinds.DATE).means("When."),
    Key("instrument", kinds.NOTE).means("With what."),
    Key("benchmark", kinds.NOTE).means("From which bench mark, and its closure."),
)

PRINTED = declare_table(
    "[sheet]",
    Key(
        "marks",
        kinds.choice(
            "hundredths",
            "inches",
            remedy='"hundredths" marks a cut of 0.10 ft as C.10, "inches" as C 1 1/4',
        ),
    ).means("""
        How cut and fill are marked on sheet and page, in jobs in feet or inches: `"hundredths"` of
        a foot (`C.10`), for rods in tenths, or `"inches"` and eighths (`C 1 1/4`). Left out: inches
        where `units = "in"`, or where the readings are written in inches; else hundredths. Metric
        jobs have millimetres."""),
)

ACCEPTANCE = declare_table(
    "[[acceptance]]",
    NAME,
    Key("average", kinds.LENGTH_OR_0).means("""
        How far under the design thickness the average of all samples may be. This or the next is
        required."""),
    Key("single", kinds.LENGTH_OR_0).means("""
        How far under it any single sample may be. With both, the slab fails where it fails
        either."""),
    Key("over", kinds.LENGTH_OR_0, beside=("average",)).means("""
        A thicker sample counts for this much over the design. Left out: for all it is (in the
        published test: 3/4 in, from memory)."""),
    # More samples than this are no test of one slab.
    Key("samples", kinds.number("a whole number", 1, 1000, is_whole=True)).means(f"""
        How many are taken, at places taken at random, {{limits}}. Left out: {_SAMPLED} or part of
        it ({_SAMPLED}: as concreteconstruction.net reports a vote of the standard's committee,
        "Building a lean, mean statistics machine")."""),
)


def _nest(table: TableKeys, *, required: bool = False) -> Key:
    """Declare a table, or an array of them, by its heading."""
    kind = kinds.parts(table) if table.heading.startswith("[[") else kinds.part(table)
    key = Key(table.heading.strip("[]"), kind, required=required).means("The tables below.")
    return replace(key, remedy=f"Write a line {table.heading} with its keys below it")


JOB = declare_table(
    "the top of the file, above the first table",
    Key("title", kinds.TEXT, default=lambda table: legible(table.file.path.stem)).means("""
        For the head of the summary. Left out: the file's name."""),
    Key(
        "units",
        kinds.UNIT,
        field="unit",
        required=True,
        remedy="Write one of m, mm, ft (international foot), us-ft (US survey foot) or in; the "
        "unit of the numbers is never guessed",
    ).means("""
        Unit of bare numbers here, and of data files that carry none: `m`, `mm`, `ft` (international
        foot), `us-ft` (US survey foot) or `in`. It also decides the units of the answer: see
        [result](result.md)."""),
    Key("interval", _LEVEL, default=0.9).means("""
        Level of the intervals reported, {limits}; left out: {default}, for 90 %."""),
    *(_nest(table, required=True) for table in (BASE, SLAB, TOP)),
    *(_nest(table) for table in (THICKENING, VOID, POUR, ORDER, PLACING, TICKETS)),
    *(_nest(table) for table in (SURVEY, PRINTED, ACCEPTANCE)),
)
