"""Cloud-optimised LAZ (COPC): only the nodes over a part of the plan are unpacked.

Such a file is a LAZ whose chunks are the nodes of an octree, and a list at its end says where each
lies. The list is held against the table of chunks, which knows nothing of it: every point declared
is in one node, or the file is refused.

References
----------
COPC 1.0 (https://copc.io): the info record, the hierarchy, voxel keys.
"""

import struct
from typing import BinaryIO

import numpy as np

from gradevol.files.clouds.las_header import LasHeader
from gradevol.files.clouds.las_packing import refuse, telling_damage
from gradevol.files.clouds.las_runs import Run
from gradevol.ground.arrays import AnyArray

#: A row of the list: level, x, y, z of a node, byte and length of its chunk, its points; −1 points:
#: byte and length are those of another page of the list.
_ROW = np.dtype(
    [
        *((axis, "<i4") for axis in ("level", "x", "y", "z")),
        *(("at", "<u8"), ("length", "<i4"), ("count", "<i4")),
    ]
)
_PAGE = -1
#: Levels of an octree are far fewer; beyond, a node is narrower than a point is exact.
_DEEPEST = 40


def find_nodes(header: LasHeader) -> list[Run]:
    """
    List the nodes of a cloud-optimised file that hold points, in the order of the file.

    Raises
    ------
    InputError
        If the list does not account for each chunk of the file once.
    """
    path = header.path
    if len(header.octree) < 56:
        refuse(path, f"{len(header.octree)} bytes are too few to say where the nodes are listed")
    east, north, _, half = struct.unpack_from("<4d", header.octree)
    first, length = struct.unpack_from("<QQ", header.octree, 40)
    if not (np.isfinite([east, north]).all() and 0 < half < 1e12):
        refuse(path, f"an octree about {east:g}, {north:g} of {half:g} is none")
    with telling_damage(path), path.open("rb") as file:
        rows = _read_pages(header, file, first, length)
    chunks = header.chunks
    rows = rows[rows["count"] > 0]
    rows = rows[np.argsort(rows["at"])]
    counts, lengths = np.array(chunks, np.int64).T
    starts = header.start + 8 + np.cumsum(lengths) - lengths
    listed = [rows[name].astype(np.int64) for name in ("at", "length", "count")]
    if len(rows) != len(chunks) or not np.array_equal(listed, [starts, lengths, counts]):
        refuse(
            path,
            f"its list of nodes ({len(rows):,} with {int(rows['count'].sum()):,} points) does not "
            f"fit its {len(chunks):,} chunks with {int(counts.sum()):,} points",
        )
    is_deep = (rows["level"] < 0) | (rows["level"] > _DEEPEST)
    if is_deep.any():
        refuse(path, f"its list has a node of level {rows['level'][np.argmax(is_deep)]}")
    side = 2 * half / 2.0 ** rows["level"]
    west, south = east - half + rows["x"] * side, north - half + rows["y"] * side
    # a point on a side may have been rounded across it
    extents = np.column_stack([west, south, west + side, south + side])
    extents += np.outer(1e-9 * half + np.abs(header.scale[:2]).max(), [-1, -1, 1, 1])
    return [
        Run(int(row["count"]), int(row["at"]), int(row["length"]), tuple(extent.tolist()))
        for row, extent in zip(rows, extents, strict=True)
    ]


def _read_pages(header: LasHeader, file: BinaryIO, first: int, length: int) -> AnyArray:
    """Rows of every page of the list, those that name pages left out."""
    size = file.seek(0, 2)
    pages, seen, rows, room = [(first, length)], set(), [], size
    while pages:
        at, length = pages.pop()
        room -= length
        if at in seen or length < 0 or length % _ROW.itemsize or at + length > size or room < 0:
            refuse(header.path, f"its list of nodes at byte {at:,}, {length:,} long, can't be")
        seen.add(at)
        file.seek(at)
        page = np.frombuffer(file.read(length), _ROW)
        is_page = page["count"] == _PAGE
        pages += [(int(row["at"]), int(row["length"])) for row in page[is_page]]
        rows.append(page[~is_page])
    return np.concatenate(rows)
