"""Sizes of a slab and of its parts that are unusual: mostly a wrong unit."""

from collections.abc import Iterator

import numpy as np

from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.job import Job
from gradevol.site.slab import Slab
from gradevol.site.thickening import outline_at

# None of these limits has a source; they are common practice.
#: From end to end of a slab, m: doubted beyond.
_LONG = 500.0
#: Thicknesses that are not doubted, m: 2 in of topping to 18 in of pavement.
USUAL = (0.05, 0.45)
#: Depth of a thickening below the slab that is not doubted, m: a frost wall of 4 ft is usual.
_DEEP = 1.5
#: A thickening that takes more of the slab than this, or along a line is wider, m, is doubted.
_MUCH, _WIDE = 0.5, 2.5
#: What is more of the thickness than this is doubted, such as a tolerance, and a void more of the
#: slab.
_LOOSE, _HOLLOW = 0.33, 0.25
#: What trucks bring that is not doubted, m³: a trailer of 1 yd³ to a mixer of 20 yd³.
_TRUCKS = (0.7, 15.5)


def list_unusual(slab: Slab, job: Job) -> Iterator[Note]:
    """
    List sizes that a slab and its survey seldom have.

    Codes ``unusual-size``, and ``size-moves-order`` of what volume, margin and order hang on most.
    """
    length = float(np.hypot(*np.ptp(slab.edge, axis=0)))
    if length > _LONG:
        yield Note(
            "unusual-size",
            "The slab is {} from end to end: check units and slab.edge.",
            (Measure(length, Kind.TAPE),),
        )
    if not USUAL[0] <= slab.thickness <= USUAL[1]:
        way = "less" if slab.thickness < USUAL[0] else "more"
        likely = "150 mm" if job.units.is_metric else "6 in"
        yield Note(
            "unusual-size",
            f"slab.thickness is {{}}, {way} than slabs on ground mostly have. If that is not "
            f'meant, check units, or write it with its unit, such as "{likely}".',
            (Measure(slab.thickness, Kind.THICKNESS),),
        )
    for key, size in (("slab.base_high", slab.base_high), ("slab.base_low", slab.base_low)):
        if size is not None and size > _LOOSE * slab.thickness:
            means = "so that the base may be as far off and count as on grade"
            yield Note("unusual-size", _doubt(key, means, job), (Measure(size, Kind.THICKNESS),))
    base, unsure = job.base, "more than a third of the slab's thickness"
    for key, size, means in (
        ("base.sigma", base.sigma, unsure),
        ("base.datum_sigma", base.datum_sigma, unsure),
        ("base.foot_sigma", base.foot_sigma, unsure),
        ("base.foot_high", base.foot_high, "so that the base is taken that much lower"),
        ("top.sigma", job.top_sigma, unsure),
    ):
        if size is not None and size > _LOOSE * slab.thickness:
            yield Note(
                "size-moves-order", _doubt(key, means, job), (Measure(size, Kind.THICKNESS),)
            )
    truck = job.order.truck if job.order else None
    if truck is not None and not _TRUCKS[0] <= truck <= _TRUCKS[1]:
        way = "less" if truck < _TRUCKS[0] else "more"
        yield Note(
            "unusual-size",
            f"order.truck is {{}}, {way} than a truck mostly brings: check it, and its unit.",
            (Measure(truck, Kind.VOLUME),),
        )
    for void in slab.voids:
        if abs(void.volume) > _HOLLOW * slab.area * slab.thickness:
            yield Note(
                "size-moves-order",
                f"{escape(void.name)} is {{}}, a large part of the slab: are its sizes in the "
                "right unit?",
                (Measure(void.volume, Kind.VOLUME),),
            )
    yield from _list_thickenings(slab)


def _list_thickenings(slab: Slab) -> Iterator[Note]:
    for part in slab.thickenings:
        if part.depth > _DEEP:
            yield Note(
                "size-moves-order",
                f"{escape(part.name)} reaches {{}} below the slab's underside: is its depth in "
                "the right unit?",
                (Measure(part.depth, Kind.TAPE),),
            )
        share = outline_at(part, slab, out=0.0).area / slab.area
        if part.outline is None and (share > _MUCH or part.width > _WIDE):
            yield Note(
                "size-moves-order",
                f"{escape(part.name)} is {{}} wide, and takes {100 * share:.0f} % of the slab: is "
                "its width in the right unit?",
                (Measure(part.width, Kind.TAPE),),
            )
        elif share > _MUCH:
            yield Note(
                "unusual-size",
                f"{escape(part.name)} takes {100 * share:.0f} % of the slab: are its corners in "
                "the right unit?",
            )


def _doubt(key: str, means: str, job: Job) -> str:
    write = f'Write it with its unit, such as "{"6 mm" if job.units.is_metric else "1/4 in"}".'
    return f"{key} is {{}}, {means}: is it in the right unit? {write}"
