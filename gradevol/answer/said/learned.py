"""What the next job learns of this one, beside what earlier ones taught."""

from collections.abc import Iterator, Mapping, Sequence

from gradevol.after.learned import Learned
from gradevol.after.trends import Part, find_trend
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.amounts import say_mean
from gradevol.answer.said.reading import REAL
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.ground.words import with_minus

#: Columns of a file of learned factors: what `order.learned` reads first, then more; SI.
LEARNED = (
    *("job", "date", "factor", "sigma", "title", "loads", "modelled_m3", "yield", "yield_sigma"),
    *("base_low_m", "base_low_sigma_m", "top_high_m", "top_high_sigma_m"),
    *("unresolved", "unresolved_sigma"),
)
#: Of these, what jobs are compared by.
_CAUSES = ("factor", "base_low_m", "top_high_m", "yield", "unresolved")
#: Jobs that are told of, the latest.
_MOST = 12


def tell_learned(done: Reconciled) -> tuple[Topic, ...]:
    """Tell what the next job learns of this one; nothing where its tickets can't be all."""
    if done.found.lacking:
        return ()
    learned, key = done.learned, "learned"
    details = [
        words("±{}", Figure(f"{learned.sigma:.3f}", f"{key}.sigma")),
        words("ticketed into the slab over the concrete that the check told"),
    ]
    if abs(learned.unresolved) >= REAL * learned.unresolved_sigma:
        details.append(words("unresolved included: settle that before an order leans on it"))
    told = [
        Statement(
            f"{key}.factor",
            Weight.TELLS,
            "Factor",
            Figure(f"{learned.factor:.3f}", f"{key}.factor"),
            details=tuple(details),
        )
    ]
    for name, labels, value, sigma in (
        ("base_low", ("Base low", "Base high"), learned.base_low, learned.base_low_sigma),
        ("top_high", ("Top high", "Top low"), learned.top_high, learned.top_high_sigma),
    ):
        if value is None or sigma is None:
            continue
        label = labels[value < 0]
        told.append(
            Statement(
                f"{key}.{name}",
                Weight.TELLS,
                label,
                Figure(say_mean(abs(value), done), f"{key}.{name}"),
                details=(words("±{}", Figure(say_mean(sigma, done), f"{key}.{name}_sigma")),),
            )
        )
    return (Topic(key, "For the next job", "Learned", tuple(told)),)


def list_cells(learned: Learned) -> tuple[str, ...]:
    """List a job's cells under these columns; blank where a figure is not known."""
    return tuple(_list_cells(learned))


def _list_cells(learned: Learned) -> Iterator[str]:
    text = {"job": learned.job, "date": learned.date, "title": learned.title}
    for name in LEARNED:
        field = {"yield": "yield_"}.get(name, name.removesuffix("_m").removesuffix("_m3"))
        value = text[name] if name in text else getattr(learned, field)
        match value:
            case None:
                yield ""
            case str():
                yield " ".join(value.split())
            case int():
                yield str(value)
            case _:
                yield f"{value:.6f}"


def tell_jobs(done: Reconciled) -> tuple[Topic, ...]:
    """Tell the causes job by job, in the order of the file, and their means with their sigmas."""
    if len(done.past) < 2:
        return ()
    told = [
        Statement(
            f"jobs.{number}",
            label=str(row.get("title") or row.get("job", "")),
            cells=(str(row.get("job", "")), *_list_causes(row, done)),
        )
        for number, row in enumerate(done.past)
    ][-_MOST:]
    trends = {
        name: trend for name in _CAUSES if (trend := find_trend(_list_parts(name, done.past)))
    }
    means = {name: trend.mean for name, trend in trends.items()}
    sigmas = {name: trend.sigma for name, trend in trends.items()}
    mean = f"Mean of {len(done.past)} jobs"
    for key, label, figures in (("mean", mean, means), ("sigma", "± of that mean", sigmas)):
        cells = (label, *_list_causes(figures, done))
        told.append(Statement(f"jobs.{key}", Weight.DECIDES, label, cells=cells))
    columns = ("job", "factor", "base low", "top high", "yield", "unresolved")
    return (Topic("jobs", "Over the jobs so far", "Jobs", tuple(told), columns),)


def _list_parts(name: str, past: Sequence[Mapping[str, str | float]]) -> Iterator[Part]:
    """What each job of a file of factors tells of a cause, where it says how sure that is."""
    stem = "" if name == "factor" else f"{name.removesuffix('_m')}_"
    sigma = f"{stem}sigma{'_m' if name.endswith('_m') else ''}"
    for row in past:
        value, unsure = row.get(name), row.get(sigma)
        if isinstance(value, float) and isinstance(unsure, float):
            yield Part(name, value, unsure, 0.0, "measured")


def _list_causes(row: Mapping[str, str | float], done: Reconciled) -> Iterator[str]:
    """Say a job's causes; a dash for what is not known."""
    for name in _CAUSES:
        value = row.get(name)
        if not isinstance(value, float):
            yield "–"
        elif name.endswith("_m"):
            yield with_minus(say_mean(value, done))
        else:
            share = with_minus(f"{100 * value:z.1f} %")
            yield share if name == "unresolved" else f"{value:.3f}"
