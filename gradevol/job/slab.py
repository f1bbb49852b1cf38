"""What a job says of the slab: its edge, openings and thickness, and what is cast with it."""

from dataclasses import dataclass

from gradevol.files.sources import CodedOutline, OutlineFile
from gradevol.geometry.curves import Ring
from gradevol.ground.arrays import FloatArray
from gradevol.ground.lengths import BARE
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, verb_of
from gradevol.job.base import read_shots_beside
from gradevol.job.keys.slab import CODED_EDGE, SAMPLE_TOLERANCE
from gradevol.job.kinds import part
from gradevol.job.parts import read_thickening, read_void
from gradevol.job.sides import sides_of
from gradevol.job.table import Table
from gradevol.site.slab import Thickening, Void


@dataclass(frozen=True, slots=True)
class SlabDesign:
    """
    The slab as drawn, in the job's coordinates, m.

    Attributes
    ----------
    edge : (m, 2) array of float, OutlineFile or CodedOutline
        Places along it in order: its corners, and chords of its arcs.
    side_starts : tuple of int
        Rows of `edge` at which its sides begin; empty: at each, or not known before it is read.
    openings : tuple of (k, 2) arrays of float or OutlineFile
        Rings without concrete.
    thickness, least_thickness : float
        The design, and below what concrete is a thin spot.
    base_high, base_low : float or None
        Grading tolerance above and below the design base, both positive; None where none is stated.
    side_names, opening_names : tuple of str
        What stands at each side, and what each opening is; empty where not given.
    has_own_unit : bool
        Whether `thickness` is written with its unit.
    """

    edge: FloatArray | OutlineFile | CodedOutline
    thickness: float
    least_thickness: float
    openings: tuple[FloatArray | OutlineFile, ...] = ()
    base_high: float | None = None
    base_low: float | None = None
    side_names: tuple[str, ...] = ()
    opening_names: tuple[str, ...] = ()
    thickenings: tuple[Thickening, ...] = ()
    voids: tuple[Void, ...] = ()
    side_starts: tuple[int, ...] = ()
    has_own_unit: bool = False

    @property
    def n_sides(self) -> int | None:
        """How many sides it has; None where its edge is in a file."""
        if isinstance(self.edge, OutlineFile | CodedOutline):
            return None
        return Ring(self.edge, self.side_starts).n_sides


def read_slab_design(job: Table) -> SlabDesign:
    """
    Read the [slab] table of a job, and each [[thickening]] and [[void]].

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table: Table = job.read("slab")
    edge = _read_edge(job, table)
    starts = edge.starts if isinstance(edge, Ring) else ()
    n_sides = edge.n_sides if isinstance(edge, Ring) else None
    names = table.read("sides")
    if names and n_sides is not None and len(names) != n_sides:
        raise table.error(
            f"{table.called('sides')} has {count_of(len(names), 'name')}, but slab.edge has "
            f"{n_sides} sides",
            "Name each side, in the order of the corners: side 1 runs from corner 1 to corner 2",
        )
    sides = sides_of(n_sides, names or ())
    openings, called = table.read("openings"), table.read("opening_names")
    if called and len(called) != len(openings):
        raise table.error(
            f"{table.called('opening_names')} has {count_of(len(called), 'name')}, but there "
            f"{verb_of(len(openings), 'are')} {count_of(len(openings), 'opening')}",
            "Name each opening, in their order",
        )
    return table.fill(
        SlabDesign,
        edge=edge.places if isinstance(edge, Ring) else edge,
        side_starts=starts,
        has_own_unit=_has_unit(table.value("thickness").given),
        least_thickness=_read_least_thickness(table, table.read("thickness")),
        thickenings=tuple(
            read_thickening(part, sides=sides) for part in job.read("thickening") or ()
        ),
        voids=tuple(read_void(part) for part in job.read("void") or ()),
    )


def _read_edge(job: Table, table: Table) -> Ring | OutlineFile | CodedOutline:
    given = table.value("edge").given
    if not isinstance(given, dict) or "file" in given:
        return table.read("edge")
    coded: Table = table.read("edge", part(CODED_EDGE))
    return CodedOutline(read_shots_beside(coded, job.read("base")))


def _has_unit(given: object) -> bool:
    """Whether a length is written with a unit or a mark, not as a bare number."""
    return isinstance(given, str) and BARE.fullmatch(given.strip()) is None


def _read_least_thickness(table: Table, thickness: float) -> float:
    least: float | None = table.read("least_thickness")
    if least is None:
        if thickness <= SAMPLE_TOLERANCE:
            said = table.file.units.say_exact_length(thickness)
            raise table.error(
                f"{table.called('thickness')} is {said}: 3/4 in less, which least_thickness is "
                "when left out, leaves nothing",
                'Write it with its unit, such as "6 in", or state slab.least_thickness',
            )
        least = thickness - SAMPLE_TOLERANCE
        table.assume("least_thickness", round(least / METRES[table.file.unit], 6))
        return least
    if least > thickness:
        raise table.error(
            f"{table.called('least_thickness')} ({table.values['least_thickness']}) is more than "
            f"{table.called('thickness')} ({table.values['thickness']})",
            "It is the thickness below which concrete is a thin spot",
        )
    return least
