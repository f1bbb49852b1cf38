"""Units: exact factors, text to metres, metres to text.

Numbers inside gradevol are metres. This is the only module that knows another unit; readers and
`job` call its parsers, `presentation` its `Units`.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

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
_SPELLED_METRES = {**METRES, "cm": 0.01}
_POWER_METRES = {**_SPELLED_METRES, "yd": 0.9144}

SQUARE_FOOT = 0.3048**2
CUBIC_YARD = 0.9144**3

_NUMBER = r"\d+\.?\d*(?:[eE][-+]?\d+)?|\.\d+(?:[eE][-+]?\d+)?"
_FRACTION = r"\d+\s*/\s*\d+"
_MIXED = rf"(?:(?:\d+[\s-]+)?{_FRACTION}|{_NUMBER})"
# A dash parts feet from inches (6-4-3/4), but not a whole number from its fraction (6-1/2 in).
_FEET_INCHES = re.compile(
    rf"(?P<feet>\d+)\s*(?:'|′|’|ft\b|feet\b|foot\b|(?=\s*-)(?!\s*-\s*{_FRACTION}))\s*[-\s]?\s*"
    rf"(?P<inches>{_MIXED})\s*(?:\"|″|”|''|in\b|inch\b|inches\b)?",
)
_WITH_UNIT = re.compile(rf"(?P<value>{_MIXED})\s*(?P<unit>[^\d\s.,]\S*)")
_BARE = re.compile(_MIXED)
_DASHED = re.compile(rf"\d+\s*-\s*{_FRACTION}")
_POWER = re.compile(rf"(?P<value>{_MIXED})\s*(?P<unit>[^\d\s.,²³^]+)\^?(?P<power>[23²³])")


def _mixed(text: str) -> float:
    """Value of `6`, `6.5`, `1/2` or `6 1/2`."""
    parts = re.sub(r"\s*/\s*", "/", text.strip())
    if "/" in parts:
        parts = parts.replace("-", " ")
    total = sum(float(Fraction(part)) if "/" in part else float(part) for part in parts.split())
    return _finite(total, text)


def _finite(value: float, text: float | str) -> float:
    """Refuse not-a-number and what is too large to be a number."""
    try:
        number = float(value)
    except OverflowError as error:
        raise ValueError("such a number is too large") from error
    if not math.isfinite(number):
        raise ValueError(f"{text!r} is not a finite number")
    return number


def parse_length(text: float | str, *, unit: str) -> float:
    """
    Read a length as people write it.

    Parameters
    ----------
    text : float or str
        A bare number, in `unit`; or text that carries its own unit: ``6 in``, ``5'-6 1/2"``,
        ``6-4-3/4`` (feet, inches), ``0.15 m``, ``152 mm``.
    unit : str
        Unit of a bare number, a key of `METRES`.

    Returns
    -------
    float
        The length, m.

    Raises
    ------
    ValueError
        If the text is not a length, or names a unit that is not known.
    """
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not a length")
    if isinstance(text, int | float):
        return _finite(text, text) * METRES[unit]
    sign, bare = _split_sign(text)
    try:
        if match := _FEET_INCHES.fullmatch(bare):
            feet, inches = float(match["feet"]), _mixed(match["inches"])
            if inches >= 12:
                raise ValueError(f"{text!r} has {inches:g} inches: twelve make a foot")
            return sign * (feet * METRES["ft"] + inches * METRES["in"])
        if _DASHED.fullmatch(bare) and unit != "in":
            raise ValueError(
                f"{text!r} can be read in two ways: write '6 1/2 in', or '6 ft 0 1/2 in' for feet"
            )
        if _BARE.fullmatch(bare):
            return sign * _mixed(bare) * METRES[unit]
        if match := _WITH_UNIT.fullmatch(bare):
            spelled = SPELLINGS.get(match["unit"].lower().rstrip("."))
            if spelled is None:
                raise ValueError(f"{text!r} names no known unit (m, mm, cm, ft, us-ft, in)")
            return sign * _mixed(match["value"]) * _SPELLED_METRES[spelled]
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} is not a length: it divides by nought") from error
    raise ValueError(f"{text!r} is not a length")


def _split_sign(text: str) -> tuple[float, str]:
    bare = text.strip()
    if bare[:1] in {"-", "−", "+"}:
        return (1.0 if bare[0] == "+" else -1.0), bare[1:].lstrip()
    return 1.0, bare


def parse_area(text: float | str, *, unit: str) -> float:
    """
    Read an area, m²: a bare number in the square of `unit`, or text such as ``2 in2``.

    Raises
    ------
    ValueError
        If the text is not an area.
    """
    return _parse_power(text, 2, METRES[unit] ** 2)


def parse_volume(text: float | str, *, unit: str) -> float:
    """
    Read a volume, m³: a bare number, or text with its unit such as ``1.5 yd3``.

    A bare number is in cubic yards where `unit` is feet or inches, else in m³: the unit in which
    a job in `unit` is answered.

    Raises
    ------
    ValueError
        If the text is not a volume.
    """
    return _parse_power(text, 3, 1.0 if Units.of_job(unit).is_metric else CUBIC_YARD)


def _parse_power(text: float | str, power: int, bare_unit: float) -> float:
    kind, example = {2: ("an area", "2 in2"), 3: ("a volume", "1.5 yd3")}[power]
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not {kind}")
    if isinstance(text, int | float):
        return _finite(text, text) * bare_unit
    sign, bare = _split_sign(text)
    try:
        if _BARE.fullmatch(bare):
            return sign * _mixed(bare) * bare_unit
        if (match := _POWER.fullmatch(bare)) and match["power"] in (str(power), "  ²³"[power]):
            spelled = SPELLINGS.get(match["unit"].lower(), match["unit"].lower())
            if spelled in _POWER_METRES:
                return sign * _mixed(match["value"]) * _POWER_METRES[spelled] ** power
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} divides by nought") from error
    raise ValueError(f"{text!r} is not {kind} such as {example!r}")


_PER = re.compile(
    rf"(?P<rise>{_MIXED})\s*(?P<rise_unit>[^\d\s]+)\s*(?:per|/)\s*"
    rf"(?P<run>{_MIXED})?\s*(?P<run_unit>[^\d\s]+)"
)


def parse_fall(text: float | str) -> float:
    """
    Read a fall: ``1/4 in per ft``, ``2 %`` or a bare ratio.

    Returns
    -------
    float
        Drop per run, without unit.

    Raises
    ------
    ValueError
        If the text is none of these.
    """
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not a fall")
    if isinstance(text, int | float):
        return _finite(text, text)
    bare = text.strip()
    try:
        if bare.endswith("%") and _BARE.fullmatch(bare[:-1].strip()):
            return _mixed(bare[:-1]) / 100
        if match := _PER.fullmatch(bare):
            rise = parse_length(f"{match['rise']} {match['rise_unit']}", unit="m")
            return rise / parse_length(f"{match['run'] or 1} {match['run_unit']}", unit="m")
        if _BARE.fullmatch(bare):
            return _mixed(bare)
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} is not a fall: it divides by nought") from error
    raise ValueError(
        f"{text!r} is not a fall: write '1/4 in per ft', '2 %' or a ratio such as 0.02"
    )


def eighths(inches: float, *, down: bool = False, per_inch: int = 8) -> str:
    """
    Inches as a tape shows them: whole inches and eighths (``5 3/8``).

    Parameters
    ----------
    inches : float
        The length, in; may be negative.
    down : bool
        Round towards less instead of to the nearest: for a least thickness or cover.
    per_inch : int
        Parts of an inch.
    """
    scaled = inches * per_inch
    parts = math.floor(scaled + 1e-6) if down else math.floor(scaled + 0.5)
    whole, rest = divmod(abs(parts), per_inch)
    shown = str(Fraction(rest, per_inch)) if rest else ""
    words = f"{whole} {shown}".strip() if whole or not rest else shown
    return f"-{words}" if parts < 0 else words


@dataclass(frozen=True, slots=True)
class Units:
    """
    The units in which a job is answered.

    Attributes
    ----------
    length, area, volume : str
        Names as they stand in the result: ``ft``, ``ft2``, ``yd3`` or ``m``, ``m2``, ``m3``.
    """

    length: str
    area: str
    volume: str

    @classmethod
    def of_job(cls, unit: str) -> "Units":
        """Units of the answer for bare numbers in `unit`: metric, or feet and cubic yards."""
        if unit in {"m", "mm"}:
            return cls("m", "m2", "m3")
        return cls("us-ft" if unit == "us-ft" else "ft", "ft2", "yd3")

    @property
    def is_metric(self) -> bool:
        """Whether the answer is in metres."""
        return self.length == "m"

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
        inches = math.floor(abs(metres) / METRES["in"] + 0.5)
        return f"{'-' if metres < 0 and inches else ''}{inches // 12} ft {inches % 12} in"

    def say_thickness(self, metres: float, *, down: bool = False) -> str:
        """A thickness or a cut: ``5 3/8 in`` or ``137 mm``; `down` rounds towards less."""
        if self.is_metric:
            millimetres = metres * 1000
            whole = math.floor(millimetres + 1e-6) if down else math.floor(millimetres + 0.5)
            return f"{whole} mm"
        return f"{eighths(metres / METRES['in'], down=down)} in"

    def say_fine(self, metres: float) -> str:
        """Less than a tape shows, such as a sag: ``0.05 in`` or ``1.4 mm``."""
        if self.is_metric:
            return f"{metres * 1000:z.1f} mm"
        return f"{metres / METRES['in']:z.2f} in"

    def say_area(self, square_metres: float) -> str:
        """An area: ``129 ft²`` or ``12.0 m²``."""
        value = self.to_area(square_metres)
        return f"{value:z,.1f} m²" if self.is_metric else f"{value:z,.0f} ft²"

    def say_some_area(self, square_metres: float) -> str:
        """An area that is there, never as nought: ``129 ft²``, ``less than 1 ft²``."""
        said = self.say_area(square_metres)
        if said != self.say_area(0.0):
            return said
        return f"less than {'0.1 m²' if self.is_metric else '1 ft²'}"

    def say_volume(self, cubic_metres: float) -> str:
        """A volume: ``73.0 yd³`` or ``55.8 m³``; small ones to the hundredth."""
        value = self.to_volume(cubic_metres)
        digits = 1 if abs(value) >= 9.95 else 2
        return f"{value:z,.{digits}f} {'m³' if self.is_metric else 'yd³'}"

    def say_some_volume(self, cubic_metres: float) -> str:
        """A volume that is there, never as nought: ``0.26 yd³``, ``less than 0.01 yd³``."""
        said = self.say_volume(cubic_metres)
        if said != self.say_volume(0.0):
            return said
        return f"less than 0.01 {'m³' if self.is_metric else 'yd³'}"

    def say_exact_length(self, metres: float) -> str:
        """A length to all digits that it has, to compare: ``0.3280839895 ft``."""
        return f"{self.to_length(metres):.10g} {self.length}"

    def say_exact_area(self, square_metres: float) -> str:
        """An area to all digits that it has, to compare: ``12.00000012 m²``."""
        return f"{self.to_area(square_metres):.10g} {'m²' if self.is_metric else 'ft²'}"

    def say_exact_volume(self, cubic_metres: float) -> str:
        """A volume to all digits that it has, to compare: ``73.01234568 yd³``."""
        return f"{self.to_volume(cubic_metres):.10g} {'m³' if self.is_metric else 'yd³'}"

    def say_level(self, metres: float) -> str:
        """An elevation or a difference as booked: ``100.02 ft`` or ``30.486 m``."""
        digits = 3 if self.is_metric else 2
        return f"{self.to_length(metres):z.{digits}f} {self.length}"
