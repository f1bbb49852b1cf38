"""Sides of the slab as a job tells them: by number, or by the name that it gives them."""

import difflib
from collections.abc import Sequence

from gradevol.ground.words import list_of
from gradevol.job.declarations import Kind
from gradevol.job.table import Value, is_number

#: Sides that are tried where it is not known how many there are: the edge is in a file.
_MANY = 9999


def find_side(said: str, names: Sequence[str]) -> int | tuple[str, str]:
    """
    Find a side by its name, whatever its capitals.

    Parameters
    ----------
    said : str
        As it is written.
    names : sequence of str
        Of the sides, in order; empty where the job names none.

    Returns
    -------
    int or (str, str)
        Number of the one side of that name; else what is wrong, and what to do.
    """
    called = [name.casefold() for name in names]
    found = [number for number, name in enumerate(called, start=1) if name == said.casefold()]
    if len(found) == 1:
        return found[0]
    if found:
        sides = list_of([str(number) for number in found])
        return f"which is the name of sides {sides}", "Write the number of the side that is meant"
    near = difflib.get_close_matches(said.casefold(), called, n=1, cutoff=0.0)
    if near:
        remedy = f"The nearest of slab.sides is {names[called.index(near[0])]!r}"
    else:
        remedy = "Write the side's number: side 1 runs from corner 1 to corner 2"
    return "which is no side of the slab", remedy


def side_of(count: int | None, names: Sequence[str]) -> Kind:
    """One side; None: it is not known how many there are."""
    most = count or _MANY

    def read_side(value: Value) -> int:
        side = find_side(value.given, names) if isinstance(value.given, str) else value.given
        if isinstance(side, tuple):
            raise value.file.error(f"{value.name} is {value.given!r}, {side[0]}", side[1])
        if not isinstance(side, int) or not is_number(side) or not 1 <= side <= most:
            raise value.wrong(
                f"a whole number from 1 to {most}, or a name in slab.sides",
                "Side 1 runs from corner 1 to corner 2",
            )
        return side

    return Kind(read_side, '3, or "north slab"', "")


def sides_of(count: int | None, names: Sequence[str]) -> Kind:
    """List of sides, each once; None: it is not known how many there are."""
    side = side_of(count, names)

    def read_sides(value: Value) -> tuple[int, ...]:
        if not isinstance(value.given, list) or not value.given:
            key = value.name.rpartition(".")[2]
            raise value.wrong(
                "a list of sides, by number or by name", f"Write it as {key} = [1, 2]"
            )
        sides: list[int] = []
        for item in value.given:
            one = side.read(value.part(f"one of {value.name}", item))
            if one in sides:
                raise value.file.error(f"{value.name} names {item!r} twice", "Name each once")
            sides.append(one)
        return tuple(sides)

    return Kind(read_sides, '[1, 2], or ["north slab"]', "")
