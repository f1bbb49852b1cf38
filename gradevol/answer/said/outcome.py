"""The concrete once the work is done, in words."""

from collections.abc import Iterator, Sequence

from gradevol.answer.result import Result
from gradevol.answer.said.margin import say_like_stated
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.words import list_numbers, noun_of, verb_of
from gradevol.plan.fixes.outcome import Stage
from gradevol.plan.order.parts import Part

#: What every figure of this topic is told with: the interval is not worked out again.
RECHECK = (
    "Then reshoot what was reworked, around its edge and along the forms beside it: that gives the "
    "new volume and its margin."
)
#: Points without names lie close: what was not touched shows by itself.
_SCAN_AGAIN = "Then reshoot what was reworked: that gives the new volume and its margin."


def tell_after_work(result: Result) -> tuple[Topic, ...]:
    """
    Tell the concrete once the work is done.

    Returns
    -------
    tuple of Topic
        What is sure first; then, each with an *if*, what suspect shots and more filling make of it.
        Empty where no line of work moves the base.
    """
    statements = tuple(_tell(result))
    if not statements:
        return ()
    said = words(RECHECK if result.survey.ids else _SCAN_AGAIN)
    recheck = Statement("after_work.recheck", Weight.DETAILS, short=said)
    return (Topic("after_work", "After the work", "Then", (*statements, recheck)),)


def say_outcome(result: Result) -> str:
    """Say all of that in full; empty where no line of work moves the base."""
    return " ".join(
        str(said.full) for topic in tell_after_work(result) for said in topic.statements
    )


def _tell(result: Result) -> Iterator[Statement]:
    stages = _list_told(result)
    if stages:
        yield Statement(
            "after_work.volume",
            Weight.MATTERS,
            short=_tell_briefly(stages, result),
            long=join(
                " ",
                [
                    words(
                        "Once {}: {}.",
                        _say_done(stage.lines, result),
                        _figure(stage.volume, f"{name}.volume", result),
                    )
                    for name, stage in stages.items()
                ],
            ),
        )
    if wrong := _tell_all(
        [
            (f"{name}.without_suspects", stage.without_suspects)
            for name, stage in stages.items()
            if stage.without_suspects is not None
        ],
        result,
    ):
        text = words("If {} wrong: {}.", _name_suspects(result), wrong)
        yield Statement("after_work.without_suspects", short=text)
    for number, text in enumerate(_tell_if_right(result)):
        yield Statement(f"after_work.if_right.{number}", Weight.DETAILS, short=text)
    whole = result.outcome.all
    if whole is not None and whole.if_filled is not None:
        done = _say_done(whole.if_filled.lines, result, to="to the design base")
        volume = _figure(whole.if_filled.volume, "all.if_filled.volume", result)
        text = words("If {}: {}.", done, volume)
        yield Statement("after_work.if_filled", Weight.DETAILS, short=text)


def _list_told(result: Result) -> dict[str, Stage]:
    """List what is sure: once what must be done is, and once all is."""
    must, whole = result.outcome.must, result.outcome.all
    told = {"must": must} if must is not None and must.lines else {}
    if whole is not None and whole.lines and (must is None or whole.lines != must.lines):
        told["all"] = whole
    return told


def _tell_briefly(stages: dict[str, Stage], result: Result) -> Words:
    told: list[Words] = []
    for name, stage in stages.items():
        volume = _figure(stage.volume, f"{name}.volume", result)
        rows = _say_rows(stage, result)
        told.append(words("After {}: {}", rows, _bare(volume) if told else volume))
    return join(". ", told) + ". Then reshoot"


def _say_rows(stage: Stage, result: Result) -> str:
    """Say which rows of the fix list are done: ``all rows``, ``rows 1 and 3``."""
    every = {fix.rank for fix in result.work.fixes if fix.call not in ("leave", "pour")}
    if len(every) > 1 and every == set(stage.lines):
        return "all rows"
    return name_rows(stage.lines)


def name_rows(ranks: Sequence[int]) -> str:
    """Name rows: ``row 2``, ``rows 2 and 3``, ``rows 1 to 3 and 5``."""
    return f"{noun_of(len(ranks), 'row')} {list_numbers(ranks)}"


def say_before_order(result: Result, part: Part | None = None) -> str:
    """
    Say what of the fix list changes the order: ``fix row 1 first (17.0 in place then, not 16.1)``.

    Of a part that is poured on its own, what changes its order. Empty where the list moves the
    volume by less than a step of the plant's.
    """
    order, stages = result.delivery.order, list(_list_told(result).values())
    if order is None or not stages:
        return ""
    stage = stages[-1]
    now, then, rows = result.concrete.volume, stage.volume, _say_rows(stage, result)
    if part is not None:
        after = stage.parts[result.delivery.parts.index(part)]
        now, then, rows = part.concrete.volume, after.volume, name_rows(after.lines)
    if abs(then - now) < order.plant.step:
        return ""
    then_said, now_said = (
        (
            say_like_stated(volume, result.interval, result.units)
            if part is None
            else result.units.say_volume(volume)
        ).partition(" ")[0]
        for volume in (then, now)
    )
    if then_said == now_said:  # the margin bears no digit of it
        change = result.units.say_volume(abs(then - now))
        return f"fix {rows} first ({change} {'more' if then > now else 'less'} in place then)"
    return f"fix {rows} first ({then_said} in place then, not {now_said})"


def _tell_if_right(result: Result) -> Iterator[Words]:
    """Tell the concrete where the suspect shots are right, and what they ask for is done."""
    stages = {
        name: stage
        for name in ("must", "all")
        if (stage := getattr(result.outcome, name)) is not None
    }
    by_lines: dict[tuple[int, ...], list[tuple[str, float]]] = {}
    for name, stage in stages.items():
        if stage.if_right is None:
            continue
        volumes = by_lines.setdefault(stage.if_right.lines, [])
        if stage.if_right.volume not in [volume for _, volume in volumes]:
            volumes.append((f"{name}.if_right.volume", stage.if_right.volume))
    too = " too" if any(stage.lines for stage in stages.values()) else ""
    for lines, volumes in by_lines.items():
        done = _say_done(lines, result)
        yield words(
            "If {} right and {}{}: {}.",
            _name_suspects(result),
            done,
            too,
            _tell_all(volumes, result),
        )


def _say_done(lines: tuple[int, ...], result: Result, *, to: str = "") -> str:
    """Say what is done: ``rows 1 and 2 are shaved and row 3 filled as far as cuttings reach``."""
    groups: dict[str, list[int]] = {}
    for fix in (result.work.fixes[rank - 1] for rank in lines):
        way = "shaved"
        if fix.is_fill:
            reach = fix.rank in result.outcome.part_filled and not to
            way = "filled as far as cuttings reach" if reach else f"filled {to}".strip()
        groups.setdefault(way, []).append(fix.rank)
    said: list[str] = []
    for way, ranks in groups.items():
        verb = "" if said else f"{verb_of(len(ranks), 'are')} "
        said.append(f"{name_rows(ranks)} {verb}{way}")
    return " and ".join(said)


def _name_suspects(result: Result) -> str:
    """Name the suspect shots, with their verb: ``shot 41 is``."""
    if len(result.suspects) == 1:
        return f"shot {result.survey.name(result.suspects[0].index)} is"
    return "the suspect shots are"


def _figure(volume: float, key: str, result: Result) -> Figure:
    """Return a volume with the digits of the stated one."""
    text = say_like_stated(volume, result.interval, result.units)
    return Figure(text, f"after_work.{key}")


def _tell_all(volumes: list[tuple[str, float]], result: Result) -> Words:
    """Tell volumes with one unit: ``73.4, then 73.1 yd³``."""
    if not volumes:
        return Words()
    *first, last = [_figure(volume, key, result) for key, volume in volumes]
    return join(", then ", [*map(_bare, first), last])


def _bare(figure: Figure) -> Figure:
    """Leave the unit out."""
    return Figure(figure.text.partition(" ")[0], figure.key)
