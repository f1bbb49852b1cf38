"""Outcome: the concrete that the slab takes once the lines of work are done."""

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely

from gradevol.geometry.prisms import volume_above
from gradevol.ground.arrays import FloatArray
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.plan.fixes import Work
from gradevol.plan.fixes.fix import Fix, Look, outline_work
from gradevol.plan.fixes.pricing import FillPrice
from gradevol.site.slab import Slab

#: Cuttings that fill a place but for this much fill all of it, m³: rounding, and nothing else.
_NOTHING = 1e-9
#: Less ground beyond the shots than this is not told to go with a line, m²: a sliver.
_TOLD_BEYOND = 0.05


@dataclass(frozen=True, slots=True)
class Besides:
    """
    Lines that may be done besides, and the concrete then.

    Attributes
    ----------
    lines : tuple of int
        Their ranks.
    volume : float
        With the lines of the stage done and these, m³.
    """

    lines: tuple[int, ...]
    volume: float


@dataclass(frozen=True, slots=True)
class Stage:
    """
    The concrete once some lines of work are done.

    Attributes
    ----------
    lines : tuple of int
        Their ranks; none rests on suspect shots.
    volume : float
        Over the base of all shots, these lines done, m³: `Concrete.volume` and what they change.
    without_suspects : float or None
        The same over the base without the suspect shots, m³; None where there are none, or where
        too little is left without them.
    if_right : Besides or None
        Lines that rest on suspect shots alone, done because those are right.
    if_filled : Besides or None
        Low places that no price decides about, filled to the design base.
    parts : tuple of Besides
        Of each part that is poured on its own: which of the lines lie in it, and what it takes once
        they are done.
    """

    lines: tuple[int, ...]
    volume: float
    without_suspects: float | None = None
    if_right: Besides | None = None
    if_filled: Besides | None = None
    parts: tuple[Besides, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """
    The concrete once what must be done is done, and once all of the plan is.

    Attributes
    ----------
    must, all : Stage or None
        None where no line of that kind moves the base.
    part_filled : tuple of int
        Ranks of the lines of `all` that are filled only as far as cuttings reach.
    beyond : tuple of int
        Ranks of the lines, done or filled besides, that take ground beyond the outermost shots with
        them.
    """

    must: Stage | None = None
    all: Stage | None = None
    part_filled: tuple[int, ...] = ()
    beyond: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Lines:
    """Lines that are done: shaved, filled to the design base, filled by so many m³."""

    shaved: tuple[Fix, ...] = ()
    filled: tuple[Fix, ...] = ()
    part_filled: tuple[tuple[Fix, float], ...] = ()

    @property
    def ranks(self) -> tuple[int, ...]:
        return _ranks((*self.shaved, *self.filled, *(fix for fix, _ in self.part_filled)))

    def beside(self, more: Iterable[Fix]) -> "_Lines":
        """These, and more of them done to the design base."""
        added = tuple(more)
        ranks = _ranks(added)
        return _Lines(
            (*self.shaved, *(fix for fix in added if not fix.is_fill)),
            (*self.filled, *(fix for fix in added if fix.is_fill)),
            tuple((fix, part) for fix, part in self.part_filled if fix.rank not in ranks),
        )


def measure_outcome(
    work: Work,
    field: ThicknessField,
    sure: ThicknessField | None,
    slab: Slab,
    looks: tuple[Look, Look] | None = None,
    *,
    volume: float,
    volume_without: float | None = None,
    parts: Sequence[tuple[shapely.Geometry, float]] = (),
) -> Outcome:
    """
    Measure the concrete once the lines of work are done.

    Parameters
    ----------
    work : Work
    field : ThicknessField
        On the surface of all shots.
    sure : ThicknessField or None
        On the surface without the suspect ones; None where there is none.
    slab : Slab
    looks : (Look, Look) or None
        What is off beyond the outermost shots too: with the suspect shots, as lines that rest on
        them see it, and without, as all others do.
    volume, volume_without : float, float or None
        The concrete on each, m³.
    parts : sequence of (shapely geometry, float)
        Those that are poured on their own: what of the slab each is, m, and its concrete, m³.

    Returns
    -------
    Outcome
        Within its outline a shaved place ends at the design base where the base stood above that, a
        filled one where it lay below; one filled with cuttings alone takes what is brought. What is
        off beside it beyond the outermost shots, and is no line of work, goes with it. Lines that
        are poured, left, not listed, or only lower what is cast in change nothing. No place counts
        twice.
    """
    doubtful = [fix for fix in work.fixes if fix.call == "reshoot"]
    sure_of = [fix for fix in work.fixes if fix.call != "reshoot"]
    with_them, without = looks or (None, None)
    outlines = outline_work(doubtful, with_them) | outline_work(sure_of, without)
    base = _Base(field, slab.thickness, volume, outlines)
    own = [_Base(field, slab.thickness, took, outlines, zone) for zone, took in parts]
    other = (
        None
        if sure is None or volume_without is None
        else _Base(sure, slab.thickness, volume_without, outlines)
    )
    shaved = tuple(
        fix for fix in work.fixes if fix.call == "fix" and not fix.is_fill and fix.kind != "cover"
    )
    filled, part_filled, unpriced = _share_out(work)
    whole = _Lines(shaved, filled, part_filled)
    must = tuple(fix for fix in shaved if fix.is_must)
    return Outcome(
        must=_measure(
            base, other, _Lines(must), own, doubt=[fix for fix in doubtful if fix.is_must]
        ),
        all=_measure(base, other, whole, own, doubt=doubtful, unpriced=unpriced),
        part_filled=_ranks(fix for fix, brought in part_filled if not _is_full(fix, brought)),
        beyond=tuple(
            rank
            for rank in whole.beside(unpriced).ranks
            if outlines[rank].area > work.fixes[rank - 1].area + _TOLD_BEYOND
        ),
    )


def _measure(
    base: "_Base",
    other: "_Base | None",
    done: _Lines,
    own: Sequence["_Base"] = (),
    *,
    doubt: Iterable[Fix] = (),
    unpriced: Iterable[Fix] = (),
) -> Stage | None:
    doubt, unpriced = tuple(doubt), tuple(unpriced)
    if not (done.ranks or doubt or unpriced):
        return None
    more = {
        name: Besides(_ranks(lines), base.measure_after(done.beside(lines)))
        for name, lines in (("if_right", doubt), ("if_filled", unpriced))
        if lines
    }
    return Stage(
        lines=done.ranks,
        volume=base.measure_after(done),
        without_suspects=None if other is None else other.measure_after(done),
        parts=tuple(Besides(part.list_lines(done), part.measure_after(done, base)) for part in own),
        **more,
    )


def _share_out(work: Work) -> tuple[tuple[Fix, ...], tuple[tuple[Fix, float], ...], list[Fix]]:
    """Low places filled to the design base, those filled in part, those that no price decides."""
    filled, part_filled, unpriced = [], [], []
    for fix in work.fixes:
        if not fix.is_fill or fix.call not in ("fix", "either"):
            continue
        brought = sum(haul.volume for haul in work.hauls if haul.target == fix.rank)
        price = work.prices[fix.rank - 1] if work.prices else None
        if isinstance(price, FillPrice) and price.way in ("both", "imported"):
            filled.append(fix)
            continue
        if brought:
            part_filled.append((fix, brought))
        if fix.call == "either" and not _is_full(fix, brought):
            unpriced.append(fix)
    return tuple(filled), tuple(part_filled), unpriced


def _is_full(fix: Fix, brought: float) -> bool:
    return brought > fix.volume - _NOTHING


@dataclass(frozen=True, slots=True)
class _Base:
    """
    A base before the work: its field, the design thickness, m, and the concrete on it, m³.

    ``outlines`` are those of the lines, by rank; ``zone`` is what of it a part of the slab is that
    is poured on its own; None: all.

    Pieces that are cut out are kept by the ranks of their lines: several stages ask for them.
    """

    field: ThicknessField
    design: float
    volume: float
    outlines: dict[int, shapely.Geometry]
    zone: shapely.Geometry | None = None
    pieces: dict[tuple[int, ...], tuple[FloatArray, FloatArray]] = dataclasses.field(
        default_factory=dict
    )

    def measure_after(self, done: _Lines, whole: "_Base | None" = None) -> float:
        """Concrete once lines are done, m³; a part gets its share of what the whole is brought."""
        change = self._room_made(done.shaved) - self._room_taken(done.filled)
        for fix, brought in done.part_filled:
            room = self._room_taken([fix])
            among = room if whole is None else whole._room_taken([fix])
            change -= room * min(brought / among, 1.0) if among > 0 else 0.0
        return self.volume + change

    def list_lines(self, done: _Lines) -> tuple[int, ...]:
        """Ranks of the lines that change what it takes."""
        fixes = (*done.shaved, *done.filled, *(fix for fix, _ in done.part_filled))
        return _ranks(fix for fix in fixes if self._cut_out([fix])[0].sum() > 0)

    def _room_made(self, fixes: Iterable[Fix]) -> float:
        """Concrete that takes the place of what is shaved, m³; none of it is above the top."""
        area, thickness = self._cut_out(fixes)
        grown = volume_above(area, self.design - thickness) - volume_above(area, -thickness)
        return float(grown.sum())

    def _room_taken(self, fixes: Iterable[Fix]) -> float:
        """Room in low places, m³."""
        area, thickness = self._cut_out(fixes)
        return float(volume_above(area, thickness - self.design).sum())

    def _cut_out(self, fixes: Iterable[Fix]) -> tuple[FloatArray, FloatArray]:
        """Areas (k,), m², of the pieces within outlines, each once; thickness (k, 3), m, there."""
        known = _ranks(fixes)
        if known not in self.pieces:
            outline = shapely.union_all([self.outlines[rank] for rank in known])
            if self.zone is not None:
                outline = shapely.intersection(outline, self.zone)
            cut = cut_field(self.field, outline)
            self.pieces[known] = cut.area, cut.thickness
        return self.pieces[known]


def _ranks(fixes: Iterable[Fix]) -> tuple[int, ...]:
    return tuple(sorted(fix.rank for fix in fixes))
