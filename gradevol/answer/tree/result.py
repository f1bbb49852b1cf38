"""The result as declared data: what ``result.json`` holds.

Whatever is printed, drawn or written comes from here, so the page, the sheet, the text and the
JSON can't disagree.
"""

from typing import Annotated, Any, Literal

from gradevol.answer.declared import Kind, declared, describe_schema, to_plain
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.suspects import say_first
from gradevol.answer.tree.after_work import AfterWorkData, compose_after_work
from gradevol.answer.tree.concrete import ConcreteData, compose_concrete
from gradevol.answer.tree.cover import CoverData, compose_cover
from gradevol.answer.tree.fix_costs import (
    FixCostsData,
    RegradingData,
    compose_fix_costs,
    compose_regrading,
)
from gradevol.answer.tree.fixes import FixData, UnlistedData, compose_fixes, compose_unlisted
from gradevol.answer.tree.grading import GradingData, compose_grading
from gradevol.answer.tree.inputs import DefaultData, InputData, compose_defaults, compose_inputs
from gradevol.answer.tree.material import HaulData, MaterialData, compose_hauls, compose_material
from gradevol.answer.tree.moves import MoveData, compose_moves
from gradevol.answer.tree.next_shots import NextShotsData, compose_next_shots
from gradevol.answer.tree.notes import NoteData, compose_notes
from gradevol.answer.tree.order import OrderData, compose_order
from gradevol.answer.tree.pours import PourData, compose_pours
from gradevol.answer.tree.slab import SlabData, compose_slab
from gradevol.answer.tree.spots import compose_spots
from gradevol.answer.tree.survey import SurveyData, compose_survey
from gradevol.answer.tree.thickness import ThicknessData, compose_thickness
from gradevol.answer.tree.thin import ThinData, compose_thin
from gradevol.answer.tree.top import TopData, compose_top
from gradevol.answer.tree.units import UnitsData
from gradevol.plan.fixes.listing import LISTED
from gradevol.version import __version__


@declared
class ResultTree:
    """All figures of a check. What was not asked for, or can't be known, is None."""

    schema: Annotated[Literal[1], "1: version of the keys and their meaning."]
    title: Annotated[str, "From the job."]
    units: Annotated[UnitsData, "The units of all numbers here."]
    survey: Annotated[SurveyData, "What was measured."]
    slab: Annotated[SlabData, "The slab as drawn."]
    concrete: Annotated[
        ConcreteData,
        "The volume and its parts: concrete in place, no allowance for waste or yield.",
    ]
    thickness: Annotated[ThicknessData, "Top less base over the plan area, exact for the surface."]
    thin: Annotated[ThinData, "Where concrete is thinner than `slab.least_thickness`."]
    grading: Annotated[
        GradingData,
        "The base against the design base (top less thickness), bank measure. Thickenings that the "
        "shots show are left out.",
    ]
    cover: Annotated[list[CoverData], "Concrete over each void that has a line."]
    fix: Annotated[
        list[FixData],
        Kind(max_items=LISTED),
        "The work on the base, one row a place, ten at most, as in `fix_list.csv`: thin places "
        "first, the thinnest before all; then what else must be put right; then what is shaved and "
        "what is filled, the largest volume first; last what is best left. See "
        "[the fix list](../how-to/fix-list.md).",
    ]
    moves_of_material: Annotated[list[HaulData], "Cuttings moved to low places."]
    material: Annotated[
        MaterialData,
        "What the work takes and gives, bank measure; what rests on suspect shots, is left, or is "
        "not listed is not in it.",
    ]
    fix_unlisted: Annotated[
        UnlistedData | None,
        "Places worth work beside the ten that are listed; absent where there are none.",
    ] = None
    fix_costs: Annotated[
        FixCostsData | None,
        "What the rows of `fix` come to, what must be done apart from what is a matter of money; "
        "absent where the job gives no costs.",
    ] = None
    regrading: Annotated[
        RegradingData | None,
        "All of the slab brought to the design base; absent where the job gives no costs.",
    ] = None
    after_work: Annotated[
        AfterWorkData | None,
        "The concrete once the work is done; absent where no row of `fix` moves the base. The "
        "interval is not worked out again: a recheck of the reworked places gives the new volume "
        "and its interval.",
    ] = None
    top: Annotated[
        TopData | None,
        "The design top: fit, falls and water. See [water on the top](../explanation/drainage.md). "
        "Falls are ratios, bearings degrees clockwise from north, the way water runs.",
    ] = None
    moves: Annotated[
        list[MoveData] | None,
        "What moving the top would do: see "
        "[moving the top](../explanation/drainage.md#moving-the-top). Nothing is chosen.",
    ] = None
    next_shots: Annotated[
        NextShotsData | None,
        "Where to shoot next; absent where the shots tell too little of the base between them. See "
        "[next shots](../explanation/next-shots.md).",
    ] = None
    order: Annotated[
        OrderData | None,
        "What to order for all of the slab in one pour; absent where the job asks for none. Keys: "
        "[the order](#the-order); how it is chosen: [order concrete](../how-to/order.md).",
    ] = None
    pours: Annotated[
        list[PourData] | None,
        "Parts of the slab that are poured on their own, then small pours elsewhere; absent where "
        "there are none.",
    ] = None
    notes: Annotated[list[NoteData], "Warnings."]
    version: Annotated[str, "Of the program that worked this out."]
    inputs: Annotated[
        list[InputData],
        "The files that were read, by name: the same files and the same version make the "
        "same `result.json`, byte by byte.",
    ]
    defaults: Annotated[
        list[DefaultData],
        "What held where the job says nothing. What the interval rests on stands in "
        "`concrete.interval.assumed`.",
    ]
    options: Annotated[
        list[str], "Of the command, where they choose what is written: `--paper a4`."
    ]


def compose_tree(result: Result) -> ResultTree:
    """
    Put a result into the job's units, each number rounded once.

    Returns
    -------
    ResultTree
        Coordinates are the job's own: the survey's origin is added back.
    """
    rounding = Rounding(result.units, result.survey.origin)
    spots = compose_spots(result, rounding)
    order = result.order
    return ResultTree(
        schema=1,
        title=result.title,
        units=UnitsData.of(result.units),
        survey=compose_survey(result, rounding),
        slab=compose_slab(result, rounding),
        concrete=compose_concrete(result, rounding),
        thickness=compose_thickness(result, rounding),
        thin=compose_thin(result, rounding, spots["thin"]),
        grading=compose_grading(result, rounding, spots),
        cover=compose_cover(result, rounding),
        fix=compose_fixes(result, rounding),
        moves_of_material=compose_hauls(result, rounding),
        material=compose_material(result, rounding),
        fix_unlisted=compose_unlisted(result),
        fix_costs=compose_fix_costs(result),
        regrading=compose_regrading(result, rounding),
        after_work=compose_after_work(result, rounding),
        top=compose_top(result, rounding),
        moves=compose_moves(result, rounding) or None,
        next_shots=compose_next_shots(result, rounding),
        order=(
            compose_order(order, rounding, title=result.title, first=say_first(result))
            if order
            else None
        ),
        pours=compose_pours(result, rounding) or None,
        notes=compose_notes(result, rounding),
        version=__version__,
        inputs=compose_inputs(result.record.inputs),
        defaults=compose_defaults(result.record.defaults),
        options=list(result.record.options),
    )


def present(result: Result) -> dict[str, Any]:
    """
    Put a result into the job's units, as plain dicts, lists, numbers and text.

    Parameters
    ----------
    result : Result

    Returns
    -------
    dict
        What ``result.json`` holds. A number that was not asked for or can't be known is absent.

    Raises
    ------
    TypeError
        `result` is none, but a job or a path.
    """
    if not isinstance(result, Result):
        raise TypeError(f"a Result is needed, not {result!r}: present(check_job(read_job(path)))")
    return to_plain(compose_tree(result))


def describe_result() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of what `present` gives and ``result.json`` holds."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "gradevol result",
        "description": "Numbers are in the units named in units; shares are 0 to 1. A number that "
        "was not asked for or can't be known is absent.",
        **describe_schema(ResultTree),
    }
