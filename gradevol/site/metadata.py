"""Credits: who measured the base, when, with what, from which benchmark."""

from dataclasses import dataclass


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
