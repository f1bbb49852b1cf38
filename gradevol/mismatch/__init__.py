"""Survey, slab and top that do not meet in plan: the error, and the slip that would explain it."""

from gradevol.mismatch.setups import remark_on_setups
from gradevol.mismatch.surveys import (
    explain_mismatch,
    refuse_rechecks_elsewhere,
    remark_on_fit,
    unit_of_edge,
)
from gradevol.mismatch.tops import refuse_top_elsewhere, remark_on_top_elsewhere

__all__ = [
    "explain_mismatch",
    "refuse_rechecks_elsewhere",
    "refuse_top_elsewhere",
    "remark_on_fit",
    "remark_on_setups",
    "remark_on_top_elsewhere",
    "unit_of_edge",
]
