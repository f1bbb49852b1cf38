"""What a job says of the order, and what things cost."""

from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.ground.units import Units
from gradevol.job.table import Table
from gradevol.job.terms import RISK, Costs, Pace, Pump, Terms


def read_terms(table: Table) -> Terms:
    """
    Read [order].

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    pump, costs = table.read("pump"), table.read("costs")
    terms = table.fill(
        Terms,
        pump=pump and pump.fill(Pump),
        costs=costs and costs.fill(Costs, pace=costs.fill(Pace)),
    )
    is_of_shortage = terms.costs is not None and terms.costs.is_of_shortage
    if terms.is_order and terms.risk is None and not is_of_shortage:
        table.assume("risk", RISK)
    for key in ("step", "least_load", "short_load"):  # a truck must hold them
        volume = getattr(terms, key)
        if terms.truck is not None and volume is not None and volume > terms.truck * (1 + 1e-9):
            raise table.error(
                f"{table.called(key)} is {table.values[key]}, but {table.called('truck')} is "
                f"{table.values['truck']}",
                "A truck must hold that much",
            )
    if terms.costs is not None and terms.costs.short_load and terms.short_load is None:
        raise table.error(
            f"{table.called('costs')} has a fee for short loads, but not which loads are short",
            'Write the least load without a fee beside truck: short_load = "4 yd3"',
        )
    return terms


def require_order(terms: Terms | None, units: Units, path: Path) -> None:
    """
    Refuse a job that asks for no order.

    Raises
    ------
    InputError
        If it has no [order], or one with nothing but prices of concrete and work.
    """
    if terms is None or not terms.is_order:
        truck, least = ("8 m3", "2 m3") if units.is_metric else ("10 yd3", "3 yd3")
        raise InputError(
            "the job says nothing of an order",
            remedy="Write a table such as [order] with waste = 0.03, risk = 0.05, "
            f'truck = "{truck}" and least_load = "{least}" below it',
            path=path,
        )
