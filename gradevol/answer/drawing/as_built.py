"""The slab as built, drawn up as a check's plan is: thickness under the finished top, and cores."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from gradevol.answer.drawing import Drawing, draw_up
from gradevol.answer.drawing.captions import KeyEntry
from gradevol.answer.reconciled import Reconciled
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import with_minus
from gradevol.plan.fixes import Work

#: What is told of a check's plan, and not of this one.
_NOT_HERE = {"work", "tape", "suspect", "next", "later", "retired", "removed", "arrow", "cover"}


@dataclass(frozen=True, slots=True)
class Mark:
    """
    A place of the slab as built, and what is told of it.

    Attributes
    ----------
    name : str
        Of a shot or a core.
    at : (2,) array of float
        About the job's origin, m.
    text : str
        Thickness there.
    kind : {"shot", "core", "core_proposed"}
    """

    name: str
    at: FloatArray
    text: str
    kind: str

    @property
    def brief(self) -> str:
        """The text without its unit."""
        return self.text.rpartition(" ")[0]


@dataclass(frozen=True, slots=True)
class BuiltDrawing:
    """
    The slab as built.

    Attributes
    ----------
    marks : tuple of Mark
        Shots on the finished top with the thickness there; cores.
    foot : str
        What the numbers on a map are.
    """

    drawing: Drawing
    marks: tuple[Mark, ...]
    foot: str

    @property
    def cores(self) -> tuple[Mark, ...]:
        """The cores alone."""
        return tuple(mark for mark in self.marks if mark.kind != "shot")


def draw_as_built(done: Reconciled) -> BuiltDrawing | None:
    """Draw up the slab as built; None where its top was not shot."""
    built = done.found.as_built
    if built is None or built.finished is None or built.thickness is None or built.thin is None:
        return None
    finished, units = built.finished, done.units
    result = replace(
        done.result,
        survey=finished.survey,
        field=finished.field,
        thickness=built.thickness,
        thin=built.thin,
        high=None,
        low=None,
        suspects=(),
        epochs=None,
        cover=(),
        work=Work(),
        next_shots=None,
        drainage=None,
        hidden=built.hidden,
    )
    drawing = draw_up(result)
    least = with_minus(units.say_thickness(built.thickness.min, down=True))
    facts = (
        "Thickness of concrete as built: finished top as shot, over the base as surveyed before "
        f"the pour. {len(finished.survey.points)} shots on the top surround "
        f"{100 * finished.coverage:.0f} % of the slab. Least {least}, mean "
        f"{units.say_thickness(built.thickness.mean)}."
    )
    marks = tuple(_list_marks(done))
    kinds = {mark.kind for mark in marks}
    entries = [entry for entry in drawing.captions.key if entry.mark not in _NOT_HERE]
    entries = [
        replace(entry, words="shot on the finished top") if entry.mark == "shot" else entry
        for entry in entries
    ]
    entries += [
        KeyEntry(kind, words)
        for kind, words in (
            ("core", "core taken: its length"),
            ("core_proposed", "core proposed: as predicted"),
        )
        if kind in kinds
    ]
    captions = replace(drawing.captions, facts=facts, key=tuple(entries), sense=())
    foot = f"Numbers: thickness at the shots on the top, {'mm' if units.is_metric else 'in'}"
    for kind, sign in (("core", "rings: cores"), ("core_proposed", "squares: cores proposed")):
        foot += f"; {sign}" if kind in kinds else ""
    return BuiltDrawing(replace(drawing, captions=captions), marks, f"{foot}.")


def _list_marks(done: Reconciled) -> Iterator[Mark]:
    built, units = done.found.as_built, done.units
    if built is None or built.finished is None:
        return
    field, survey = built.finished.field, built.finished.survey
    places = survey.points[:, :2]
    thick = nearest_level(np.dstack([field.corners, field.thickness]), places)
    for index, thickness in enumerate(thick.tolist()):
        said = with_minus(units.say_thickness(thickness, down=True))
        yield Mark(survey.name(index), places[index], said, "shot")
    for each in built.cores:
        length = each.core.length
        kind = "core_proposed" if length is None else "core"
        said = units.say_thickness(each.thickness if length is None else length)
        yield Mark(each.core.id, np.array(each.core.place), said, kind)
