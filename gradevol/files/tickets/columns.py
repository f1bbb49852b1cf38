"""Columns of delivery tickets: what each heading means, and the unit it carries."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from gradevol.files.tables.table import Table
from gradevol.files.tickets.units import FAMILIES, UNITS
from gradevol.ground.errors import InputError
from gradevol.ground.words import list_of

TIMES = ("batched", "arrived", "started", "finished")

#: Names that people write above a column; common practice, no source.
_NAMES = {
    name: kind
    for kind, names in {
        "load": "load|load no|load number|load nr|load id|truck load|no|nr|number|num",
        "ticket": "ticket|ticket no|ticket number|ticket nr|ticket id|docket|docket no"
        "|docket number|delivery ticket|delivery note|delivery note no|slip|slip no",
        "volume": "volume|vol|quantity|qty|ticketed|ticket volume|ticket quantity|ticket qty"
        "|ticketed volume|load volume|load size|load quantity|delivered|delivered volume|size",
        "cumulative": "cum|cumulative|running total|cum volume|cumulative volume|total|total volume"
        "|accumulated|to date",
        "batched": "batched|batch|batch time|time batched|batched at|loaded|loaded at|time loaded"
        "|printed",
        "arrived": "arrived|arrive|arrival|arrival time|time arrived|arrived at|on site|on job"
        "|arrive job|arrive site",
        "started": "started|start|start time|began|begin|start pour|start unloading|unload start"
        "|start discharge",
        "finished": "finished|finish|finish time|end|end time|out|finish unloading|unload end"
        "|finish discharge|done at",
        "done": "done|panels done|panel done|panels|panel|panels finished|pours done",
        "went_to": "went to|placed in|placed at|used for|used in|where|location|destination|into",
        "returned": "returned|return|returned volume|sent back|left over|back to plant",
        "called": "called|called for|balance called|called volume|called at plant",
        "water_added": "water added|water|added water|job water|site water|water on site",
        "batch_weight": "batch weight|batch wt|batched weight|total weight|total batch weight"
        "|total wt|net weight",
        "unit_weight": "unit weight|unit wt|density|fresh density|plastic unit weight",
        "points": "front points|front line|line of points",
        "status": "status|state",
        "date": "date|day|pour date",
        "job": "job|job name|job site|project|project name|site|site name|customer|client|address"
        "|delivery address|delivered to|deliver to|ship to",
        "note": "note|notes|remark|remarks|comment|comments",
    }.items()
    for name in names.split("|")
}
_WORDS = re.compile(r"[^\W_]+|['\"′″#]")
_LONGEST = 4


@dataclass(frozen=True, slots=True)
class FrontColumn:
    """
    A column of fronts as a job maps it.

    Attributes
    ----------
    heading : str
        As it stands in the file.
    side : int
        The side of the slab along which the tape lies, from 1.
    is_from_far : bool
        Whether the tape was held at the far end of that side.
    """

    heading: str
    side: int
    is_from_far: bool = False


@dataclass(frozen=True, slots=True)
class TicketLayout:
    """
    What a job says of its tickets' headings: [tickets].

    Attributes
    ----------
    headings : mapping of str to str
        Headings in the file, by the column of gradevol that each is.
    """

    headings: Mapping[str, str] = field(default_factory=dict)
    fronts: tuple[FrontColumn, ...] = ()


@dataclass(frozen=True, slots=True)
class TicketColumn:
    """
    A column of a file of tickets.

    Attributes
    ----------
    kind : str
        What it holds; empty where its heading is not known.
    text : str
        The heading as written.
    at : int
        Where it stands, from 0.
    factor : float or None
        What 1 is in SI, where the heading carries a unit.
    side : int
        Of a front.
    is_from_far : bool
        Whether a front was taped from the far end of its side.
    """

    kind: str
    text: str
    at: int
    factor: float | None = None
    side: int = 0
    is_from_far: bool = False


def understand_heading(cell: str, at: int) -> TicketColumn:
    """Understand ``Ticket No.``, ``ticket_yd``, ``unit_wt_pcf``, ``front 2 (ft)``."""
    words = ["no" if word == "#" else word for word in _WORDS.findall(cell.lower())]
    text = cell.strip()
    if len(words) > 1 and words[0] == "front" and words[1].isdigit():
        factor, is_known = _read_unit(words[2:], "length")
        if is_known:
            return TicketColumn("front", text, at, factor, side=int(words[1]))
    for count in range(min(len(words), _LONGEST), 0, -1):
        kind = _NAMES.get(" ".join(words[:count]))
        if kind is None:
            continue
        if kind in {"ticket", "load", "batched"} and len(words) > count:
            kind = "volume"  # ticket_yd, load_m3
        factor, is_known = _read_unit(words[count:], FAMILIES.get(kind, ""))
        if is_known:
            return TicketColumn(kind, text, at, factor)
    factor, is_known = _read_unit(words, "volume")
    return TicketColumn("volume" if is_known and words else "", text, at, factor)


def _read_unit(words: Sequence[str], family: str) -> tuple[float | None, bool]:
    """SI value of the unit that the rest of a heading names, and whether it was understood."""
    said = " ".join(word for word in words if word not in {"per", "in"} or len(words) == 1)
    if not said:
        return None, True
    factor = UNITS.get(family, {}).get(said)
    return factor, factor is not None


def is_ticket_table(table: Table) -> bool:
    """Whether a table's header names volumes, and loads or when they came, as tickets do."""
    if table.header is None or table.delimiter == " ":
        return False
    kinds = {understand_heading(cell, 0).kind for cell in table.header}
    beside = {"ticket", "load", *TIMES, "batch_weight", "went_to", "front"}
    return "volume" in kinds and ("ticket" in kinds or len(kinds & beside) > 1)


def find_ticket_columns(
    table: Table, layout: TicketLayout
) -> tuple[dict[str, TicketColumn], tuple[TicketColumn, ...], list[str]]:
    """
    Find the columns of a file of tickets.

    Parameters
    ----------
    table : Table
    layout : TicketLayout
        What the job maps goes before what the headings say.

    Returns
    -------
    columns : dict of str to TicketColumn
        By what they hold.
    fronts : tuple of TicketColumn
    left_out : list of str
        Headings that are not known.

    Raises
    ------
    InputError
        If it has no header, lacks a heading that the job maps, or two name one thing.
    """
    header = table.require_header(
        for_what="what its columns are",
        remedy="Save it as CSV with a header row such as load,ticket,volume_yd3,finished",
    )
    mapped = _map_columns(table, header, layout)
    columns: dict[str, TicketColumn] = {}
    fronts: list[TicketColumn] = []
    left_out = []
    taken = {column.kind for column in mapped.values() if column.kind != "front"}
    for at, cell in enumerate(header):
        column = mapped.get(at) or understand_heading(cell, at)
        if at not in mapped and column.kind in taken:
            left_out.append(column.text)
        elif column.kind == "front":
            if any(other.side == column.side for other in fronts):
                problem = f"{column.text!r} names the side {column.side} a second time"
                raise _say_twice(table, problem)
            fronts.append(column)
        elif not column.kind:
            if column.text:
                left_out.append(column.text)
            elif any(at < len(row) and row[at].strip() for row in table.rows):
                left_out.append(f"column {at + 1}, which has none")
        elif column.kind in columns:
            if column.kind not in {"note", "load", "job"}:
                first = columns[column.kind].text
                problem = f"{column.text!r} and {first!r} both name the {column.kind}"
                raise _say_twice(table, problem)
            left_out.append(column.text)
        else:
            columns[column.kind] = column
    if "volume" not in columns:
        raise InputError(
            f"none of its headings {_list(header)} names a volume",
            remedy='Head it volume_yd3 or volume_m3, or write [tickets] with volume = "its '
            'heading" in the job',
            path=table.path,
        )
    return columns, tuple(fronts), left_out


def _map_columns(
    table: Table, header: Sequence[str], layout: TicketLayout
) -> dict[int, TicketColumn]:
    """Columns that the job maps, by where they stand."""
    names = [_plain(cell) for cell in header]
    mapped: dict[int, TicketColumn] = {}
    keys = [(heading, f"tickets.{kind}") for kind, heading in layout.headings.items()]
    keys += [(front.heading, "tickets.front") for front in layout.fronts]
    lacking = [f"{text!r} ({key})" for text, key in keys if _plain(text) not in names]
    if lacking:
        raise InputError(
            f"it has no column {' and none '.join(lacking)}, which the job names; its headings are "
            f"{_list(header)}",
            remedy="Spell them in the job as the file does, or leave out the keys in brackets",
            path=table.path,
        )
    for kind, heading in layout.headings.items():
        at = names.index(_plain(heading))
        known = understand_heading(heading, at)
        factor = known.factor if known.kind == kind else _find_last_unit(heading, kind)
        mapped[at] = TicketColumn(kind, heading.strip(), at, factor)
    for front in layout.fronts:
        at = names.index(_plain(front.heading))
        factor = _find_last_unit(front.heading, "front")
        mapped[at] = TicketColumn(
            "front", front.heading.strip(), at, factor, front.side, front.is_from_far
        )
    return mapped


def _list(header: Sequence[str]) -> str:
    return list_of([repr(cell) for cell in header if cell.strip()])


def _find_last_unit(heading: str, kind: str) -> float | None:
    """SI value of a unit that stands last in a heading whose other words mean something else."""
    words = _WORDS.findall(heading.lower())
    for count in (3, 2, 1):
        if len(words) > count or (count == 1 and words):
            factor, is_known = _read_unit(words[-count:], FAMILIES.get(kind, ""))
            if is_known and factor is not None:
                return factor
    return None


def _say_twice(table: Table, problem: str) -> InputError:
    return InputError(
        problem,
        remedy="Give each column one name, or map one of them by [tickets] in the job",
        path=table.path,
    )


def _plain(heading: str) -> str:
    return " ".join(heading.casefold().split())
