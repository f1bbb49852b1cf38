"""Words of the sheet: topics as items of its blocks, with no more of them than find room."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gradevol.answer.cautions import BRIEFLY, CAUTIONS, VOID
from gradevol.answer.statement import FIRST, Statement, Topic, Weight
from gradevol.ground.words import capital, end_sentence
from gradevol.out.paper.type import SIZE, Item

#: Topics of each block, in the order in which they are read.
_FIGURES = ("volume", "order", "after_work", "thickness", "thin", "grading", "cover")
_UNSEEN = ("unseen", "thin_risk", "next_shots", "suspects")
#: Statements told of one topic: more leave no room for a map.
_MOST = {
    "order": 4,
    "after_work": 1,
    "grading": 1,
    "cover": 3,
    "thin_risk": 1,
    "next_shots": 1,
    "suspects": 4,
}
#: Topics of which more is told than of others: details where there is room; of others less.
_DETAILED, _BRIEF = ("unseen", "work"), ("volume",)
#: What a crew does not need, and what it has from the map.
_LEFT_OUT = ("work.costs", "work.regrading", "thickness.max")
_PLACED_BY_MAP = ("suspects",)
#: What explains a word of the sheet, or how far to work, and is told though it is a detail.
_ALWAYS = ("work.must", "work.beyond")
#: Topics whose name goes before what has none of its own; and what a name is told with.
_NAMED = {"order": "title", "grading": "title", "next_shots": "title", "after_work": "label"}
_LEADS = {"thickness": "{} thickness"}


#: What a sheet with little room tells: of each topic so many statements.
_BRIEF_FIGURES = {"volume": 2, "order": 2, "after_work": 1, "thickness": 1, "thin": 1, "cover": 1}
_BRIEF_UNSEEN = {"unseen": 2, "thin_risk": 1, "suspects": 1}
#: Where the rest is.
MORE = "More: see report.html."


@dataclass(frozen=True, slots=True)
class Detail:
    """
    How much a sheet tells.

    Attributes
    ----------
    fixes, notes : int
        Lines of the fix list, and notes, at most.
    is_brief : bool
        Whether only the first figures are told, the first of what was not measured, and of a row
        of work no more than what to do, where, and how large its place is.
    has_strip : bool
        Whether a strip turns the unit of the marks into the other.
    size : float
        Of the letters, points.
    """

    fixes: int
    notes: int
    is_brief: bool = False
    has_strip: bool = True
    size: float = SIZE


@dataclass(frozen=True, slots=True)
class SheetWords:
    """
    What a sheet says, item by item.

    Attributes
    ----------
    sides : sequence of str
        Names of the slab's sides, which are on the map and left out of places by tape.
    """

    topics: Sequence[Topic]
    sides: Sequence[str] = ()

    def list_figures(self, *, is_brief: bool = False) -> tuple[str, list[Item]]:
        """Say the volume in place, and list the figures that go with it."""
        (volume,) = self._pick("volume")
        total = volume.statements[0]
        items = [
            item
            for topic in self._pick(*(_BRIEF_FIGURES if is_brief else _FIGURES))
            # cover is told then only where there is too little
            if not is_brief or topic.key != "cover" or topic.at_least(Weight.MATTERS)
            for item in self._list_topic(
                topic, total.key, most=_BRIEF_FIGURES[topic.key] if is_brief else None
            )
        ]
        return str(total.figure or total.short), items

    def say_first(self) -> list[Item]:
        """Say what is done before any of the figures is believed; nothing where nothing is."""
        told = [
            said
            for key in FIRST
            for topic in self._pick("notes", "suspects")
            if (said := topic.find(key))
        ]
        return [Item("", lead=self._end(str(said.short))) for said in told]

    def list_fixes(self, *, most: int, is_roomy: bool = True, is_brief: bool = False) -> list[Item]:
        """List the first lines of work, each with its number, and what is said of them all."""
        items: list[Item] = []
        for topic in self._pick("work"):
            lines = [said for said in topic.at_least(Weight.TELLS) if said.mark]
            items += [self._say_work(said, topic, is_brief=is_brief) for said in lines[:most]]
            if len(lines) > most:
                items.append(Item(f"{len(lines) - most} more: see fix_list.csv."))
            items += [
                self._say(said, topic)
                for said in _choose(topic, is_roomy=is_roomy)
                # a list of nothing says so, however little room there is
                if not said.mark and (not is_brief or said.weight >= Weight.MATTERS)
            ]
        return items

    def list_unmeasured(self, *, is_roomy: bool = True, is_brief: bool = False) -> list[Item]:
        """List what was not measured, as far as can be known."""
        return [
            item
            for topic in self._pick(*(_BRIEF_UNSEEN if is_brief else _UNSEEN))
            for item in self._list_topic(
                topic, is_roomy=is_roomy, most=_BRIEF_UNSEEN[topic.key] if is_brief else None
            )
        ]

    def list_notes(self, *, most: int) -> list[Item]:
        """List what was shot again, notes that nothing else tells, and what the margin rests on."""
        notes = [said for topic in self._pick("rechecks", "notes") for said in topic.statements]
        items = [Item(self._end(str(said.full))) for said in notes[:most]]
        if len(notes) > most:
            items.append(Item(f"{len(notes) - most} more notes: see report.html."))
        rests = [
            Item(self._end(str(said.short)))
            for topic in self._pick("interval")
            for said in topic.statements
            if not said.label
        ]
        return items + rests[: max(most - len(notes), 0)]

    def say_survey(self) -> list[str]:
        """Say what the sheet rests on, in full and in fewer words."""
        told = [topic.statements[0] for topic in self._pick("survey")]
        return [f"{words}." for said in told for words in map(str, (said.full, said.short))]

    def _pick(self, *keys: str) -> list[Topic]:
        """Topics of some keys, in the order of the keys."""
        return [topic for key in keys for topic in self.topics if topic.key == key]

    def _list_topic(
        self,
        topic: Topic,
        leave_out: str = "",
        *,
        is_roomy: bool = False,
        most: int | None = None,
    ) -> Iterator[Item]:
        left_out = (leave_out, *FIRST)
        told = [said for said in _choose(topic, is_roomy=is_roomy) if said.key not in left_out]
        is_brief = most is not None
        if is_brief and topic.key in _BRIEF_UNSEEN:
            heaviest = sorted(told, key=lambda said: -said.weight)[:most]
            told = [said for said in told if said in heaviest]
        most = _MOST.get(topic.key, len(told)) if most is None else most
        for number, said in enumerate(told[:most]):
            yield self._say(said, topic, is_first=number == 0)
        if len(told) > most and not is_brief and topic.key in ("cover", "suspects", "order"):
            yield Item(f"{len(told) - most} more: see report.html.")

    def _say(self, said: Statement, topic: Topic, *, is_first: bool = True) -> Item:
        """Say a statement: its name, what it says or its figure, and where."""
        lead = _LEADS.get(topic.key, "{}").format(said.label) if said.label else ""
        if not lead and is_first and topic.key in _NAMED:
            lead = getattr(topic, _NAMED[topic.key])
        if topic.group:
            lead = f"{lead} for {topic.group}"
        text = str(said.full if topic.key == "next_shots" else said.short)
        if not text and said.figure is not None:
            text = said.figure.text + "".join(f" ({words})" for words in said.details)
        elif lead:
            lead += ":"
        else:
            text = capital(text)
        if said.where and said.where not in text and topic.key not in _PLACED_BY_MAP:
            text += f"; {said.where}"
        if topic.key == "volume" and said.label:  # the margin stands out as the volume does
            return Item("", lead=f"{lead} {self._end(text)}")
        return Item(self._end(text), lead=lead)

    def _say_work(self, said: Statement, topic: Topic, *, is_brief: bool) -> Item:
        """
        Say a row of work: how much the base moves is said as on the marks.

        Inches beside them would be two measures of one thing.
        """
        if not said.painted:  # what is cast in is lowered alone
            text = str(said.short)
            told = f"{text[:1].lower()}{text[1:]}; {said.where}"  # goes on from its lead
            return Item(self._end(told), lead="Must:", number=int(said.mark))
        cells = dict(zip(topic.columns, said.cells, strict=True))
        parts = [cells["do"], said.where, said.size]
        # of what is filled the thickness is no matter
        if said.painted.startswith("C") and not is_brief:
            thick, *more = map(str, said.details)
            parts.insert(1, thick.partition(",")[0])
            parts += [text for text in more if text.replace("³", "3") == cells["material"]]
        told = self._end("; ".join(filter(None, parts)))
        lead = f"{'Must: ' if said.is_must else ''}{said.painted}"
        return Item(told, lead=lead, number=int(said.mark))

    def _end(self, text: str) -> str:
        """Leave out the names of sides, and end with a stop."""
        if self.sides:
            names = "|".join(map(re.escape, self.sides))
            text = re.sub(rf"(?<=\bside )(\d+) \((?:{names})\)", r"\1", text)
        return end_sentence(text)


def _choose(topic: Topic, *, is_roomy: bool) -> list[Statement]:
    """Choose what is told of a topic: what a small screen is, and details where there is room."""
    least = Weight.DECIDES if topic.key in _BRIEF else Weight.TELLS
    if is_roomy and topic.key in _DETAILED:
        least = Weight.DETAILS
    return [
        said
        for said in topic.statements
        if (said.weight >= least or said.key in _ALWAYS) and said.key not in _LEFT_OUT
    ]


def list_cautions(*, is_brief: bool = False) -> list[Item]:
    """List the cautions that go with every answer."""
    return [Item(VOID), *map(Item, (BRIEFLY,) if is_brief else CAUTIONS)]
