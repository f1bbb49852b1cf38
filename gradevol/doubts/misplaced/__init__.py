"""Survey, slab and top that do not meet in plan: the error, and the slip that would explain it."""

from gradevol.doubts.misplaced.setups import remark_on_setups
from gradevol.doubts.misplaced.surveys import (
    explain_mismatch,
    refuse_rechecks_elsewhere,
    remark_on_fit,
    unit_of_edge,
)
from gradevol.doubts.misplaced.tops import refuse_top_elsewhere, remark_on_top_elsewhere

__all__ = [
    "explain_mismatch",
    "refuse_rechecks_elsewhere",
    "refuse_top_elsewhere",
    "remark_on_fit",
    "remark_on_setups",
    "remark_on_top_elsewhere",
    "unit_of_edge",
]
