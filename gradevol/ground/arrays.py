"""Array types, named once."""

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
