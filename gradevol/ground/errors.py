"""What can go wrong, as a user is told of it.

GradevolError
├── InputError      something in a file or a job cannot be used
└── GeometryError   the shapes given do not make a surface or a slab
"""

from pathlib import Path


class GradevolError(Exception):
    """The base of every error that a user is told in one paragraph."""


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
        As given: nobody needs to read them out of the sentence.
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
        self.problem, self.remedy, self.quoted, self.code = problem, remedy, quoted, code
        self.path, self.line = path, line
        where = ", ".join(
            ([str(path)] if path else []) + ([f"line {line}"] if line is not None else [])
        )
        said = f"{problem}{f': {quoted}' if quoted else ''}. {remedy}"
        said += "" if remedy.endswith("?") else "."
        super().__init__(f"{where}: {said}" if where else said)


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

    def __init__(self, text: str, *, place: tuple[float, float] | None = None) -> None:
        super().__init__(text)
        self.place = place
