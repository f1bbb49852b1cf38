"""Scraps: strips along the forms that a scan makes where its squares reach over them."""

from dataclasses import replace

from gradevol.measures.contours import join_rings
from gradevol.measures.spots import Spot, Spots
from gradevol.plan.fixes.fix import Found
from gradevol.site.slab import Slab
from gradevol.site.survey import Grain

#: A square that lies half over a form raises the surface as far as the middle of the next one; but
#: what is wider than a shovel, m, is work whatever the squares (common practice, no source).
_SQUARES, _SHOVEL = 1.5, 0.25


def sweep_scraps(found: Found, slab: Slab, grain: Grain | None) -> tuple[Found, int]:
    """
    Take away strips along the slab's edge that are narrower than a scan's square or so.

    Parameters
    ----------
    found : Found
    slab : Slab
    grain : Grain or None
        Of a cloud; nothing is taken away without one.

    Returns
    -------
    found : Found
        Without them; the areas still hold them.
    count : int
        How many they were.
    """
    if grain is None or grain.cell == 0:
        return found, 0
    width = min(_SQUARES * grain.cell, _SHOVEL)
    rim = slab.outline.boundary.buffer(width)

    def is_scrap(spot: Spot) -> bool:
        area = join_rings(spot.rings)
        return bool(area.buffer(-width / 2).is_empty and rim.covers(area))

    def sweep(spots: Spots | None) -> Spots | None:
        if spots is None:
            return None
        return replace(spots, listed=tuple(spot for spot in spots.listed if not is_scrap(spot)))

    thin = sweep(found.thin) or found.thin
    swept = replace(found, thin=thin, high=sweep(found.high), low=sweep(found.low))
    return swept, len(found.spots) - len(swept.spots)
