"""Numbers of a spreadsheet as its cells show them.

References
----------
ECMA-376, part 1, 18.8.30 (numFmt): formats by number, and the signs of those that are written out.
"""

import re
from datetime import date, timedelta
from fractions import Fraction

#: Formats that are known by their number alone, of those that show more than a plain number.
BUILT_IN = {
    **{9: "0%", 10: "0.00%", 12: "# ?/?", 13: "# ??/??"},
    **dict.fromkeys((14, 15, 16, 17), "yyyy-mm-dd"),
    **dict.fromkeys((18, 19, 20, 21, 45, 46, 47), "h:mm:ss"),
    22: "yyyy-mm-dd h:mm",
}
#: Days are counted from here, or from the next; 18.17.4.1 has both.
_FIRST, _FIRST_1904 = date(1899, 12, 30), date(1904, 1, 1)
#: Digits of a number that are its own: the rest is what arithmetic leaves.
_DIGITS = 12
_WRITTEN = re.compile(r'"([^"]*)"|\\(.)|\[\$([^\]-]*)[^\]]*\]|\[[^\]]*\]|[_*].|([%$€£\'′])')
_QUOTED = re.compile(r'"[^"]*"|\\.')
_SIGNS_OF_DATES = re.compile(r"[ymdhs]", re.IGNORECASE)
_FRACTION = re.compile(r"([?#0]+)/([?#0]+|[0-9]+)")
_DECIMALS = re.compile(r"[0#?]\.(0+)")
_LAST_DAY = 2_958_466  # 9999-12-31


def show_number(value: float, form: str, *, is_1904: bool = False) -> str:
    """
    A number as its cell shows it, but in all its digits: ``99.41``, ``4 5/8``, ``0.15 m``.

    Parameters
    ----------
    value : float
        As it is stored.
    form : str
        The format of its cell.
    is_1904 : bool
        Whether the workbook counts days from 1904.

    Returns
    -------
    str
        Dates as ``2026-11-03``, times as ``14:05``.
    """
    section = form.split(";", maxsplit=1)[0]
    bare = _WRITTEN.sub("", section)
    if bare.strip().lower() != "general" and _SIGNS_OF_DATES.search(bare):
        return _show_time(value, is_1904=is_1904)
    if match := _FRACTION.search(bare):
        return _show_fraction(value, match[2])
    at = next((at for at, sign in enumerate(section) if sign in "0#?"), len(section))
    before, after = _list_written(section[:at]), _list_written(section[at:])
    is_share = "%" in _QUOTED.sub("", section)
    number = f"{100 * value if is_share else value:.{_DIGITS}g}"
    if "e" not in number and (match := _DECIMALS.search(bare)):
        whole, _, decimals = number.partition(".")
        number = f"{whole}.{decimals.ljust(len(match[1]), '0')}"  # as many as are shown, at least
    return f"{before}{number}{after}".strip()


def _list_written(part: str) -> str:
    """What a format writes beside the digits."""
    return "".join("".join(filter(None, match.groups())) for match in _WRITTEN.finditer(part))


def _show_time(value: float, *, is_1904: bool) -> str:
    seconds = round(value * 86400)
    days, rest = divmod(seconds, 86400)
    if not 0 <= days < _LAST_DAY:
        return f"{value:.{_DIGITS}g}"
    clock = f"{rest // 3600:02}:{rest // 60 % 60:02}" + f":{rest % 60:02}" * bool(rest % 60)
    day = (_FIRST_1904 if is_1904 else _FIRST) + timedelta(days=days)
    if days == 0:
        return clock
    return f"{day.isoformat()} {clock}" if rest else day.isoformat()


def _show_fraction(value: float, below: str) -> str:
    """A mixed number where its fraction is the value itself; else its decimals."""
    most = int(below) if below.isdigit() and int(below) else 10 ** len(below) - 1
    near = Fraction(abs(value)).limit_denominator(most)
    if abs(float(near) - abs(value)) > 1e-9 * max(1.0, abs(value)):
        return f"{value:.{_DIGITS}g}"
    whole, rest = divmod(near.numerator, near.denominator)
    fraction = f"{rest}/{near.denominator}" if rest else ""
    shown = " ".join(filter(None, [str(whole) if whole or not rest else "", fraction]))
    return f"-{shown}" if value < 0 else shown
