"""Words of the sheet: topics as items of its blocks, with no more of them than find room."""

from collections.abc import Sequence

from gradevol.answer.cautions import CAUTIONS, VOID
from gradevol.answer.statement import Statement, Topic, Weight
from gradevol.out.paper.type import Item

#: Topics of each block, in the order in which they are read.
_FIGURES = ("volume", "order", "after_work", "thickness", "thin", "grading", "cover")
_UNSEEN = ("unseen", "thin_risk", "next_shots", "suspects")
#: Statements told of one topic: more leave no room for a map.
_MOST = {"order": 4, "cover": 3, "suspects": 3, "next_shots": 1, "after_work": 1, "thin_risk": 1}
#: Lines of one note: none in use is longer, but the list of a long survey's points.
_MOST_LINES = 9


def list_figures(topics: Sequence[Topic]) -> tuple[str, list[Item]]:
    """Say the volume in place, and list the figures that go with it."""
    volume = next(topic for topic in topics if topic.key == "volume")
    total = volume.statements[0]
    items = [
        item
        for topic in _pick(topics, _FIGURES)
        for item in _list_topic(topic, leave_out=(total.key,))
    ]
    return str(total.figure or total.short), items


def list_fixes(topics: Sequence[Topic], *, most: int) -> list[Item]:
    """List the first lines of work, each with its number, and what is said of them all."""
    items: list[Item] = []
    for topic in _pick(topics, ("work",)):
        lines = [said for said in topic.statements if said.mark and said.weight >= Weight.TELLS]
        items += [_line_of_work(said) for said in lines[:most]]
        if len(lines) > most:
            items.append(Item(f"{len(lines) - most} more: see fix_list.csv."))
        rest = [said for said in topic.at_least(Weight.TELLS) if not said.mark]
        items += [Item(_ended(str(said.short)), lead=said.label) for said in rest]
    return items


def list_unmeasured(topics: Sequence[Topic]) -> list[Item]:
    """List what was not measured, as far as can be known."""
    return [item for topic in _pick(topics, _UNSEEN) for item in _list_topic(topic)]


def list_notes(topics: Sequence[Topic], *, most: int) -> list[Item]:
    """List the notes that nothing else on the sheet tells."""
    notes = [said for topic in _pick(topics, ("notes",)) for said in topic.statements]
    items = [Item(_ended(str(said.short)), most=_MOST_LINES) for said in notes[:most]]
    if len(notes) > most:
        items.append(Item(f"{len(notes) - most} more notes: see report.html."))
    return items


def say_survey(topics: Sequence[Topic]) -> list[str]:
    """Say what the sheet rests on, in full and in fewer words."""
    told = [topic.statements[0] for topic in _pick(topics, ("survey",))]
    return [
        f"{words}." for said in told for words in dict.fromkeys(map(str, (said.full, said.short)))
    ]


def list_cautions() -> list[Item]:
    """List the cautions that go with every answer."""
    return [Item(VOID), *(Item(caution) for caution in CAUTIONS)]


def _pick(topics: Sequence[Topic], keys: Sequence[str]) -> list[Topic]:
    """Topics of some keys, in their order here."""
    return [topic for key in keys for topic in topics if topic.key == key]


def _list_topic(topic: Topic, *, leave_out: Sequence[str] = ()) -> list[Item]:
    told = [said for said in topic.at_least(Weight.TELLS) if said.key not in leave_out]
    most = _MOST.get(topic.key, len(told))
    items = [_item(said, topic) for said in told[:most]]
    if topic.key in ("cover", "suspects", "order") and len(told) > most:
        items.append(Item(f"{len(told) - most} more: see report.html."))
    return items


def _item(said: Statement, topic: Topic) -> Item:
    lead = said.label or (topic.title if topic.key in ("order", "grading") else "")
    if topic.group:
        lead = f"{lead} for {topic.group}"
    parts = [str(said.figure or ""), str(said.short)]
    if said.figure and str(said.figure) in parts[1]:
        parts = parts[1:]
    if said.where and said.where not in parts[-1]:
        parts.append(said.where)
    return Item(_ended("; ".join(filter(None, parts))), lead=lead, most=6)


def _line_of_work(said: Statement) -> Item:
    lead = f"{'Must: ' if said.is_must else ''}{said.painted}"
    parts = [str(said.short), said.where, said.size]
    told = [
        part for number, part in enumerate(parts) if part and part not in "; ".join(parts[:number])
    ]
    return Item(_ended("; ".join(told)), lead=lead, number=int(said.mark), most=6)


def _ended(text: str) -> str:
    return text if not text or text.endswith((".", "?", "!")) else f"{text}."
