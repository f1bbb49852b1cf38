"""Progress: what a road tells of how far it is."""

from collections.abc import Callable
from typing import TypeAlias

#: Told what is being done and the share of it that is done, 0 to 1.
Progress: TypeAlias = Callable[[str, float], None]


def quiet(_what: str, _share: float) -> None:
    """Say nothing."""
