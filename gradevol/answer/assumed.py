"""What the interval rests on: values that the job states, or the method's defaults."""

from dataclasses import dataclass

from gradevol.site.survey import FOOT_SIGMA, Survey
from gradevol.uncertainty.interval import Interval

#: What each is called, by its key of the job file.
ASSUMED = {
    "base.sigma": "single shot",
    "base.datum_sigma": "instrument height",
    "base.setups.closing": "misclosure of setup",
    "base.foot_sigma": "rod foot",
    "top.sigma": "strike-off",
    "top.shots": "single shot of the top",
    "base.foot_high": "rod foot above the average base",
}


#: Misclosures below this are rounding, m.
_NOTHING = 5e-7


@dataclass(frozen=True, slots=True)
class Assumed:
    """
    One value.

    Attributes
    ----------
    name : str
        Its key of the job file.
    value : float
        m; of a sigma one standard deviation.
    is_stated : bool
        Whether the job states it.
    setup : str
        The setup that it is of; blank of all others.
    """

    name: str
    value: float
    is_stated: bool
    setup: str = ""

    @property
    def is_sigma(self) -> bool:
        """Whether it is a standard deviation."""
        return self.name != "base.foot_high"

    @property
    def label(self) -> str:
        """What it is called."""
        return f"{ASSUMED[self.name]} {self.setup}".rstrip()


def has_rod(survey: Survey) -> bool:
    """Whether a rod stood on the base: only then its foot counts."""
    return survey.method in FOOT_SIGMA


def list_assumed(survey: Survey, interval: Interval) -> list[Assumed]:
    """List what the interval of a survey rests on, in the order of `ASSUMED`."""
    found = []
    for key in ASSUMED:
        name = key.removeprefix("base.")
        if key == "top.sigma":
            found.append(Assumed(key, interval.top_sigma, interval.is_top_stated))
        elif key == "top.shots":
            if (top := interval.top_shots) is not None and top.shots:
                found.append(Assumed(key, top.sigma, top.is_stated))
        elif key == "base.setups.closing":
            found += [
                Assumed(key, abs(off), is_stated=True, setup=setup)
                for setup, off in interval.closed.items()
                if abs(off) >= _NOTHING
            ]
        elif has_rod(survey) or "foot" not in name or name in survey.stated:
            found.append(Assumed(key, getattr(survey, name), name in survey.stated))
    return found
