"""Coordinates that no site has: longitude and latitude for lengths, and places off the Earth."""

import numpy as np

from gradevol.ground.arrays import AnyArray

#: No coordinate on Earth is larger, m: the way around it is 4.0e7 m, and eastings with the number
#: of one of sixty zones in front reach 6.1e7 m.
FARTHEST = 1e8
#: What a site spans at most, degrees: 10 km on the ground; and what any slab does in any unit of
#: length, which is no more than a kilometre in degrees. Ours, no source.
SITE, SLAB = 0.1, 0.01
#: Code of the error where coordinates are longitude and latitude.
DEGREES = "looks-like-degrees"


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
