"""The summary's lines of the work: what to do first, what comes of it, and the grading."""

from gradevol.answer.data.outcome import say_outcome_briefly, say_without_suspects
from gradevol.answer.data.work_costs import say_regrading_briefly
from gradevol.answer.data.work_lines import say_briefly
from gradevol.answer.result import Result
from gradevol.out.text.summary_sections import Section, count_spots

#: Lines of work told.
_FIRST = 3


def tell_first(result: Result, most: int) -> Section:
    """Tell the work of most consequence; what is best left is not told."""
    fixes = [fix for fix in result.work.fixes if fix.call != "leave"]
    # what is to be done is not cut to one line where two must be put right
    shown = min(max(most, 2 if most else 1), _FIRST)
    said = [f"{fix.rank}. {say_briefly(fix, result)}" for fix in fixes[:shown]]
    more = f"{len(fixes) - shown} more in fix_list.csv." if len(fixes) > shown else ""
    rest = " ".join(filter(None, (more, say_regrading_briefly(result))))
    return "First", [*said, rest] if rest else said


def tell_then(result: Result, spare: int) -> Section:
    """Tell the concrete once the work is done; where there is room, without suspect shots too."""
    said = [say_outcome_briefly(result), "" if spare else say_without_suspects(result)]
    return "Then", [" ".join(filter(None, said))] if said[0] else []


def tell_grading(result: Result, spare: int) -> Section:
    """Tell cut and fill, and what is beyond its tolerance where there is room for it."""
    units, slab, grading = result.units, result.slab, result.grading
    said = [
        f"cut {units.say_volume(grading.cut)}, fill {units.say_volume(grading.fill)} to the "
        "design base (bank measure)"
    ]
    for word, spots, tolerance in (
        ("high", result.high, slab.base_high),
        ("low", result.low, slab.base_low),
    ):
        if spots is None or tolerance is None or spare:
            continue  # the work says where
        where = "none seen"
        if spots.listed:
            where = f"{units.say_some_area(spots.area)} in {count_spots(spots)}"
        said.append(f"{word} by over {units.say_thickness(tolerance)}: {where}")
    return "Grading", said
