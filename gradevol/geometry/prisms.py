"""Exact integrals of a linear function over triangles.

Every figure of a result is one of these sums. No sampling, no grid.
"""

import numpy as np

from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray


def plan_area(corners: FloatArray) -> FloatArray:
    """
    Signed plan area of triangles.

    Parameters
    ----------
    corners : (n, 3, 2 or more) array of float
        Easting, northing of each corner, m; further columns are not looked at.

    Returns
    -------
    (n,) array of float
        Area, m²; positive where the corners run counter-clockwise.
    """
    east, north = corners[..., 0], corners[..., 1]  # each by itself: a third of the time
    twice = (east[..., 1] - east[..., 0]) * (north[..., 2] - north[..., 0])
    return (twice - (north[..., 1] - north[..., 0]) * (east[..., 2] - east[..., 0])) / 2


def span_of_corners(value: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Least and greatest of three corners: (n, 3, ...) to (n, ...) twice.

    numpy reduces a short axis slowly; corner by corner is several times faster.
    """
    return _span(value[:, 0], value[:, 1], value[:, 2])


def span_of_rows(value: AnyArray, rows: AnyArray) -> tuple[AnyArray, AnyArray]:
    """Least and greatest of what stands at three nodes: of (p, ...) by (n, 3) to (n, ...) twice."""
    return _span(*(value.take(node, axis=0) for node in rows.T))


def _span(first: AnyArray, second: AnyArray, third: AnyArray) -> tuple[AnyArray, AnyArray]:
    least = np.minimum(np.minimum(first, second), third)
    return least, np.maximum(np.maximum(first, second), third)


def _sides_of_zero(depth: FloatArray) -> tuple[BoolArray, BoolArray]:
    """Whether each triangle lies above zero with all its corners; and with some of them."""
    one, other, third = (depth > 0).T
    is_full = one & other & third
    return is_full, (one | other | third) & ~is_full


def _split_at_zero(depth: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, BoolArray]:
    """Depth of the corner alone on its side of zero, the shares it cuts off, most above or not."""
    one, other, third = depth.T
    low, high = np.minimum(one, other), np.maximum(one, other)
    mid = np.maximum(low, np.minimum(high, third))  # sooner than a sort of three
    low, high = np.minimum(low, third), np.maximum(high, third)
    is_mostly_above = mid > 0
    lone = np.where(is_mostly_above, np.minimum(low, 0), np.maximum(high, 0))
    far = np.where(is_mostly_above, high, low)

    def share(length: FloatArray) -> FloatArray:
        return np.divide(lone, length, out=np.zeros_like(lone), where=lone != 0)

    return lone, share(lone - mid), share(lone - far), is_mostly_above


def _sum(depth: FloatArray) -> FloatArray:
    return depth[:, 0] + depth[:, 1] + depth[:, 2]


def _check(area: FloatArray, depth: FloatArray) -> None:
    if depth.shape != (*area.shape, 3):
        raise ValueError(f"depth must be (n, 3) for area (n,), not {depth.shape} for {area.shape}")


def volume_above(area: FloatArray, depth: FloatArray) -> FloatArray:
    r"""
    Volume of the positive part of a linear depth over each triangle.

    Parameters
    ----------
    area : (n,) array of float
        Plan area of each triangle, m².
    depth : (n, 3) array of float
        Depth at the three corners, m, positive upwards.

    Returns
    -------
    (n,) array of float
        Volume where depth > 0, m³.

    Raises
    ------
    ValueError
        If `area` and `depth` do not have one row a triangle.

    Notes
    -----
    The whole prism is :math:`A(d_1+d_2+d_3)/3`. Where the zero line cuts off one corner of depth
    :math:`d` from :math:`d', d''`, similar triangles give
    :math:`A\,|d|/3 \cdot d/(d-d') \cdot d/(d-d'')`; the rest is the difference. Derived here;
    reproduced by quadrature in ``tests/unit/test_prisms.py``. Ratios of lengths, not ``d**3``:
    these can't underflow.
    """
    _check(area, depth)
    is_full, some = _sides_of_zero(depth)
    volume = np.where(is_full, area / 3 * _sum(depth), 0.0)
    area, depth = area[some], depth[some]
    lone, near, far, is_mostly_above = _split_at_zero(depth)
    corner = np.abs(lone) * near * far
    volume[some] = area / 3 * np.where(is_mostly_above, _sum(depth) + corner, corner)
    return volume


def weights_above(area: FloatArray, depth: FloatArray) -> FloatArray:
    """
    Derivative of `volume_above` by the depth at each corner.

    Parameters
    ----------
    area : (n,) array of float
        Plan area of each triangle, m².
    depth : (n, 3) array of float
        Depth at the three corners, m.

    Returns
    -------
    (n, 3) array of float
        m²; the three add up to `area_above`.

    Notes
    -----
    From the formula of `volume_above`: with s = d/(d−d') and t = d/(d−d''), the part cut off has
    the derivatives A/3 (3st − s²t − st²), A/3 s²t and A/3 st² by d, d' and d''. Derived here; held
    against differences in ``tests/unit/test_prisms.py``.
    """
    _check(area, depth)
    is_full, some = _sides_of_zero(depth)
    held = np.where(is_full, area / 3, 0.0)[:, None].repeat(3, axis=1)
    area, depth = area[some], depth[some]
    order = np.argsort(depth, axis=1)
    _, near, far, is_mostly_above = _split_at_zero(depth)
    cut = np.stack(
        [near * far * (3 - near - far), near**2 * far, near * far**2], axis=1
    )  # by the corner alone, the middle one, the far one
    cut = np.where(is_mostly_above[:, None], 1 - cut, cut[:, ::-1])
    weights = np.empty_like(depth)
    np.put_along_axis(weights, order, cut * (area / 3)[:, None], axis=1)
    held[some] = weights
    return held


def area_above(area: FloatArray, depth: FloatArray) -> FloatArray:
    """
    Plan area where a linear depth is positive, of each triangle.

    Parameters
    ----------
    area : (n,) array of float
        Plan area of each triangle, m².
    depth : (n, 3) array of float
        Depth at the three corners, m.

    Returns
    -------
    (n,) array of float
        Area where depth > 0, m². A triangle that lies at zero everywhere counts as not above.
    """
    _check(area, depth)
    is_full, some = _sides_of_zero(depth)
    above = np.where(is_full, area, 0.0)
    _, near, far, is_mostly_above = _split_at_zero(depth[some])
    corner = near * far
    above[some] = area[some] * np.where(is_mostly_above, 1 - corner, corner)
    return above


def integral(area: FloatArray, depth: FloatArray) -> FloatArray:
    """Integral of a linear depth over each triangle, (n,), m³: area times the mean corner."""
    _check(area, depth)
    return area * _sum(depth) / 3


def integral_of_square(area: FloatArray, depth: FloatArray) -> FloatArray:
    """
    Integral of the square of a linear depth over each triangle.

    Parameters
    ----------
    area : (n,) array of float
        Plan area, m².
    depth : (n, 3) array of float
        Depth at the three corners, m.

    Returns
    -------
    (n,) array of float
        Integral, m⁴.

    Notes
    -----
    The three-point rule at the middles of the sides is exact for squares: Strang and Fix (1973),
    table of triangle rules, order 2 (from memory; reproduced in ``tests/unit/test_prisms.py``).
    """
    _check(area, depth)
    middles = (depth + np.roll(depth, -1, axis=1)) / 2
    return area / 3 * _sum(middles**2)
