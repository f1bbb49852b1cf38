"""The cells of a file of tickets, by what their columns are."""

from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.files.tables.table import Table
from gradevol.files.tickets.columns import TicketColumn
from gradevol.files.tickets.units import BARE, FAMILIES, UNITS
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import Units


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a table of tickets, with what its columns are."""

    table: Table
    columns: dict[str, TicketColumn]
    fronts: tuple[TicketColumn, ...]
    unit: str
    sides: Sequence[float]

    def text(self, index: int, kind: str) -> str:
        """Cell of a column; blank where there is none."""
        column = self.columns.get(kind)
        return self.table.cell(index, column.at) if column else ""

    def factor(self, kind: str) -> float:
        """What a bare number of a column is in SI; of any volume, as of those ticketed."""
        column = self.columns.get(kind)
        if column is not None and column.factor is not None:
            return column.factor
        family = FAMILIES[kind]
        if family == "volume" and kind != "volume":
            return self.factor("volume")
        return UNITS[family][BARE[family][Units.of_job(self.unit).is_metric]]

    def heading(self, kind: str) -> str:
        """Heading of a column of volumes, as it stands or with the job's unit: ``called_yd3``."""
        column = self.columns.get(kind)
        is_metric = Units.of_job(self.unit).is_metric
        return column.text if column else f"{kind}_{BARE['volume'][is_metric]}"

    def note_bare(self) -> list[Note]:
        """Tell which columns carry no unit, and what they were taken to be."""
        is_metric = Units.of_job(self.unit).is_metric
        said = [
            f"{column.text} in {BARE[FAMILIES[kind]][is_metric].replace('kg m3', 'kg/m³')}"
            for kind, column in self.columns.items()
            if kind in FAMILIES
            and column.factor is None
            and kind not in {"volume", "cumulative"}
            and (FAMILIES[kind] != "volume" or self.columns["volume"].factor is None)
            and any(self.text(index, kind) for index in range(len(self.table.rows)))
        ]
        if not said:
            return []
        text = f"Headings of the tickets name no unit; read as those of the job: {', '.join(said)}."
        return [Note("tickets-unit-of-job", escape(text))]
