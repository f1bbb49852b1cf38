"""The answer after a pour: in the job's units and in words, composed once for every renderer."""

from dataclasses import dataclass
from typing import Any

from gradevol.answer.declared import to_plain
from gradevol.answer.drawing.account import Bars, draw_bars
from gradevol.answer.drawing.as_built import BuiltDrawing, draw_as_built
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.account import READ, tell_account
from gradevol.answer.said.as_built import tell_as_built, tell_cores
from gradevol.answer.said.learned import tell_jobs, tell_learned
from gradevol.answer.said.reading import tell_reading
from gradevol.answer.said.settle import tell_likely, tell_settling
from gradevol.answer.statement import Statement, Topic, words
from gradevol.answer.tree.account import ReconcileTree, compose_reconciliation
from gradevol.ground.units import Units

_TELL = (
    tell_reading,
    tell_account,
    tell_likely,
    tell_settling,
    tell_as_built,
    tell_cores,
    tell_learned,
    tell_jobs,
)


@dataclass(frozen=True, slots=True)
class AccountAnswer:
    """
    All that is told after a pour.

    Attributes
    ----------
    tree : ReconcileTree
        The numbers, as ``reconcile.json`` has them.
    topics : tuple of Topic
        What is said, in the order in which it is read.
    bars : Bars
        The way from drawn to ticketed.
    built : BuiltDrawing or None
        The slab as built, where its top was shot.
    """

    title: str
    units: Units
    tree: ReconcileTree
    topics: tuple[Topic, ...]
    bars: Bars
    built: BuiltDrawing | None

    def pick(self, key: str) -> Topic | None:
        """Return the topic of a key; None where there is none."""
        return next((topic for topic in self.topics if topic.key == key), None)

    def list_rows(self, key: str = "account") -> tuple[Statement, ...]:
        """Rows of a table of the account, as they are read: the total of the tickets last."""
        topic = self.pick(key)
        told = {said.key.rpartition(".")[2]: said for said in topic.statements} if topic else {}
        return tuple(told[row] for row in READ if row in told)

    def plain(self) -> dict[str, Any]:
        """Return the numbers as dicts and lists: what ``reconcile.json`` holds."""
        return to_plain(self.tree)


def compose_account(done: Reconciled) -> AccountAnswer:
    """Compose the answer."""
    return AccountAnswer(
        title=done.title,
        units=done.units,
        tree=compose_reconciliation(done),
        topics=(*(topic for tell in _TELL for topic in tell(done)), *_tell_notes(done)),
        bars=draw_bars(done),
        built=draw_as_built(done),
    )


def _tell_notes(done: Reconciled) -> tuple[Topic, ...]:
    """Tell the warnings of tickets and shots; nothing where there are none."""
    told = tuple(
        Statement(f"note.{note.code}", short=words("{}", note.say(done.units)))
        for note in done.notes
    )
    return (Topic("notes", "Notes", "Notes", told),) if told else ()
