"""The thickness as an image: sampled on the exact triangles, for drawing only."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.prisms import span_of_corners
from gradevol.ground.arrays import FloatArray, IntArray, at_a_time, count_up

#: Triangles that are walked at a time.
_AT_ONCE = 100_000


@dataclass(frozen=True, slots=True)
class Image:
    """
    Thickness at the middles of square cells.

    Attributes
    ----------
    thickness : (ny, nx) array of float
        m, rows from south to north; not a number outside the slab.
    west, south : float
        Corner of the first cell about the job's origin, m.
    cell : float
        Side of a cell, m.
    """

    thickness: FloatArray
    west: float
    south: float
    cell: float

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """West, east, south, north borders, m."""
        rows, columns = self.thickness.shape
        return (
            self.west,
            self.west + columns * self.cell,
            self.south,
            self.south + rows * self.cell,
        )


def sample(corners: FloatArray, value: FloatArray, *, cell: float) -> Image:
    """
    Sample a linear function on triangles at the middles of cells.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles that do not overlap, counter-clockwise, m.
    value : (k, 3) array of float
        The function at the corners.
    cell : float
        Side of a cell, m.

    Returns
    -------
    Image
        Each triangle is walked row by row, and each row from side to side, so the work is the
        cells covered and the rows crossed, not the boxes around the triangles.
    """
    rows = np.arange(value.size).reshape(value.shape)
    return sample_nodes(corners.reshape(-1, 2), value.reshape(-1), rows, cell=cell)


def sample_nodes(places: FloatArray, value: FloatArray, faces: IntArray, *, cell: float) -> Image:
    """
    `sample` triangles that share their corners.

    Parameters
    ----------
    places : (n, 2) array of float
        The corners, each of at least one triangle, m.
    value : (n,) array of float
        The function there.
    faces : (k, 3) array of int
        The corners of each triangle.
    cell : float
        Side of a cell, m.
    """
    (west, east), (south, north) = ((at.min(), at.max()) for at in places.T)
    # far from the origin a side of whole cells is a hair longer by rounding
    columns = max(1, int(np.ceil((east - west) / cell - 1e-6)))
    rows = max(1, int(np.ceil((north - south) / cell - 1e-6)))
    image = np.full((rows, columns), np.nan)
    for part in at_a_time(len(faces), _AT_ONCE):
        some = faces[part]
        # in cells, so that the middle of a cell has whole coordinates
        _fill(image, (places.take(some, axis=0) - [west, south]) / cell - 0.5, value[some])
    return Image(image, float(west), float(south), cell)


def _fill(image: FloatArray, plan: FloatArray, value: FloatArray) -> None:
    """Fill the cells whose middles lie in triangles (k, 3, 2), in cells."""
    rows, columns = image.shape
    low, high = span_of_corners(plan[..., 1])
    triangle, row = _runs(np.ceil(low), np.floor(high), rows)
    left, right = _cross(plan, triangle, row)
    run, column = _runs(np.ceil(left - 1e-9), np.floor(right + 1e-9), columns)
    triangle, row = triangle[run], row[run]
    slope = _slopes(plan, value)[triangle]
    image[row, column] = (
        value[triangle, 0]
        + slope[:, 0] * (column - plan[triangle, 0, 0])
        + slope[:, 1] * (row - plan[triangle, 0, 1])
    )


def _runs(first: FloatArray, last: FloatArray, limit: int) -> tuple[IntArray, IntArray]:
    """Owner and whole numbers of every run from `first` to `last`, within 0 to `limit` - 1."""
    start = np.clip(first, 0, limit).astype(np.intp)
    count = np.maximum(np.clip(last, -1, limit - 1).astype(np.intp) - start + 1, 0)
    return count_up(start, count)


def _cross(plan: FloatArray, triangle: IntArray, row: IntArray) -> tuple[FloatArray, FloatArray]:
    """Where a row enters and leaves its triangle, in cells."""
    left, right = np.full(len(row), np.inf), np.full(len(row), -np.inf)
    for side in range(3):
        start, end = plan[triangle, side], plan[triangle, (side + 1) % 3]
        rise = end[:, 1] - start[:, 1]
        share = np.divide(row - start[:, 1], rise, out=np.full(len(row), -1.0), where=rise != 0)
        at = np.where(
            (share >= 0) & (share <= 1), start[:, 0] + share * (end[:, 0] - start[:, 0]), np.nan
        )
        left, right = np.fmin(left, at), np.fmax(right, at)
    return left, right


def _slopes(plan: FloatArray, value: FloatArray) -> FloatArray:
    """Change of the function a column and a row, (k, 2); nought on slivers."""
    one, other = plan[:, 1] - plan[:, 0], plan[:, 2] - plan[:, 0]
    rise, second = value[:, 1] - value[:, 0], value[:, 2] - value[:, 0]
    twice = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = (
            np.column_stack(
                [
                    rise * other[:, 1] - second * one[:, 1],
                    second * one[:, 0] - rise * other[:, 0],
                ]
            )
            / twice[:, None]
        )
    return np.where(np.abs(twice[:, None]) > 1e-9, slope, 0.0)


def average(image: Image, cells: int) -> Image:
    """
    Means over squares of `cells` by `cells`, carried on a little beyond the slab.

    Lines through the noise of single shots of a dense cloud can't be read; lines through these
    can.
    """
    rows, columns = (-(-size // cells) for size in image.thickness.shape)
    padded = np.full((rows * cells, columns * cells), np.nan)
    padded[: image.thickness.shape[0], : image.thickness.shape[1]] = image.thickness
    blocks = padded.reshape(rows, cells, columns, cells)
    side = image.cell * cells
    return carry_on(Image(_mean(blocks, (1, 3)), image.west, image.south, side), 2)


def carry_on(image: Image, cells: int) -> Image:
    """Fill cells beyond the slab, so many out, with the means of the cells that touch them."""
    values = np.pad(image.thickness, cells, constant_values=np.nan)
    rows, columns = values.shape
    for _ in range(cells):
        padded = np.pad(values, 1, constant_values=np.nan)
        around = np.stack(
            [padded[i : i + rows, j : j + columns] for i in range(3) for j in range(3)]
        )
        values = np.where(np.isfinite(values), values, _mean(around, (0,)))
    off = cells * image.cell
    return Image(values, image.west - off, image.south - off, image.cell)


def _mean(values: FloatArray, axis: tuple[int, ...]) -> FloatArray:
    """Mean of the numbers along some axes; not a number where there is none."""
    count, total = np.isfinite(values).sum(axis=axis), np.nansum(values, axis=axis)
    return np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0)


def faces_between(image: Image) -> tuple[FloatArray, FloatArray]:
    """
    Triangles between the middles of cells, four a square about its middle.

    Returns
    -------
    corners : (k, 3, 2) array of float
        m.
    value : (k, 3) array of float
        m.
    """
    rows, columns = image.thickness.shape
    east, north = np.meshgrid(
        image.west + (np.arange(columns) + 0.5) * image.cell,
        image.south + (np.arange(rows) + 0.5) * image.cell,
    )
    nodes = np.dstack([east, north, image.thickness])
    square = np.stack([nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]], axis=2)
    square = square.reshape(-1, 4, 3)
    square = square[np.isfinite(square[..., 2]).all(axis=1)]
    middle = np.broadcast_to(square.mean(axis=1, keepdims=True), square.shape)
    faces = np.stack([square, np.roll(square, -1, axis=1), middle], axis=2).reshape(-1, 3, 3)
    return faces[..., :2], faces[..., 2]
