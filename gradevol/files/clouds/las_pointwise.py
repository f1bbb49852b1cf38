"""LAZ as LASzip 1 first wrote it: one run of packed points, without chunks.

The decoder knows packed points in chunks only. One run is one chunk that holds all points: what is
missing are the number that says where the table of chunks lies, and the table. A view of the file
has both.

References
----------
LASzip ``laszip.hpp`` and ``lasreadpoint.cpp`` (https://github.com/LASzip/LASzip): compressor 1,
pointwise, differs from 2, pointwise in chunks, by them alone.
"""

import io
import struct
from pathlib import Path

#: What a table lies behind the points by, bytes: reading on past them finds the end of the file.
_GAP = 1 << 20


class OneChunk(io.RawIOBase):
    """
    A file of pointwise LAZ as one that is packed in chunks, of which it has one.

    Parameters
    ----------
    path : Path
        The file, checked by `las_packing`.
    start : int
        Byte where its points begin.
    count : int
        Its points.
    packing : bytes
        Its record that says how they are packed.

    Attributes
    ----------
    packing : bytes
        The record as it says so of one chunk.
    """

    def __init__(self, path: Path, *, start: int, count: int, packing: bytes) -> None:
        import lazrs  # noqa: PLC0415

        self._file = path.open("rb")
        self._at = 0
        self._end = path.stat().st_size + 8
        self.packing = record = describe_chunk(packing, count)
        head = self._file.read(start)
        place = head.index(packing)
        head = head[:place] + record + head[place + len(packing) :]
        self._table_at = self._end + _GAP
        self._head = head + struct.pack("<q", self._table_at)
        table = io.BytesIO()
        lazrs.write_chunk_table(table, [(count, self._end - len(self._head))], lazrs.LazVlr(record))
        self._table = table.getvalue()

    def readable(self) -> bool:
        """It can be read."""
        return True

    def seekable(self) -> bool:
        """It can be read from anywhere."""
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Go to a byte."""
        whole = self._table_at + len(self._table)
        self._at = offset + {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: whole}[whence]
        return self._at

    def tell(self) -> int:
        """Byte that is read next."""
        return self._at

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        """Read some bytes; none behind the points but those of the table."""
        if self._at < len(self._head):
            found = self._head[self._at :][: len(buffer)]
        elif self._at < self._end:
            self._file.seek(self._at - 8)
            found = self._file.read(min(len(buffer), self._end - self._at))
        else:
            found = self._table[self._at - self._table_at :] if self._at >= self._table_at else b""
            found = found[: len(buffer)]
        buffer[: len(found)] = found
        self._at += len(found)
        return len(found)

    def close(self) -> None:
        """Close the file."""
        self._file.close()
        super().close()


def describe_chunk(packing: bytes, count: int) -> bytes:
    """Return the record of packing of one chunk of so many points."""
    record = bytearray(packing)
    struct.pack_into("<H", record, 0, 2)
    struct.pack_into("<I", record, 12, count)
    return bytes(record)
