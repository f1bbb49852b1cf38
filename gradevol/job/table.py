"""A table of a job file: its values read as text, numbers and lengths, or refused in words."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from gradevol.ground.errors import InputError
from gradevol.ground.quantities import parse_length
from gradevol.ground.units import METRES
from gradevol.job.keys import KNOWN, NOT_READ, suggest_key

#: No coordinate on Earth is larger, m: the way around it is 4.0e7 m, and eastings with the number
#: of one of sixty zones in front reach 6.1e7 m.
FARTHEST = 1e8


def describe(value: object) -> str:
    """What stands in the job file, in words, short enough for a sentence."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"the text {value if len(value) <= 60 else value[:57] + '...'!r}"
    if is_number(value):
        is_long = (
            isinstance(value, int) and value.bit_length() > 200
        )  # Python may refuse to write it
        return "a very long number" if is_long else f"the number {value}"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    return "a table" if isinstance(value, Mapping) else f"a date or time ({value})"


def is_number(value: object) -> bool:
    """Whether a value is a number; true and false are not."""
    return isinstance(value, int | float) and not isinstance(value, bool)


@dataclass(frozen=True, slots=True)
class Table:
    """
    A table of a job file.

    Attributes
    ----------
    path : Path
        The job file.
    kind : str
        A key of `job.keys.KNOWN`.
    name : str
        What the table is called in a message: ``base``, ``thickening 2``; empty at the top level.
    values : mapping of str
        As the file has them.
    unit : str
        Unit of bare numbers, a key of `units.METRES`.
    """

    path: Path
    kind: str
    name: str
    values: Mapping[str, Any]
    unit: str

    def __post_init__(self) -> None:
        kind = "top" if self.kind == "panel" else self.kind
        for key in self.values:
            if key not in KNOWN[self.kind]:
                where = f"in {self.name}" if self.name else "at the top of the job"
                raise self.error(f"there is no key {key!r} {where}", suggest_key(key, self.kind))
            if remedy := NOT_READ.get(f"{kind}.{key}"):
                raise self.error(f"this version does not read {self.called(key)}", remedy)

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def called(self, key: str) -> str:
        """What to call a key in a message."""
        return f"{self.name}.{key}" if self.name else key

    def error(self, problem: str, remedy: str) -> InputError:
        """Error that names the job file."""
        return InputError(problem, remedy=remedy, path=self.path)

    def wrong(self, what: str, value: object, expected: str, remedy: str) -> InputError:
        """Error for a value that is not what is expected."""
        return self.error(f"{what} is {describe(value)}, but it must be {expected}", remedy)

    def require(self, key: str, remedy: str) -> Any:
        """Value of a key that must be there."""
        if key not in self.values:
            raise self.error(f"{self.called(key)} is missing", remedy)
        return self.values[key]

    def choose(self, keys: Sequence[str], what: str) -> str:
        """Return the one key of several that is there; refuse none and more than one."""
        given = [key for key in keys if key in self.values]
        if len(given) != 1:
            names = " and by ".join(self.called(key) for key in given)
            raise self.error(
                f"{what} is given by {names}" if given else f"{what} is not given",
                f"Give exactly one of {', '.join(keys)}",
            )
        return given[0]

    def refuse_beside(self, chosen: str, companions: Mapping[str, Sequence[str]]) -> None:
        """Refuse keys that do not go with the chosen one, rather than pass over them."""
        for key, takers in companions.items():
            if key in self.values and chosen not in takers:
                raise self.error(
                    f"{self.called(key)} means nothing beside {self.called(chosen)}",
                    f"{key} goes with {' or '.join(takers)}: leave it out, or check what is meant",
                )

    def read_text(self, key: str, default: str) -> str:
        """Text that is not blank, or the default where the key is not there."""
        return self._text(self.values[key], self.called(key)) if key in self.values else default

    def read_texts(self, key: str) -> tuple[str, ...]:
        """Text or a list of it; empty where the key is not there."""
        if key not in self.values:
            return ()
        value = self.values[key]
        items = value if isinstance(value, list) else [value]
        if not items:
            raise self.wrong(self.called(key), value, "text or a list of text", "Or leave it out")
        return tuple(self._text(item, self.called(key)) for item in items)

    def _text(self, value: object, what: str) -> str:
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(what, value, "text that is not blank", "Put it between quotes")
        return value

    def read_flag(self, key: str) -> bool:
        """Return true or false; false where the key is not there."""
        value = self.values.get(key, False)
        if not isinstance(value, bool):
            raise self.wrong(self.called(key), value, "true or false", "Write it without quotes")
        return value

    def read_unit(self, key: str) -> str:
        """Name of a unit of length; the job's own where the key is not there."""
        value = self.values.get(key, self.unit)
        if not isinstance(value, str) or value not in METRES:
            raise self.wrong(
                self.called(key),
                value,
                f"one of {', '.join(METRES)}",
                "m and mm are metric; ft is the international foot, us-ft the US survey foot, "
                "in the inch",
            )
        return value

    def read_number(self, key: str, least: float, most: float, *, expected: str) -> float:
        """Bare number within limits."""
        value = self.values[key]
        if not is_number(value) or not least <= value <= most:  # also refuses not-a-number
            raise self.wrong(self.called(key), value, expected, "Write a bare number")
        return float(value)

    def read_whole_numbers(self, key: str, least: int, most: int) -> tuple[int, ...]:
        """List of whole numbers within limits, each once."""
        value = self.values[key]
        expected = f"a list of whole numbers from {least} to {most}"
        remedy = f"Write it as {key} = [{least}, {least + 1}]"
        if not isinstance(value, list) or not value:
            raise self.wrong(self.called(key), value, expected, remedy)
        for item in value:
            if not isinstance(item, int) or not is_number(item) or not least <= item <= most:
                raise self.wrong(f"one of {self.called(key)}", item, expected, remedy)
            if value.count(item) > 1:
                raise self.error(f"{self.called(key)} names {item} twice", "Name each once")
        return tuple(value)

    def parse(
        self, value: object, what: str, kind: str, parser: Callable[..., float], example: str
    ) -> float:
        """
        Quantity that may be written as text.

        Parameters
        ----------
        value : object
            As the file has it.
        what, kind : str
            What it is called, and what it must be: ``a length``.
        parser : callable
            Takes a number or text; raises ValueError.
        example : str
            Text that would be right.

        Returns
        -------
        float
            In the unit of the parser.
        """
        remedy = f'Write it as text such as "{example}", or as a bare number'
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise self.wrong(what, value, kind, remedy)
        try:
            return parser(value)
        except ValueError as error:
            raise self.error(f"{what} must be {kind}, but {error}", remedy) from error

    def parse_length(self, value: object, what: str) -> float:
        """Length of any sign, m."""
        length = self.parse(value, what, "a length", partial(parse_length, unit=self.unit), "6 in")
        if abs(length) > FARTHEST:
            raise self.error(
                f"{what} is {describe(value)}, and nothing on Earth is as far",
                "Look for a slip of the decimal point, the exponent or the unit",
            )
        return length

    def read_length(self, key: str, *, signed: bool = False, or_zero: bool = False) -> float:
        """Length, m: more than 0 unless it may be `signed`, or 0 as well."""
        value = self.require(key, f'Write {key} = "6 in", or a number in {self.unit}')
        length = self.parse_length(value, self.called(key))
        if not signed and (length < 0 or (length == 0 and not or_zero)):
            expected = "0 or more" if or_zero else "more than 0"
            raise self.wrong(self.called(key), value, expected, "Check its sign")
        return length

    def find_length(self, key: str, *, or_zero: bool = False) -> float | None:
        """Length, m, or None where the key is not there."""
        return self.read_length(key, or_zero=or_zero) if key in self.values else None

    def read_table(self, key: str) -> "Table":
        """Table below this one that must be there."""
        remedy = f"Write a line [{key}] with its keys below it"
        value = self.require(key, remedy)
        if not isinstance(value, dict):
            raise self.wrong(self.called(key), value, "a table", remedy)
        return Table(self.path, key, key, value, self.unit)

    def read_part(self, key: str, *, kind: str | None = None) -> "Table":
        """Table within this one, written on one line: ``key = { ... }``."""
        value, called = self.values[key], self.called(key)
        if not isinstance(value, Mapping):
            raise self.wrong(called, value, "a table", f"Write {called} = {{ ... }}")
        return Table(self.path, kind or key, called, value, self.unit)

    def read_tables(self, key: str) -> Iterator["Table"]:
        """Tables of an array of tables; none where the key is not there."""
        value, name = self.values.get(key, []), self.called(key)
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise self.wrong(name, value, "a list of tables", f"Write [[{name}]] above each")
        for number, values in enumerate(value, start=1):
            yield Table(self.path, key, f"{name} {number}", values, self.unit)
