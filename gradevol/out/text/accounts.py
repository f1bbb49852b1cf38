"""``gradevol reconcile`` of several jobs on a screen: the table, the trends, what went wrong."""

from collections.abc import Iterator, Sequence

from gradevol.answer.accounts import AccountsAnswer
from gradevol.answer.said.trends import HEADS, SHARES, say_count
from gradevol.answer.statement import Statement
from gradevol.ground.words import plain
from gradevol.out.text.jobs import tell_failed
from gradevol.out.text.wrapping import hang, join_blocks

_NAME, _TICKETED, _OVER, _PART, _MARGIN = 18, 10, 8, 6, 10


def compose_accounts_text(answer: AccountsAnswer) -> str:
    """Write several jobs as text: lines of 78 characters at most."""
    jobs = answer.jobs.statements
    done = [said for said in jobs if said.figure is not None]
    failed = [said for said in jobs if said.figure is None]
    blocks = [[say_count(answer.jobs)], list(_lay_out(done)), list(_tell_trends(answer))]
    told = ((said.label, str(said.short)) for said in failed)
    blocks.append(list(tell_failed("Not reconciled", told)))
    return join_blocks(blocks)


def _lay_out(jobs: Sequence[Statement]) -> Iterator[str]:
    if not jobs:
        return
    yield f"{'job':{_NAME}}{'ticketed':>{_TICKETED}}{'over':>{_OVER}}" + "".join(
        f"{head:>{_PART + (head == HEADS['unresolved'])}}" for head in HEADS.values()
    )
    for said in jobs:
        over, *parts = map(str, said.details)
        name = plain(said.label).removesuffix(".toml")
        name = name if len(name) < _NAME else f"{name[: _NAME - 4]}..."
        row = f"{name:{_NAME}}{said.figure!s:>{_TICKETED}}{over:>{_OVER}}"
        yield row + "".join(
            f"{part:>{_PART + (head == HEADS['unresolved'])}}"
            for part, head in zip(parts, HEADS.values(), strict=True)
        )
    yield SHARES


def _tell_trends(answer: AccountsAnswer) -> Iterator[str]:
    label = answer.trends.label
    for said in answer.trends.statements:
        figure = f" {said.figure}" if said.figure else ""
        name = f"{said.label}:" if said.label else ""
        yield from hang(label, f"{name}{figure} {said.short}".strip(), _MARGIN)
        label = ""
