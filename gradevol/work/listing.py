"""Listing: the few lines of work that a crew is given, and how many there are beside them."""

from collections.abc import Sequence
from dataclasses import replace

from gradevol.work.fixes import Fix

#: Lines of a fix list: more are not worked off in a day (common practice, no source).
LISTED = 10


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
        then the largest volume, to shave or to fill. Where there are more, those best left are not
        among them.
    rest : tuple of Fix
        The others.
    """
    if len(fixes) <= LISTED:
        return tuple(fixes), ()
    worth = [fix for fix in fixes if fix.call != "leave"]
    first = sorted(worth, key=lambda fix: (not fix.is_must, 0.0 if fix.is_must else -fix.volume))
    kept = {fix.rank for fix in first[:LISTED]}
    listed = [fix for fix in fixes if fix.rank in kept]
    rest = tuple(fix for fix in fixes if fix.rank not in kept)
    return tuple(replace(fix, rank=rank) for rank, fix in enumerate(listed, start=1)), rest
