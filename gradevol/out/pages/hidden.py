"""Thin concrete between the shots: how much may be expected, and what cores would say of it."""

from typing import Any

from gradevol.answer.data.hidden import say_bounds, say_chance, say_expected, say_ground
from gradevol.answer.result import Result
from gradevol.out.pages.markup import Table, facts, number, paragraph, say, section

_KEY = "thin.could_hide"


def compose_hidden(view: dict[str, Any], result: Result) -> str:
    """Compose what may be expected to be thin beside what was seen; nothing if it is not known."""
    if (hidden := result.hidden) is None:
        return ""
    units = result.units
    limit = number(view, "slab.least_thickness", units.say_thickness(result.slab.least_thickness))
    expected = number(view, f"{_KEY}.area", say_expected(hidden, units))
    bounds = say_bounds(hidden, units)
    sure = f" <small>{100 * hidden.level:g} % sure: {say(bounds)}</small>" if bounds else ""
    seen = number(view, "thin.area", units.say_some_area(result.thin.area))
    pairs = [
        ("Seen", seen if result.thin.area > 0 else "none"),
        ("Likely in all", f"<b>{expected}</b>{sure}"),
        (
            f"Chance that a core is under {limit}",
            f"<b>{number(view, f'{_KEY}.core_chance', say_chance(hidden.core_chance))}</b>",
        ),
    ]
    words = f"{say_ground(result)}; what lies between or beyond them is not."
    if result.survey.ids:
        ridge = "narrow ridge"
        if result.widest_gap is not None:
            width = number(view, f"{_KEY}.width", units.say_tape(result.widest_gap))
            ridge = f"ridge narrower than {width}"
        words = f"{say_ground(result)}; a {ridge} that none of them hints at is not in it."
    if hidden.area < result.thin.area:
        words += " Less is likely than was seen: some of what was seen may not be thin."
    return section(
        "hidden",
        "Thin, seen or not",
        facts(pairs),
        paragraph(words, "soft"),
        _tests(view, result),
    )


def _tests(view: dict[str, Any], result: Result) -> str:
    tests = view["thin"]["could_hide"]["acceptance"]
    if not tests:
        return ""
    units, rows, cells = result.units, [], [["test", "samples", "chance_to_fail"]]
    for place, tested in enumerate(result.hidden.acceptance if result.hidden else ()):
        test, chance = tested.test, say_chance(tested.chance)
        limits = [
            f"{what} no more than {units.say_thickness(limit)} under"
            for what, limit in (("average", test.average), ("each", test.single))
            if limit is not None
        ]
        name = f"{say(test.name)}<small>{say('; '.join(limits))}</small>"
        key = f"{_KEY}.acceptance.{place}"
        rows.append([
            name,
            number(view, f"{key}.samples", f"{tested.samples}"),
            number(view, f"{key}.chance", chance),
        ])  # fmt: skip
        cells.append([test.name, f"{tested.samples}", f"{tests[place]['chance']}"])
    table = Table("Acceptance tests", ["Cores at random places", "Samples", "Fails"], rows, cells)
    sources = dict.fromkeys(test["source"] for test in tests)
    told = paragraph(f"Limits: {say('; '.join(sources))}.", "soft")
    return f'<div class="copied"><h3>Acceptance tests</h3>{table.markup()}</div>{told}'
