"""A job file as it is written: its tables and values, read as declared or refused in words."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from inspect import Parameter, signature
from pathlib import Path
from typing import Any, TypeVar

from gradevol.ground.errors import InputError
from gradevol.ground.units import Units
from gradevol.job.declarations import Kind, TableKeys

_Description = TypeVar("_Description")


def is_number(value: object) -> bool:
    """Whether a value is a number; true and false are not."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def describe(value: object) -> str:
    """What stands in the job file, in words, short enough for a sentence."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"the text {value if len(value) <= 60 else value[:57] + '...'!r}"
    if is_number(value):
        is_long = isinstance(value, int) and value.bit_length() > 200  # Python may refuse to say it
        return "a very long number" if is_long else f"the number {value}"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    return "a table" if isinstance(value, Mapping) else f"a date or time ({value})"


@dataclass(frozen=True, slots=True)
class JobFile:
    """
    What all values of a job share.

    Attributes
    ----------
    path : Path
        The job file.
    unit : str
        Unit of bare numbers, a key of `units.METRES`.
    tables : sequence of TableKeys
        All that such a file may have.
    notation : str or None
        How its lengths without marks are written, one of `lengths.NOTATIONS`, as [base] says.
    defaults : dict of str to object
        What held where a key was left out, by the key's name: filled while the job is read.
    """

    path: Path
    unit: str
    tables: Sequence[TableKeys]
    notation: str | None = None
    defaults: dict[str, object] = field(default_factory=dict, compare=False)

    @property
    def units(self) -> Units:
        """The units that the job is answered in."""
        return Units.of_job(self.unit)

    @property
    def is_metric(self) -> bool:
        """Whether the job is answered in metres."""
        return self.units.is_metric

    def error(self, problem: str, remedy: str) -> InputError:
        """Error that names the job file."""
        return InputError(problem, remedy=remedy, path=self.path)


@dataclass(frozen=True, slots=True)
class Value:
    """What stands in a job file, `given`, and what to call it in a message: ``slab.edge``."""

    file: JobFile
    name: str
    given: Any

    def wrong(self, expected: str, remedy: str) -> InputError:
        """Error for a value that is not what is expected."""
        problem = f"{self.name} is {describe(self.given)}, but it must be {expected}"
        return self.file.error(problem, remedy)

    def part(self, name: str, given: object) -> "Value":
        """Part of it, under a name of its own."""
        return Value(self.file, name, given)


@dataclass(frozen=True, slots=True)
class Table:
    """
    A table of a job file; a key that is not declared is refused.

    Attributes
    ----------
    file : JobFile
    keys : TableKeys
        What it may hold.
    name : str
        What it is called in a message: ``base``, ``thickening 2``; empty at the top level.
    values : mapping of str
        As the file has them.
    """

    file: JobFile
    keys: TableKeys
    name: str
    values: Mapping[str, Any]

    def __post_init__(self) -> None:
        for name in self.values:
            if name not in self.keys:
                where = f"in {self.name}" if self.name else "at the top of the job"
                remedy = self.keys.suggest(name, self.file.tables)
                raise self.error(f"there is no key {name!r} {where}", remedy)
        for name in self.values:
            takers = self.keys[name].beside
            # `choose` looks after those that go with one of several
            is_bound = takers and all(each in self.keys for each in takers)
            if not is_bound or set(takers) & set(self.keys.one_of):
                continue
            if not any(each in self.values for each in takers):
                raise self.error(
                    f"{self.called(name)} is given without {self.called(' or '.join(takers))}",
                    f"Give {' or '.join(takers)} as well, or leave {name} out",
                )

    def __contains__(self, name: str) -> bool:
        return self.keys[name].name in self.values  # KeyError: a name that is not declared

    def called(self, name: str) -> str:
        """What to call a key in a message."""
        return f"{self.name}.{name}" if self.name else name

    def error(self, problem: str, remedy: str) -> InputError:
        """Error that names the job file."""
        return self.file.error(problem, remedy)

    def value(self, name: str) -> Value:
        """Value of a key as it is written, or its default; None where there is neither."""
        default, given = self.keys[name].default, self.values.get(name)
        if given is None:
            given = default(self) if callable(default) else default
            self.assume(name, given)
        return Value(self.file, self.called(name), given)

    def assume(self, name: str, value: object) -> None:
        """Keep what holds for a key that is left out, as one would write it; names are no such."""
        if value is not None and name not in {"name", "title"}:
            self.file.defaults[self.called(name)] = value

    def read(self, name: str, kind: Kind | None = None) -> Any:
        """
        Read a key as it is declared, or as a narrower kind.

        Returns
        -------
        object
            In metres; None where it is left out and no default is declared.

        Raises
        ------
        InputError
            If it cannot be used, or is required and missing.
        """
        value, key = self.value(name), self.keys[name]
        if value.given is None and key.required:
            raise self.miss(key.name)
        return None if value.given is None else (kind or key.kind).read(value)

    def require(self, name: str) -> Any:
        """Read a key that must be there because of what else is."""
        if name not in self:
            raise self.miss(name)
        return self.read(name)

    def miss(self, name: str) -> InputError:
        """Error for a key that is not there."""
        key = self.keys[name]
        remedy = key.remedy or f"Write {name} = {key.kind.example}"
        problem = f"{self.called(name)} is missing"
        return self.error(problem, remedy.replace("{unit}", self.file.unit))

    def fill(self, description: Callable[..., _Description], **given: Any) -> _Description:
        """Make a description: what is not given is read from the keys that fill its fields."""
        known = _find_fields(description)
        for key in self.keys.keys:
            filled = key.field or key.name
            if filled not in known or filled in given:
                continue
            if (found := self.read(key.name)) is not None:
                given[filled] = found
            elif isinstance(default := known[filled].default, bool | str | float) and default != "":
                self.assume(key.name, default)
        return description(**given)

    def choose(self, what: str, *, among: Sequence[str] = ()) -> str:
        """
        Return the one key of several that is there, those that are declared if not said.

        Raises
        ------
        InputError
            If there is none of them, or more than one, or a key that does not go with it.
        """
        ways = among or self.keys.one_of
        given = [name for name in ways if name in self]
        if len(given) != 1:
            names = " and by ".join(self.called(name) for name in given)
            raise self.error(
                f"{what} is given by {names}" if given else f"{what} is not given",
                f"Give exactly one of {', '.join(ways)}",
            )
        (chosen,) = given
        for name in self.values:
            takers = self.keys[name].beside
            if set(takers) & set(self.keys.one_of) and chosen not in takers:
                raise self.error(
                    f"{self.called(name)} means nothing beside {self.called(chosen)}",
                    f"{name} goes with {' or '.join(takers)}: leave it out, or check what is meant",
                )
        return chosen

    def sharing(self, other: "Table", names: Sequence[str]) -> "Table":
        """Table in which keys that it leaves out are as another has them."""
        shared = {name: other.values[name] for name in names if name in other}
        return replace(self, values={**shared, **self.values})


@cache
def _find_fields(description: Callable[..., object]) -> Mapping[str, Parameter]:
    """Fields of a description, by name."""
    return signature(description).parameters
