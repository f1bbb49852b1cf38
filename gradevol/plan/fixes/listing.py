"""Listing: the few lines of work that a crew is given, and how many there are beside them."""

from collections.abc import Sequence
from dataclasses import replace

from gradevol.plan.fixes.fix import Fix

#: Lines of a fix list: more are not worked off in a day (common practice, no source).
LISTED = 10
#: What is best left is not even told below this, m³: a litre (common practice, no source).
TOLD = 0.001


def list_fixes(fixes: Sequence[Fix]) -> tuple[tuple[Fix, ...], tuple[Fix, ...]]:
    """
    List the places of most consequence.

    Parameters
    ----------
    fixes : sequence of Fix
        In their order (`find_fixes`).

    Returns
    -------
    listed : tuple of Fix
        At most `LISTED`, in the same order, ranked anew: what must be put right goes before all,
        then the largest volume, to shave or to fill. Of those best left, none under `TOLD` is among
        them, and none at all where there are more.
    rest : tuple of Fix
        The others.
    """
    told = [fix for fix in fixes if fix.call != "leave" or fix.suspects or fix.volume >= TOLD]
    if len(told) > LISTED:
        told = [fix for fix in told if fix.call != "leave"]
    first = sorted(told, key=lambda fix: (not fix.is_must, 0.0 if fix.is_must else -fix.volume))
    kept = {fix.rank for fix in first[:LISTED]}
    listed = [fix for fix in fixes if fix.rank in kept]
    rest = tuple(fix for fix in fixes if fix.rank not in kept)
    return tuple(replace(fix, rank=rank) for rank, fix in enumerate(listed, start=1)), rest
