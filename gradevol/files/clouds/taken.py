"""A cloud of which the filter by shape took away the base itself, as of a narrow raised strip."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.site.survey import Survey

#: Less than this share of the slab must not be left without a point where the filter took some.
#: Looked at in squares of this, m, or of so many cells or spacings. Ours, no source.
_LEAST, _SQUARE, _CELLS, _SPACINGS = 0.5, 0.2, 1.5, 2.0


def refuse_taken(survey: Survey, edge: FloatArray, widest: float) -> None:
    """
    Refuse a cloud that shows next to nothing of the base once the filter has been at it.

    Parameters
    ----------
    survey : Survey
        A cloud's; one that nothing was taken away of is never refused.
    edge : (m, 2) array of float
        Corners of the slab, m.
    widest : float
        Width below which what rises abruptly is taken away, m.

    Raises
    ------
    InputError
        If less than half of the slab holds points of the base, and points were taken away there.
    """
    slab = shapely.Polygon(edge - survey.origin[:2])
    plan = survey.points[:, :2]
    if survey.removed is None or not shapely.intersects_xy(slab, *survey.removed.T).any():
        return
    spacing = float(np.sqrt(np.prod(np.ptp(plan, axis=0)) / len(plan)))
    cell = survey.grain.cell if survey.grain else 0.0
    side = max(_SQUARE, _CELLS * cell, 0.0 if cell else _SPACINGS * spacing)
    low = np.array(slab.bounds[:2])
    count = np.ceil((np.array(slab.bounds[2:]) - low) / side).astype(int)
    east, north = ((np.arange(number) + 0.5) * side for number in count)
    middle = np.stack(np.meshgrid(east, north, indexing="ij"), axis=-1).reshape(-1, 2) + low
    square = np.flatnonzero(shapely.dwithin(slab, shapely.points(middle), side / 2))
    column, row = ((plan - low) // side).astype(int).T
    is_in = (column >= 0) & (column < count[0]) & (row >= 0) & (row < count[1])
    is_in &= shapely.intersects_xy(slab, *plan.T)
    held = np.unique(column[is_in] * count[1] + row[is_in])
    share = np.isin(square, held).mean()
    if share < _LEAST:
        raise InputError(
            f"the cloud shows the base on {share:.0%} of the slab: the rest was taken away because "
            "it rises or drops abruptly, as people, forms and stakes do",
            remedy="Where the base itself is narrower than {} and stands above the ground beside "
            "it, set base.ground = false, or name its classes",
        ).measuring(Measure(widest, Kind.TAPE))
