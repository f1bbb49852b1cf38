"""What would settle the unresolved row next time, and what the rows most likely are."""

from collections.abc import Sequence

from gradevol.after.reconciliation import Settling
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.account import LABELS, balance_likely
from gradevol.answer.said.amounts import say_sigma
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import capital

#: What is told: no more of it, and none that weighs less than this share of the whole.
_MOST, _LEAST = 5, 0.15
#: What leaves the row open, and what to do about it next time.
_WAYS = {
    "instrument": (
        "instrument height",
        "shoot base, form tops and finished top from one setup and name it alike in the files: "
        "what it adds to all of them cancels",
    ),
    "foot": (
        "rod's foot on the stone",
        "put a plate under the rod, or lay a board on the base in ten places, shoot beside it, and "
        "write the difference as base.foot_high with its base.foot_sigma",
    ),
    "between": (
        "base between the shots",
        "shoot where the check says that the next shots tell most of the volume",
    ),
    "shots": ("single shots on the base", "read each rod twice"),
    "top": (
        "finished top, not shot",
        "shoot form tops before the pour and some fifteen places on the finished top "
        "(--top-shots), from the setup of the base",
    ),
    "top_shots": ("shots on the finished top", "take more of them, out to the edges"),
    "yield": (
        "yield",
        "test three unit weights, each from another load, and keep every batch weight",
    ),
    "returned": ("what went back", "measure it in the drum or weigh the truck"),
    "small_pours": ("small pours", "tape their forms"),
    "edges": ("forms", "tape across the forms before and after the pour, midway between stakes"),
    "spill": ("spill", "note what is spilt, washed out, or left in a drum, load by load"),
}
#: The same of a scan's height.
_OF_SCANS = ("height of the scan", "tie the scan to control shots (base.control)")
_SCANS = ("point cloud", "surface file")


def list_settling(done: Reconciled) -> tuple[Settling, ...]:
    """List what is told, the heaviest first."""
    whole = done.found.account.row("unresolved").sigma
    heavy = [each for each in done.found.settling if each.sigma >= _LEAST * whole]
    return tuple(heavy[:_MOST])


def name_cause(kind: str, done: Reconciled) -> tuple[str, str]:
    """Name a cause, and say what to do about it next time."""
    is_scan = kind == "instrument" and done.result.survey.method in _SCANS
    return _OF_SCANS if is_scan else _WAYS[kind]


def tell_settling(done: Reconciled) -> tuple[Topic, ...]:
    """Tell what would narrow the unresolved row most."""
    told = tuple(_tell(number, each, done) for number, each in enumerate(list_settling(done)))
    if not told:
        return ()
    title = "What would settle it next time"
    return (Topic("settle", title, "Next time", told, ("cause", "do", "sigma", "left")),)


def _tell(number: int, each: Settling, done: Reconciled) -> Statement:
    key = f"settle.{number}"
    name, way = name_cause(each.kind, done)
    sigma = Figure(say_sigma(each.sigma, done), f"{key}.sigma")
    left = Figure(say_sigma(each.left, done), f"{key}.left")
    put = done.units.to_volume
    return Statement(
        key,
        Weight.TELLS,
        capital(name),
        short=words("{}; {}", sigma, way),
        long=words("{}; without it the unresolved row would be {}", way, left),
        details=(words("{}", sigma),),
        cells=(name, way, f"{put(each.sigma):.3f}", f"{put(each.left):.3f}"),
    )


def tell_likely(done: Reconciled) -> tuple[Topic, ...]:
    """Tell what the rows most likely are, and which of them can't be told apart."""
    likely, units = done.found.account.likely, done.units
    told = [
        Statement(
            "likely.head",
            Weight.DETAILS,
            short=words(
                "An inference, not a measurement: the rows moved until the rest is no more than "
                "is usual, each by how unsure it is"
            ),
        )
    ]
    short, fine = (balance_likely(done, decimals) for decimals in (2, 3))
    names = [LABELS[row][volume < 0] for row, volume in short.items()]
    for number, (row, volume) in enumerate(short.items()):
        sigma = float(likely.sigma[number])
        key = f"likely.{number}"
        figure = Figure(f"{volume:z.2f} {units.volume_symbol}", f"{key}.volume")
        told.append(
            Statement(
                f"likely.{row}",
                Weight.DETAILS,
                names[number],
                figure,
                details=(
                    words("{}", Figure(say_sigma(sigma, done), f"{key}.sigma"))
                    if sigma
                    else Words(),
                    _say_tied(number, names, done),
                ),
                cells=(row, f"{fine[row]:z.3f}", f"{units.to_volume(sigma):.3f}"),
            )
        )
    columns = ("row", f"likely_{units.volume}", f"sigma_{units.volume}")
    return (Topic("likely", "Best guess, by inference", "Best guess", tuple(told), columns),)


def _say_tied(number: int, names: Sequence[str], done: Reconciled) -> Words:
    """Say which rows a row can't be told apart from."""
    likely = done.found.account.likely
    said = Words()
    for place, other in enumerate(likely.list_tied(number)):
        tie = f"{likely.correlation[number, other]:.2f}".replace("-", "−")
        figure = Figure(tie, f"likely.{number}.tied.{place}.correlation")
        said += words("{}{} ({})", ", " if place else "", names[other].lower(), figure)
    return said
