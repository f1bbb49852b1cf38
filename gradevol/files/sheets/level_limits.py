"""Rules for the allowed misclosure, as people write them."""

from gradevol.ground.errors import InputError
from gradevol.ground.lengths import parse_length
from gradevol.site.levelling.misclosure import Limit


def read_limits(
    *, order: str | None = None, per_root_km: str | None = None, per_setup: str | None = None
) -> list[Limit]:
    """
    Read the rules that were stated.

    Parameters
    ----------
    order : str, optional
        One of `misclosure.ORDERS`.
    per_root_km, per_setup : str, optional
        Millimetres, or a length with its unit such as ``0.01 ft``.

    Raises
    ------
    InputError
        If one is not a length above 0.
    """
    limits = [] if order is None else [Limit.of_order(order)]
    if per_root_km is not None:
        factor, text = _read_factor(per_root_km, "--per-root-km")
        limits.append(Limit(f"{text} × √km", factor, "km"))
    if per_setup is not None:
        factor, text = _read_factor(per_setup, "--per-setup")
        limits.append(Limit(f"{text} × √setups", factor, "setup"))
    return limits


def _read_factor(text: str, option: str) -> tuple[float, str]:
    try:
        factor = parse_length(text, unit="mm")
        if factor <= 0:
            raise ValueError(f"{text!r} is not above 0")
    except ValueError as error:
        raise InputError(
            f"{option} {text!r} is not a misclosure ({error})",
            remedy="Give millimetres, such as 5, or a length with its unit, such as '0.01 ft'",
        ) from error
    is_bare = text.strip().replace(".", "", 1).isdigit()
    return factor, f"{text.strip()} mm" if is_bare else text.strip()
