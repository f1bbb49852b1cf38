"""Places in plan: which of several is the first, whatever the order they are listed in."""

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Places whose northings differ by no more than this lie equally far south, m.
_LEVEL = 1e-6


def first_by_place(places: FloatArray) -> int:
    """
    Find the southernmost of several places; the westernmost of those.

    Parameters
    ----------
    places : (n, 2) array of float
        Easting, northing, m; one at least.

    Returns
    -------
    int
        Its number. The same place is found in whatever order they stand.
    """
    is_south = places[:, 1] <= places[:, 1].min() + _LEVEL
    return int(np.argmin(np.where(is_south, places[:, 0], np.inf)))
