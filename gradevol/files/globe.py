"""Coordinates that no site has: longitude and latitude, lengths of web maps, places off Earth."""

from pathlib import Path

import numpy as np

from gradevol.ground.arrays import AnyArray
from gradevol.ground.errors import InputError

#: No coordinate on Earth is larger, m: the way around it is 4.0e7 m, and eastings with the number
#: of one of sixty zones in front reach 6.1e7 m.
FARTHEST = 1e8
#: What a site spans at most, degrees: 10 km on the ground; and what any slab does in any unit of
#: length, which is no more than a kilometre in degrees. Ours, no source.
SITE, SLAB = 0.1, 0.01
#: Code of the error where coordinates are longitude and latitude.
DEGREES = "looks-like-degrees"
#: EPSG codes of the UTM zones on WGS 84, ETRS89 and NAD83, all in metres.
METRIC_ZONES = (range(32601, 32661), range(32701, 32761), range(25828, 25838), range(26901, 26924))
#: Codes of the projection of web maps, EPSG's and those that were used before it had one.
WEB_MAPS = frozenset({3857, 3785, 900913, 102100, 102113})


def are_degrees(low: AnyArray, high: AnyArray, *, widest: float) -> bool:
    """
    Whether lowest and highest places, (2,), as written, can be nothing but degrees.

    Parameters
    ----------
    low, high : (2,) array of float
        Of the two coordinates in plan, in either order.
    widest : float
        What a site in degrees spans at most: `SITE` where the numbers are known to be fine enough
        for degrees, else `SLAB`.
    """
    ends, spans = np.abs([low, high]), high - low
    is_within = (ends <= 180).all() and (ends <= 90).all(axis=0).any()
    return bool(is_within and (spans > 0).all() and (spans < widest).all())


def refuse_web_map(path: Path) -> InputError:
    """Error of a file in the projection of web maps: its scale is 1 / cos(latitude), 1.4 at 45."""
    return InputError(
        "its coordinates are those of web maps (Pseudo-Mercator, EPSG 3857), in which lengths are "
        "longer than on the ground, by a third at 41 degrees of latitude",
        remedy="Export it in the coordinates of the job: UTM, state plane, or local",
        path=path,
    )
