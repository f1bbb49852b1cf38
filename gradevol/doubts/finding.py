"""What looks wrong in a file, as data."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """
    One thing that looks wrong in a file.

    Attributes
    ----------
    code : str
        Stable, for scripts: words joined by hyphens.
    text : str
        For the person in the field: what was seen, and what to do about it.
    lines : tuple of int
        The lines it speaks of, from 1.
    points : tuple of str
        The points it speaks of, by id or line.
    """

    code: str
    text: str
    lines: tuple[int, ...] = ()
    points: tuple[str, ...] = ()
