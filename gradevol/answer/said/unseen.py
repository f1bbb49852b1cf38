"""What was not measured, as far as can be known."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.result_notes import SMALL_SHARE, find_holes, find_note, is_rim
from gradevol.answer.said.places import say_place
from gradevol.answer.said.survey import is_within, points_of
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, words
from gradevol.ground.notes import Note
from gradevol.ground.words import count_of, first_of, verb_of

#: Less of the slab within the survey than this share leaves more than a strip along the edge.
_STRIP = 0.75
#: Shots no farther than this from the forms, on average, m, went out to them: a rod and a hand do
#: not come much nearer.
_BESIDE_FORM = 0.3
#: Thickenings that nobody shot matter on the first screen from this share of the concrete on:
#: they are dug by the bucket, and what is dug too deep is not in the volume.
_LARGE_SHARE = 0.1
#: Things that are named where there is little room.
_NAMED = 3
#: Code of the note of points that were taken away.
_REMOVAL = "cloud-not-base"


def tell_unseen(result: Result) -> tuple[Topic, ...]:
    """Tell what lies between the shots and beyond them, what was taken away, and what not shot."""
    told = tuple(_tell(result))
    return (Topic("unseen", "Not shot", "Not shot", told),)


def say_removed(result: Result) -> str:
    """Say how many points of a scan were taken away, as the note of it counts them."""
    note = find_note(result, _REMOVAL)
    return (
        "points of the scan" if note is None else f"{count_of(_count(note), 'point')} of the scan"
    )


def _count(removal: Note) -> int:
    return int(removal.text.split(" ", 1)[0].replace(",", ""))


def _tell(result: Result) -> Iterator[Statement]:
    yield from _tell_unchecked(result)
    if (holes := find_holes(result)) is not None:
        yield _tell_holes(holes, result)
    yield _tell_between(result)
    if not is_within(result):
        yield _tell_beyond(result)
    if (removal := find_note(result, _REMOVAL)) is not None:
        yield _tell_removed(removal, result)
    yield from _tell_thickenings(result)
    slab = result.slab
    limits = {"high": ("base_high", slab.base_high), "low": ("base_low", slab.base_low)}
    missing = {way: key for way, (key, limit) in limits.items() if limit is None}
    if missing:
        yield Statement(
            "unseen.limits",
            Weight.DETAILS,
            short=words(
                "The job gives no tolerance ({}): {} spots were not looked for",
                ", ".join(f"slab.{key}" for key in missing.values()),
                " and ".join(missing),
            ),
        )
    unlined = [void.name for void in slab.voids if void.line is None]
    if unlined:
        yield _name("unseen.voids", "Not on the plan, for the job gives no line", unlined)


def _tell_unchecked(result: Result) -> Iterator[Statement]:
    """Tell that nothing checked a scan's height, and what that is worth."""
    height, units = result.height, result.units
    if height is None or height.unchecked is None:
        return
    volume = Figure(units.say_volume(height.unchecked), "survey.unchecked_volume")
    said = words(
        "Nothing checked the scan's height: {} off all over is {}",
        *(units.say_thickness(height.step), volume),
    )
    yield Statement(
        "survey.unchecked_volume",
        Weight.ACTS,
        short=words("{}. Shoot three marks that it shows, and give base.control", said),
        long=words(
            "{}. Shoot three marks or more that the scan shows, off the bench mark of the forms, "
            'and give them as base.control: places of the base, or form tops with on = "tops". '
            "A scan that is off all over shows in nothing else here",
            said,
        ),
    )


def _tell_holes(holes: Note, result: Result) -> Statement:
    """Tell what a scan shows nothing of, and where most of that is."""
    count, units = len(holes.places), result.units
    where = say_place(holes.places[0], result.slab, units)
    most = f"shoot {'it' if count == 1 else 'them, the largest first'}, {where}"
    return Statement(
        "unseen.holes",
        Weight.ACTS,
        short=words(
            "The scan shows nothing of {} in {}: {}",
            *(holes.measures[0].say(units), count_of(count, "place"), most),
        ),
        long=words("{} The middle of the largest is {}.", holes.say(units), where),
        place=holes.places[0],
    )


def _tell_beyond(result: Result) -> Statement:
    """Tell how much rests on what is assumed beyond the outermost shots."""
    units, points = result.units, points_of(result)
    outside = (1 - result.coverage) * result.slab.area
    is_wide = outside > _BESIDE_FORM * result.slab.outline.length
    what = "the edge strip" if result.survey.ids else "part of the slab"  # a surface may have holes
    if result.coverage < _STRIP:
        what = f"{100 * (1 - result.coverage):.0f} % of the slab"
    volume = Figure(units.say_volume(result.concrete.beyond_survey), "concrete.beyond_survey")
    holes = find_holes(result)
    if is_rim(result):
        where = "In holes and beyond" if holes else "Beyond"
        said = words("{} the middles of the scan's outermost squares {} is assumed", where, volume)
        return Statement("concrete.beyond_survey", Weight.DETAILS, short=said)
    return Statement(
        "concrete.beyond_survey",
        _weigh_beyond(result.coverage, is_wide=is_wide),
        short=words(f"Nobody shot {what}; {{}} there is assumed", volume),
        long=words(
            f"Nobody shot {what}, {{}} {'in holes and ' if holes else ''}beyond the outermost "
            f"{points}; {{}} there is assumed: the base is taken to be as far off the drawing as "
            "at the nearest of them. Shoot out to the edge",
            units.say_area(outside),
            volume,
        ),
    )


def _weigh_beyond(coverage: float, *, is_wide: bool) -> Weight:
    if 1 - coverage <= SMALL_SHARE:
        return Weight.DETAILS
    return Weight.ACTS if is_wide else Weight.MATTERS


def _tell_between(result: Result) -> Statement:
    """Tell what would not show; it is all that is left to look for where nothing else is to do."""
    points = points_of(result)
    said: Said = f"A hump between {points} or under things on the base could be missed"
    coarse = find_note(result, "cell-coarse")
    if coarse is not None:
        side = result.units.say_span(coarse.measures[0].value)
        said = words("A hump or rut narrower than {}, the scan's squares, is levelled out", side)
    if result.widest_gap is not None:
        gap = Figure(result.units.say_span(result.widest_gap), "thin.could_hide.width")
        ruts = f"; ruts between {points} too" if find_note(result, "interval-rows") else ""
        said = words(f"A hump narrower than {{}} could be missed{ruts}", gap)
    if _is_clear(result):
        look = words("Look between the {} as well. {}", points, said)
        return Statement("thin.could_hide.width", Weight.ACTS, short=look)
    return Statement("thin.could_hide.width", Weight.MATTERS, short=words("{}", said))


def _is_clear(result: Result) -> bool:
    return not (
        result.suspects
        or result.thickness.min < 0
        or find_holes(result)
        or (result.coverage < 1 - SMALL_SHARE and not is_rim(result))
        or any(fix.is_must for fix in result.work.fixes)
    )


def _tell_removed(removal: Note, result: Result) -> Statement:
    """Tell of a scan's points that are not base; in full as the note of it has it."""
    return Statement(
        "unseen.removed",
        Weight.TELLS,
        short=words(
            "{} above or below the base {} taken away (see plan.png); lower bars and forms count "
            "as base",
            *(say_removed(result), verb_of(_count(removal), "were")),
        ),
        long=words("{}", removal.say(result.units)),
    )


def _tell_thickenings(result: Result) -> Iterator[Statement]:
    for way, lead in (
        ("no", "Not shot, taken as drawn"),
        ("departure", "Bottom by trench shots, walls as drawn"),
    ):
        names = [part.name for part in result.slab.thickenings if part.surveyed == way]
        parts = zip(result.slab.thickenings, result.concrete.parts, strict=False)  # then voids
        volume = sum(held for part, (_, held) in parts if part.surveyed == way)
        is_large = way == "no" and volume >= _LARGE_SHARE * result.concrete.volume
        if names:
            more = f"; {result.units.say_volume(volume)}" if is_large else ""
            weight = Weight.MATTERS if is_large else Weight.DETAILS
            yield _name(f"unseen.thickenings.{way}", lead, names, more=more, weight=weight)


def _name(
    key: str, lead: str, names: list[str], *, more: str = "", weight: Weight = Weight.DETAILS
) -> Statement:
    """Name things, few of them and unlike ones where there is little room."""
    unlike = list(dict.fromkeys(names))
    return Statement(
        key,
        weight,
        short=words("{}: {}{}", lead, first_of(unlike, _NAMED), more),
        long=words("{}: {}{}", lead, ", ".join(names), more),
    )
