"""What can go wrong, as a user is told of it.

GradevolError
├── InputError      something in a file or a job cannot be used
└── GeometryError   the shapes given do not make a surface or a slab
"""

from pathlib import Path
from typing import Self

from gradevol.ground.notes import Measure
from gradevol.ground.units import Units
from gradevol.ground.words import tame, unescape

_METRIC = Units.of_job("m")


class GradevolError(Exception):
    """
    The base of every error that a user is told in one paragraph.

    Attributes
    ----------
    measures : tuple of Measure
        What fills the gaps, ``{}``, of its sentences, in order.
    place : (float, float) or None
        Where, easting and northing about the survey's origin, m.
    """

    measures: tuple[Measure, ...] = ()
    place: tuple[float, float] | None = None
    _told: str = ""
    #: Whether what is wrong is of the whole job, and not of one file.
    _is_of_job = False

    def measuring(self, *measures: Measure) -> Self:
        """Fill the gaps of the sentences: in metres, until `put_in` knows better."""
        self.measures, self._told = measures, str(self)
        self.args = (self._fill(_METRIC),)
        return self

    def __reduce__(self) -> tuple[object, ...]:
        """Errors come from other processes too."""
        return _restore, (type(self), self.args, self.__dict__)

    def put_in(
        self, units: Units, origin: tuple[float, ...] = (), *, path: Path | None = None
    ) -> None:
        """
        Say the measures in a job's units, and the place in its coordinates.

        Parameters
        ----------
        units : Units
        origin : tuple of float, optional
            Easting, northing of the survey's origin, m, once it is known.
        path : Path, optional
            The job's file: shapes name none, and of many jobs any might be meant.
        """
        said = self._fill(units)
        if self.place is not None and origin:
            east, north = (
                units.to_length(at + off) for at, off in zip(self.place, origin, strict=False)
            )
            said += f" It is near E {east:.2f}, N {north:.2f} {units.length}."
        if path is not None and self._is_of_job:
            where = f"{tame(str(path))}: "
            said = where + said.removeprefix(where)
        self.args = (said,)

    def _fill(self, units: Units) -> str:
        # not by format: names and paths that users choose may hold braces
        said = self._told or str(self)
        for measure in self.measures:
            said = said.replace("{}", measure.say(units), 1)
        return said


def _restore(
    kind: type[GradevolError], args: tuple[object, ...], told: dict[str, object]
) -> object:
    error = kind.__new__(kind)
    error.args = args
    error.__dict__.update(told)
    return error


class InputError(GradevolError):
    """
    Something in a file cannot be used: where, what, and what to do about it.

    Parameters
    ----------
    problem : str
        What is wrong, with the offending text quoted; no full stop at its end.
    remedy : str
        What to do about it; no full stop at its end, but a question keeps its mark.
    path : Path, optional
        The file.
    line : int, optional
        The line in it, counted from 1.
    quoted : str
        The offending text, where it stands at the problem's end.
    code : str
        What kind of fault it is, for who can do something about it; mostly empty.

    Attributes
    ----------
    problem, remedy, path, line, quoted, code
        As given, but for long quotes: nobody needs to read them out of the sentence.
    """

    def __init__(
        self,
        problem: str,
        *,
        remedy: str,
        path: Path | None = None,
        line: int | None = None,
        quoted: str = "",
        code: str = "",
    ) -> None:
        problem, remedy, quoted = map(tame, (problem, remedy, quoted))
        problem, quoted = unescape(problem), unescape(quoted)
        self.problem, self.remedy, self.quoted, self.code = problem, remedy, quoted, code
        self.path, self.line = path, line
        where = ", ".join(
            ([tame(str(path))] if path else []) + ([f"line {line}"] if line is not None else [])
        )
        said = f"{problem}{f': {quoted}' if quoted else ''}. {remedy}"
        said += "" if remedy.endswith("?") else "."
        super().__init__(f"{where}: {said}" if where else said)

    def about(self, path: Path) -> "InputError":
        """Return the same error, of the same file by another name."""
        error = InputError(
            self.problem,
            remedy=self.remedy,
            path=path,
            line=self.line,
            quoted=self.quoted,
            code=self.code,
        )
        return error.measuring(*self.measures) if self.measures else error


class GeometryError(GradevolError):
    """
    The shapes do not make a surface or a slab: what is wrong, and what to do about it.

    Parameters
    ----------
    text : str
        Whole sentences.
    place : (float, float), optional
        Where, easting and northing about the survey's origin, m; put in the job's units and
        coordinates by whoever knows them.
    """

    _is_of_job = True

    def __init__(self, text: str, *, place: tuple[float, float] | None = None) -> None:
        super().__init__(tame(text))
        self.place = place
