"""Units: exact factors, and metres to text.

Numbers inside gradevol are metres. Only this module and `quantities`, which reads text, know
another unit.
"""

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, TypeAlias

#: Metres in one unit, exact by definition. International foot and inch: 24 FR 5348 (1959-07-01);
#: the US survey foot by 1200/3937 m, as NIST states it beside its end in 2022.
METRES = {"m": 1.0, "mm": 0.001, "in": 0.0254, "ft": 0.3048, "us-ft": 1200 / 3937}

#: What to call them in a sentence.
NAMES = {
    "m": "metres",
    "mm": "millimetres",
    "in": "inches",
    "ft": "feet",
    "us-ft": "US survey feet",
}

#: Other spellings of the same units that drawings and sheets carry.
SPELLINGS = {
    **{unit: unit for unit in METRES},
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("inch", "inches", '"', "″", "”", "''"), "in"),
    **dict.fromkeys(("foot", "feet", "'", "′", "’"), "ft"),
    **dict.fromkeys(("usft", "sft"), "us-ft"),
    "cm": "cm",
}

#: How lengths are written in jobs in feet: each as it is mostly read on site (thickness and tapes
#: in inches, levels in hundredths of a foot), or all of them in inches or in parts of a foot.
Notation: TypeAlias = Literal["", "inches", "hundredths"]

SQUARE_FOOT = 0.3048**2
CUBIC_YARD = 0.9144**3

#: Cubic metres in one unit of volume, by what tickets and people call it.
VOLUMES = {
    **dict.fromkeys(
        ("yd3", "yd³", "yd", "yds", "yard", "yards", "cy", "cyd", "cuyd", "cu yd", "cu yds"),
        CUBIC_YARD,
    ),
    **dict.fromkeys(("cubic yards", "cubic yard", "yards3"), CUBIC_YARD),
    **dict.fromkeys(("m3", "m³", "cbm", "cum", "cu m", "cubic metres", "cubic meters"), 1.0),
    **dict.fromkeys(("ft3", "ft³", "cf", "cuft", "cu ft", "cubic feet"), 0.3048**3),
}


def digits_of(volume: float) -> int:
    """Decimals to which a volume is told in its unit: tenths, and hundredths of a small one."""
    return 1 if abs(volume) >= 9.95 else 2


def eighths(inches: float, *, down: bool = False) -> str:
    """
    Inches as a tape shows them: whole inches and eighths (``5 3/8``).

    Parameters
    ----------
    inches : float
        The length, in; may be negative.
    down : bool
        Round towards less instead of to the nearest: for a least thickness or cover.
    """
    scaled = inches * 8
    parts = math.floor(scaled + 1e-6) if down else math.floor(scaled + 0.5)
    whole, rest = divmod(abs(parts), 8)
    shown = str(Fraction(rest, 8)) if rest else ""
    words = f"{whole} {shown}".strip() if whole or not rest else shown
    return f"-{words}" if parts < 0 else words


def feet_inches(feet: float) -> str:
    """Feet as a rod in inches shows them: ``5'-6 1/2"``; less than one in inches: ``1 1/4 in``."""
    parts = math.floor(abs(feet) * 96 + 0.5)
    sign = "-" if feet < 0 and parts else ""
    if parts < 96:
        return f"{sign}{eighths(parts / 8)} in"
    whole, rest = divmod(parts % 96, 8)
    inches = f"{whole} {eighths(rest / 8)}" if rest else f"{whole}"
    return f"{sign}{parts // 96}'-{inches}\""


@dataclass(frozen=True, slots=True)
class Units:
    """
    The units in which a job is answered.

    Attributes
    ----------
    length, area, volume : str
        Names as they stand in the result: ``ft``, ``ft2``, ``yd3`` or ``m``, ``m2``, ``m3``.
    notation : {"", "inches", "hundredths"}
        How lengths are written; metric ones are written in one way.
    """

    length: str
    area: str
    volume: str
    notation: Notation = ""

    @classmethod
    def of_job(cls, unit: str) -> "Units":
        """Units of the answer for bare numbers in `unit`: metric, or feet and cubic yards."""
        if unit in {"m", "mm"}:
            return cls("m", "m2", "m3")
        return cls("us-ft" if unit == "us-ft" else "ft", "ft2", "yd3")

    def written(self, notation: Notation) -> "Units":
        """Return the same units with lengths in a notation."""
        return replace(self, notation=notation)

    @property
    def is_metric(self) -> bool:
        """Whether the answer is in metres."""
        return self.length == "m"

    @property
    def fine_unit(self) -> str:
        """The unit of a thickness or a cut."""
        return "mm" if self.is_metric else "ft" if self.notation == "hundredths" else "in"

    @property
    def fine_step(self) -> float:
        """The least difference of thickness that is told, m."""
        steps = {"mm": METRES["mm"], "in": METRES["in"] / 8, "ft": METRES["ft"] / 100}
        return steps[self.fine_unit]

    @property
    def volume_symbol(self) -> str:
        """The unit of volume where it need not be plain text: ``yd³``, ``m³``."""
        return self.volume.replace("3", "³")

    def to_length(self, metres: float) -> float:
        """Metres to the unit of length."""
        return metres / METRES[self.length]

    def to_area(self, square_metres: float) -> float:
        """Square metres to the unit of area."""
        return square_metres if self.is_metric else square_metres / SQUARE_FOOT

    def to_volume(self, cubic_metres: float) -> float:
        """Cubic metres to the unit of volume."""
        return cubic_metres if self.is_metric else cubic_metres / CUBIC_YARD

    def say_tape(self, metres: float) -> str:
        """A distance to pull with a tape, to the inch or centimetre: ``12 ft 4 in``, ``3.76 m``."""
        if self.is_metric:
            return f"{metres:z.2f} m"
        if self.notation == "hundredths":
            return f"{metres / METRES['ft']:z.1f} ft"
        inches = math.floor(abs(metres) / METRES["in"] + 0.5)
        return f"{'-' if metres < 0 and inches else ''}{inches // 12} ft {inches % 12} in"

    def say_span(self, metres: float) -> str:
        """
        How wide something is, roughly: ``13 ft``, ``3.8 m``; less than 2 ft as a tape has it.

        Up, but for less than a quarter of a foot.
        """
        if self.is_metric:
            return f"{metres:.1f} m"
        feet = metres / METRES["ft"]
        return f"{math.floor(feet + 0.75)} ft" if feet >= 2 else self.say_tape(metres)

    def say_thickness(self, metres: float, *, down: bool = False) -> str:
        """A thickness or a cut: ``5 3/8 in`` or ``137 mm``; `down` rounds towards less."""
        return f"{self.say_bare_thickness(metres, down=down)} {self.fine_unit}"

    def say_bare_thickness(self, metres: float, *, down: bool = False) -> str:
        """The same without its unit: ``5 3/8``, ``137``."""
        if self.fine_unit == "in":
            return eighths(metres / METRES["in"], down=down)
        steps = metres / self.fine_step
        whole = math.floor(steps + 1e-6) if down else math.floor(steps + 0.5)
        return f"{whole}" if self.is_metric else f"{whole / 100:.2f}"

    def say_fine(self, metres: float) -> str:
        """Less than a tape shows, such as a sag: ``0.05 in`` or ``1.4 mm``."""
        if self.is_metric:
            return f"{metres * 1000:z.1f} mm"
        digits = 3 if self.fine_unit == "ft" else 2
        return f"{metres / METRES[self.fine_unit]:z.{digits}f} {self.fine_unit}"

    def say_area(self, square_metres: float) -> str:
        """An area: ``129 ft²`` or ``12.0 m²``."""
        value = self.to_area(square_metres)
        return f"{value:z,.1f} m²" if self.is_metric else f"{value:z,.0f} ft²"

    def say_some_area(self, square_metres: float) -> str:
        """An area that is there, never as 0: ``129 ft²``, ``less than 1 ft²``."""
        said = self.say_area(square_metres)
        if said != self.say_area(0.0):
            return said
        return f"less than {'0.1 m²' if self.is_metric else '1 ft²'}"

    def say_volume(self, cubic_metres: float) -> str:
        """A volume: ``73.0 yd³`` or ``55.8 m³``; small ones to the hundredth."""
        value = self.to_volume(cubic_metres)
        return f"{value:z,.{digits_of(value)}f} {self.volume_symbol}"

    def say_some_volume(self, cubic_metres: float) -> str:
        """A volume that is there, never as 0: ``0.26 yd³``, ``less than 0.01 yd³``."""
        said = self.say_volume(cubic_metres)
        if said != self.say_volume(0.0):
            return said
        return f"less than 0.01 {self.volume_symbol}{' off' * (cubic_metres < 0)}"

    def say_exact_length(self, metres: float) -> str:
        """A length to all digits that it has, to compare: ``0.3280839895 ft``."""
        return f"{self.to_length(metres):.10g} {self.length}"

    def say_exact_area(self, square_metres: float) -> str:
        """An area to all digits that it has, to compare: ``12.00000012 m²``."""
        return f"{self.to_area(square_metres):.10g} {'m²' if self.is_metric else 'ft²'}"

    def say_exact_volume(self, cubic_metres: float) -> str:
        """A volume to all digits that it has, to compare: ``73.01234568 yd³``."""
        return f"{self.to_volume(cubic_metres):.10g} {self.volume_symbol}"

    def say_level(self, metres: float) -> str:
        """An elevation or a difference as booked: ``100.02 ft`` or ``30.486 m``."""
        if self.notation == "inches":
            return feet_inches(self.to_length(metres))
        digits = 3 if self.is_metric else 2
        return f"{self.to_length(metres):z.{digits}f} {self.length}"

    def say_some_level(self, metres: float) -> str:
        """How sure an elevation is, never as 0: ``0.02 ft``, ``less than 0.01 ft``."""
        said = self.say_level(metres)
        if said != self.say_level(0.0):
            return said
        if self.notation == "inches":
            return "less than 1/8 in"
        return f"less than {'0.001' if self.is_metric else '0.01'} {self.length}"
