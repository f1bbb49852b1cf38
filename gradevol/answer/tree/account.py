"""The account as declared data: what ``reconcile.json`` holds."""

from collections.abc import Mapping
from typing import Annotated, Literal

from gradevol.after.account import KEYS, PARTS
from gradevol.answer.declared import (
    Count,
    Kind,
    Length,
    Money,
    Positive,
    Size,
    Volume,
    declared,
)
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.rounding import VOLUME, Rounding, balance, if_known
from gradevol.answer.said.account import balance_likely, balance_rows, price_rows
from gradevol.answer.said.evidence import say_evidence
from gradevol.answer.said.settle import list_settling, name_cause
from gradevol.answer.tree.as_built import AsBuiltData, compose_as_built
from gradevol.answer.tree.notes import BareNoteData, compose_bare
from gradevol.answer.tree.units import UnitsData


@declared
class RowData:
    """One row of the account."""

    key: Annotated[
        str,
        Kind(enum=KEYS),
        "`ticketed` is the sum of all the others. `yield`: by how much loads held less than their "
        "tickets say; `neat`: as drawn; `base`: what the base takes more, under the design top; "
        "`top`: what the finished top adds; `edges`: forms that stand out; `unresolved`: what is "
        "left, never forced to 0.",
    ]
    volume: Annotated[Volume, "What it took; negative where it gave."]
    sigma: Annotated[
        Size,
        "One standard deviation. That of `unresolved` counts what rows share once, so it is not "
        "the root of the others' squares.",
    ]
    cost: Annotated[
        Money | None, "At the contract price of concrete; absent where the job gives none."
    ] = None
    basis: Annotated[
        str,
        Kind(enum=("measured", "stated", "assumed", "rest")),
        "`measured`, `stated` on tickets or drawing, `assumed`, or the `rest`.",
    ]
    evidence: Annotated[str, "What it rests on, in words."]


@declared
class TiedData:
    """A row that another can't be told apart from."""

    key: Annotated[str, Kind(enum=PARTS), "Of that row."]
    correlation: Annotated[
        float, Kind(minimum=-1, maximum=0), "Of their errors after weighing: −1 is no telling."
    ]


@declared
class LikelyData:
    """A row after weighing: an inference, not a measurement."""

    key: Annotated[str, Kind(enum=PARTS), "As in `rows`; they add up to `ticketed` too."]
    volume: Annotated[Volume, "The best guess."]
    sigma: Annotated[Size, "One standard deviation."]
    basis: Annotated[Literal["inference"], "Always `inference`."]
    tied: Annotated[list[TiedData], "Rows that it can't be separated from, the closest tied first."]


@declared
class YieldData:
    """Yield by weight: batch weight over unit weight."""

    value: Annotated[
        Positive | None,
        "Volume by weight over volume as ticketed; absent where nothing was weighed or tested.",
    ] = None
    sigma: Annotated[Size, "One standard deviation of it; where it is absent, as assumed."]
    by_weight: Annotated[Size | None, "Volume by weight of the loads that have a batch weight."] = (
        None
    )
    tests: Annotated[Count, "Loads whose unit weight was measured."]
    weighed: Annotated[Count, "Loads with a batch weight."]
    loads: Annotated[Count, "All loads."]
    standard: Annotated[
        bool,
        "Whether it is a yield in the sense of ASTM C94: three tests, each from another load, and "
        "the weight of every batch.",
    ]


@declared
class SettleData:
    """What leaves the unresolved row open, and what would settle it next time."""

    cause: Annotated[str, "In words."]
    do: Annotated[str, "What to do about it."]
    sigma: Annotated[Size, "One standard deviation that it adds to the unresolved row."]
    left: Annotated[Size, "That of the unresolved row without it."]


@declared
class LearnedData:
    """What the next job learns: see `order.learned` of the job file."""

    job: Annotated[
        str, "Which job it is: folder and file. With its title it stands in a file of factors once."
    ]
    factor: Annotated[
        Positive, "Ticketed into the slab over the concrete that the check of the base told."
    ]
    sigma: Annotated[Size, "One standard deviation: by the survey and what went elsewhere."]
    base_low: Annotated[Length | None, "How far the base lay below the drawing on average."] = None
    base_low_sigma: Annotated[Size | None, "One standard deviation."] = None
    top_high: Annotated[
        Length | None, "How far the top stood above it; absent where it was not shot."
    ] = None
    top_high_sigma: Annotated[Size | None, "One standard deviation."] = None
    unresolved: Annotated[
        float | None, Kind(), "What no row explains, as a share of the concrete in place."
    ] = None
    unresolved_sigma: Annotated[float | None, Kind(minimum=0), "One standard deviation."] = None


@declared
class ReconcileTree:
    """All figures of a reconciliation. What was not asked for, or can't be known, is None."""

    schema: Annotated[Literal[1], "1: version of the keys and their meaning."]
    title: Annotated[str, "From the job."]
    units: Annotated[UnitsData, "The units of all numbers here."]
    interval: Annotated[
        float,
        Kind(exclusive_minimum=0, exclusive_maximum=1),
        "Level of the cores' intervals, as the job has it.",
    ]
    loads: Annotated[Count, "Loads that count."]
    rows: Annotated[list[RowData], "The account: where what was ticketed went."]
    over_neat: Annotated[Volume, "Ticketed less drawn."]
    likely: Annotated[
        list[LikelyData],
        "The rows after weighing them by how unsure they are: least squares with their sum as the "
        "condition, what is usual in place of the unresolved. An inference.",
    ]
    yield_: Annotated[YieldData, "Yield by weight."]
    as_built: Annotated[
        AsBuiltData | None, "The slab as built; absent without `--top-shots` and `--cores`."
    ] = None
    settle: Annotated[
        list[SettleData], "What would settle the unresolved row next time, the heaviest first."
    ]
    learned: Annotated[
        LearnedData | None, "What the next job learns; absent where the tickets can't be all."
    ] = None
    notes: Annotated[list[BareNoteData], "Warnings of the tickets and the finished top's shots."]


def compose_reconciliation(done: Reconciled) -> ReconcileTree:
    """
    Put a reconciliation into the job's units, each number rounded once.

    Returns
    -------
    ReconcileTree
        Its rows add up to all the digits they have.
    """
    rounding = Rounding(done.units, done.result.survey.origin)
    volumes = balance_rows(done, VOLUME)
    interval = done.result.interval
    return ReconcileTree(
        schema=1,
        title=done.title,
        units=UnitsData.of(done.units),
        interval=interval.level if interval else 0.9,
        loads=done.found.loads,
        rows=_compose_rows(volumes, done, rounding),
        over_neat=balance(volumes["ticketed"], [volumes["neat"], 0.0], VOLUME)[-1],
        likely=_compose_likely(done, rounding),
        yield_=_compose_yield(done, rounding),
        as_built=compose_as_built(done, rounding),
        settle=[
            SettleData(
                cause=name_cause(each.kind, done)[0],
                do=name_cause(each.kind, done)[1],
                sigma=rounding.volume(each.sigma),
                left=rounding.volume(each.left),
            )
            for each in list_settling(done)
        ],
        learned=None if done.found.lacking else _compose_learned(done, rounding),
        notes=compose_bare(done.notes, done.units),
    )


def _compose_rows(
    volumes: Mapping[str, float], done: Reconciled, rounding: Rounding
) -> list[RowData]:
    costs = price_rows(done)
    return [
        RowData(
            key=row.key,
            volume=volumes[row.key],
            sigma=rounding.volume(row.sigma),
            cost=costs.get(row.key),
            basis=row.basis,
            evidence=str(say_evidence(row, done)),
        )
        for row in done.found.account.rows
    ]


def _compose_likely(done: Reconciled, rounding: Rounding) -> list[LikelyData]:
    likely = done.found.account.likely
    return [
        LikelyData(
            key=key,
            volume=volume,
            sigma=rounding.volume(float(likely.sigma[number])),
            basis="inference",
            tied=[
                TiedData(
                    key=PARTS[other],
                    correlation=rounding.share(float(likely.correlation[number, other])),
                )
                for other in likely.list_tied(number)
            ],
        )
        for number, (key, volume) in enumerate(balance_likely(done, VOLUME).items())
    ]


def _compose_yield(done: Reconciled, rounding: Rounding) -> YieldData:
    measured = done.found.measured
    return YieldData(
        value=if_known(rounding.share, measured.ratio),
        sigma=rounding.share(measured.sigma),
        by_weight=if_known(rounding.volume, measured.by_weight),
        tests=measured.tests,
        weighed=measured.weighed,
        loads=measured.loads,
        standard=measured.is_standard,
    )


def _compose_learned(done: Reconciled, rounding: Rounding) -> LearnedData:
    learned = done.learned
    return LearnedData(
        job=learned.job,
        factor=rounding.share(learned.factor),
        sigma=rounding.share(learned.sigma),
        base_low=if_known(rounding.length, learned.base_low),
        base_low_sigma=if_known(rounding.length, learned.base_low_sigma),
        top_high=if_known(rounding.length, learned.top_high),
        top_high_sigma=if_known(rounding.length, learned.top_high_sigma),
        unresolved=if_known(rounding.share, learned.unresolved),
        unresolved_sigma=if_known(rounding.share, learned.unresolved_sigma),
    )
