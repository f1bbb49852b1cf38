"""Places spread evenly over a polygon, where a tape finds them."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray


def spread_places(
    edge: FloatArray, outline: shapely.Geometry, *, count: int, step: float
) -> FloatArray:
    """
    Spread places over a polygon, square off its longest side.

    Parameters
    ----------
    edge : (m, 2) array of float
        Corners of the polygon in order, m. Of sides that are equally long the first counts.
    outline : shapely polygon or multipolygon
        Where places may lie, m.
    count : int
        About how many places; fewer where `step` is coarser than that.
    step : float
        Distances off the longest side's line, and along it from its start, are whole multiples of
        it, m.

    Returns
    -------
    (k, 2) array of float
        m; within the outline and off its edge, row by row away from the longest side. They
        turn and shift with the polygon.
    """
    along = np.roll(edge, -1, axis=0) - edge
    length = np.hypot(*along.T)
    longest = int(np.argmax(length >= length.max() - 1e-6))
    start, east = edge[longest], along[longest] / length[longest]
    turn = np.column_stack([east, [-east[1], east[0]]])  # columns: along the side, to its left
    inside = shapely.transform(outline, lambda corners: (corners - start) @ turn)
    spacing = step * max(1.0, float(np.ceil(np.sqrt(outline.area / count) / step - 1e-6)))
    first = step * float(np.floor(spacing / step / 2))
    low_along, low_off, high_along, high_off = inside.bounds
    steps_along, steps_off = (
        np.arange(np.floor((low - first) / spacing), np.ceil((high - first) / spacing) + 1)
        for low, high in ((low_along, high_along), (low_off, high_off))
    )
    off, far = np.meshgrid(first + spacing * steps_off, first + spacing * steps_along)
    held = np.column_stack([far.ravel(), off.ravel()])
    # a crew shoots beside a form, not on it
    held = held[shapely.contains_xy(inside.buffer(-step / 4), *held.T)]
    order = np.lexsort([np.round(held[:, 0] / step), np.abs(np.round(held[:, 1] / step))])
    return np.asarray(start + held[order] @ turn.T)
