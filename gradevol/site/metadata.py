"""What is printed and never counted with: who measured the base, and how marks are written."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

#: How cut and fill are marked in jobs in feet and inches: ``C.10``, or ``C 1 1/4``.
Marks: TypeAlias = Literal["hundredths", "inches"]


@dataclass(frozen=True, slots=True)
class Credits:
    """
    What stands on a sheet about the shots; empty where the job does not say.

    Attributes
    ----------
    by : str
        Who measured.
    date : str
        When, as the job writes it.
    instrument : str
        With what.
    benchmark : str
        From where: its name and elevation, and how the levels closed.
    """

    by: str = ""
    date: str = ""
    instrument: str = ""
    benchmark: str = ""
