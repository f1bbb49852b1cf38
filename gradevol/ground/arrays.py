"""Array types, named once; and rows so many at a time."""

from collections.abc import Iterator
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
#: Of any width.
IntArray: TypeAlias = NDArray[np.signedinteger[Any]]
#: Rows of what has many columns of them.
RowArray: TypeAlias = NDArray[np.int32]
BoolArray: TypeAlias = NDArray[np.bool_]
AnyArray: TypeAlias = NDArray[Any]


def at_a_time(count: int, size: int = 100_000) -> Iterator[slice]:
    """Slices of so many rows, so that what is worked out on each takes little memory."""
    for start in range(0, count, size):
        yield slice(start, start + size)
