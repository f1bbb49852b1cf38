"""What a job says of the order, and what things cost."""

import re
from functools import partial
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.ground.quantities import parse_volume
from gradevol.ground.units import CUBIC_YARD, SQUARE_FOOT, Units
from gradevol.job.table import Table
from gradevol.job.terms import SHORT_TON, TONNE, Costs, Pace, Pump, Terms

_TIME = re.compile(r"(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>h|hours?|min|minutes?)")
_CLOCK = re.compile(r"(?P<hour>\d{1,2}):(?P<minute>[0-5]\d)(?::00)?")
#: No plant sells in finer steps, m³ (0.01 yd³).
_FINEST_STEP = 0.0076
_MOST, _EXPECTED = 1e9, "a number, 0 or more"


def read_terms(table: Table) -> Terms:
    """
    Read [order].

    Parameters
    ----------
    table : Table

    Returns
    -------
    Terms

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    step, truck, least = (_volume(table, key) for key in ("step", "truck", "least_load"))
    _refuse_misfits(table, step, truck, least)
    return Terms(
        waste=_share(table, "waste", "0.03 for 3 %"),
        settlement=_share(table, "settlement", "0.01 for 1 %"),
        yield_short=_share(table, "yield_short", "0.005 for 0.5 %"),
        sigma=_share(table, "sigma", "0.01 for 1 %"),
        pump=_pump(table.read_part("pump")) if "pump" in table else None,
        risk=_share(table, "risk", "0.05 for 5 %", least=0.001),
        truck=truck,
        step=step,
        least_load=least,
        notice=_hours(table, "notice"),
        spacing=_hours(table, "spacing"),
        start=_clock(table),
        costs=_costs(table.read_part("costs")) if "costs" in table else None,
    )


def _share(table: Table, key: str, example: str, *, least: float = 0.0) -> float | None:
    if key not in table:
        return None
    expected = f"a share from {least:g} to 0.5, such as {example}"
    return table.read_number(key, least, 0.5, expected=expected)


def _volume(table: Table, key: str) -> float | None:
    if key not in table:
        return None
    parser = partial(parse_volume, unit=table.unit)
    called = table.called(key)
    volume = table.parse(table.values[key], called, "a volume", parser, "10 yd3")
    if volume <= 0:
        raise table.wrong(called, table.values[key], "more than 0", "Check its sign")
    return volume


def require_order(terms: Terms | None, path: Path) -> None:
    """
    Refuse a job that asks for no order.

    Raises
    ------
    InputError
        If it has no [order], or one with nothing but prices of concrete and work.
    """
    if terms is None or not terms.is_order:
        raise InputError(
            "the job says nothing of an order",
            remedy='Write a table such as [order] with waste = 0.03, risk = 0.05, truck = "10 yd3" '
            'and least_load = "3 yd3" below it',
            path=path,
        )


def _refuse_misfits(
    table: Table, step: float | None, truck: float | None, least: float | None
) -> None:
    """Refuse loads that can't be: a truck under the step or under the least load."""
    if step is not None and step < _FINEST_STEP:
        raise table.wrong(
            table.called("step"),
            table.values["step"],
            "0.01 yd³ or more",
            "Plants sell by 0.25 yd3 or so",
        )
    for key, volume in (("step", step), ("least_load", least)):
        if truck is not None and volume is not None and volume > truck * (1 + 1e-9):
            raise table.error(
                f"{table.called(key)} is {table.values[key]}, but {table.called('truck')} is "
                f"{table.values['truck']}",
                "A truck must hold that much",
            )


def _pump(table: Table) -> Pump:
    if ("line" in table) != ("diameter" in table):
        raise table.error(
            f"{table.name} has only one of line and diameter",
            'Write both, such as { line = "100 ft", diameter = "5 in" }',
        )
    return Pump(
        line=table.find_length("line") or 0.0,
        diameter=table.find_length("diameter") or 0.0,
        hopper=_volume(table, "hopper") or 0.0,
    )


def _hours(table: Table, key: str) -> float | None:
    """Hours, as a bare number or as text with its unit."""
    if key not in table:
        return None
    value, expected = table.values[key], "a time of 0 to 1000 h"
    if not isinstance(value, str):
        return table.read_number(key, 0, 1000, expected=f"{expected}, or text such as '90 min'")
    match = _TIME.fullmatch(value.strip())
    hours = float(match["value"]) / (60 if match["unit"].startswith("m") else 1) if match else -1.0
    if not 0 <= hours <= 1000:
        raise table.wrong(table.called(key), value, expected, "Write '90 min' or '2 h'")
    return hours


def _clock(table: Table) -> float | None:
    """Hours after midnight, of text such as 7:00 or a time of TOML's own."""
    if "start" not in table:
        return None
    value = table.values["start"]
    match = _CLOCK.fullmatch(value.strip() if isinstance(value, str) else str(value))
    hours = int(match["hour"]) + int(match["minute"]) / 60 if match else -1.0
    if isinstance(value, bool | int | float) or not 0 <= hours < 24:
        raise table.wrong(
            table.called("start"), value, "a time of day", 'Write start = "7:00", of 24 hours'
        )
    return hours


def _costs(table: Table) -> Costs:
    units = Units.of_job(table.unit)
    cubic, square = (1.0, 1.0) if units.is_metric else (CUBIC_YARD, SQUARE_FOOT)
    ton = TONNE if units.is_metric else SHORT_TON
    pace, plain = Pace(), Costs(0.0)
    table.require("concrete", f"Write what 1 {units.volume} of concrete costs")
    return Costs(
        concrete=table.read_number("concrete", 0, _MOST, expected=_EXPECTED) / cubic,
        currency=table.read_text("currency", "" if units.is_metric else "$"),
        returned=_find(table, "returned", unit=1 / cubic),
        short=_find(table, "short"),
        short_rate=_find(table, "short_rate", unit=1 / cubic),
        machine=_find(table, "machine"),
        labour=_find(table, "labour"),
        labourers=_given(table, "labourers", plain.labourers),
        material=_find(table, "base_material", unit=1 / ton),
        weight=_given(table, "base_weight", plain.weight, unit=ton / cubic, least=0.1),
        loose=_given(table, "loose", plain.loose, least=1.0),
        pace=Pace(
            place=_given(table, "place_hours", pace.place),
            fetch=_given(table, "fetch_hours", pace.fetch),
            area=_given(table, "area_rate", pace.area, unit=square, least=0.1),
            volume=_given(table, "volume_rate", pace.volume, unit=cubic, least=0.1),
        ),
    )


def _find(table: Table, key: str, *, unit: float = 1.0, least: float = 0.0) -> float | None:
    """Bare number in a unit, or None where the key is not there."""
    if key not in table:
        return None
    expected = _EXPECTED if least == 0 else f"a number, {least:g} or more"
    return table.read_number(key, least, _MOST, expected=expected) * unit


def _given(
    table: Table, key: str, default: float, *, unit: float = 1.0, least: float = 0.0
) -> float:
    found = _find(table, key, unit=unit, least=least)
    return default if found is None else found
