"""What a job says of the slab: its edge, openings and thickness, and what is cast with it."""

from collections.abc import Mapping
from dataclasses import dataclass

from gradevol.files.sources import CodedOutline, OutlineFile
from gradevol.ground.arrays import FloatArray
from gradevol.job.base import read_shots_beside
from gradevol.job.parts import read_thickening, read_void
from gradevol.job.shapes import read_opening, read_outline
from gradevol.job.table import Table
from gradevol.site.slab import Thickening, Void

#: An individual sample of a slab on ground may be this much under the design thickness, m (3/4 in):
#: ACI 117-10, section 4.5.4, as quoted by K. Basham, forconstructionpros.com/article/12094593
#: (a secondary source; the standard itself was not read).
SAMPLE_TOLERANCE = 0.01905


@dataclass(frozen=True, slots=True)
class SlabDesign:
    """
    The slab as drawn, in the job's coordinates, m.

    Attributes
    ----------
    edge : (m, 2) array of float, OutlineFile or CodedOutline
        Corners in order: side 1 runs from corner 1 to corner 2.
    openings : tuple of (k, 2) arrays of float or OutlineFile
        Rings without concrete.
    thickness, least_thickness : float
        The design, and below what concrete is a thin spot.
    base_high, base_low : float or None
        Grading tolerance above and below the design base, both positive; None where none is stated.
    side_names : tuple of str
        What stands at each side; empty where not given.
    thickenings : tuple of Thickening
    voids : tuple of Void
    """

    edge: FloatArray | OutlineFile | CodedOutline
    openings: tuple[FloatArray | OutlineFile, ...]
    thickness: float
    least_thickness: float
    base_high: float | None = None
    base_low: float | None = None
    side_names: tuple[str, ...] = ()
    thickenings: tuple[Thickening, ...] = ()
    voids: tuple[Void, ...] = ()


def read_slab_design(job: Table) -> SlabDesign:
    """
    Read the [slab] table of a job, and each [[thickening]] and [[void]].

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table = job.read_table("slab")
    edge = _read_edge(job, table)
    n_sides = None if isinstance(edge, OutlineFile | CodedOutline) else len(edge)
    thickness = table.read_length("thickness")
    return SlabDesign(
        edge,
        _read_openings(table),
        thickness,
        _read_least_thickness(table, thickness),
        base_high=table.find_length("base_high", or_zero=True),
        base_low=table.find_length("base_low", or_zero=True),
        side_names=_read_side_names(table, n_sides),
        thickenings=tuple(
            read_thickening(part, n_sides=n_sides) for part in job.read_tables("thickening")
        ),
        voids=tuple(read_void(part) for part in job.read_tables("void")),
    )


def _read_edge(job: Table, table: Table) -> FloatArray | OutlineFile | CodedOutline:
    value = table.require("edge", "List its corners in order: [[e, n], ...]")
    if not isinstance(value, Mapping) or "file" in value:
        return read_outline(table, value, table.called("edge"))
    coded = table.read_part("edge", kind="coded edge")
    coded.require("codes", "Say which descriptions are the edge's corners, in the file's order")
    return CodedOutline(read_shots_beside(coded, job.read_table("base")))


def _read_openings(table: Table) -> tuple[FloatArray | OutlineFile, ...]:
    value = table.values.get("openings", [])
    called = table.called("openings")
    if isinstance(value, str | dict):  # a lone one needs no list
        return (read_opening(table, value, called),)
    remedy = "Write a list of rings, [[[e, n], ...], ...], of files, or of { center, diameter }"
    if not isinstance(value, list):
        raise table.wrong(called, value, "a list of openings", remedy)
    if any(isinstance(ring, list) and ring and not isinstance(ring[0], list) for ring in value):
        raise table.error(
            f"{called} is one list of corners, but it must be a list of rings", remedy
        )
    return tuple(
        read_opening(table, opening, f"slab.opening {number}")
        for number, opening in enumerate(value, start=1)
    )


def _read_least_thickness(table: Table, thickness: float) -> float:
    least = table.find_length("least_thickness")
    if least is None:
        if thickness <= SAMPLE_TOLERANCE:
            raise table.error(
                f"{table.called('thickness')} is {thickness * 1000:.3g} mm: 3/4 in less, which "
                "least_thickness is when left out, leaves nothing",
                'Write it with its unit, such as "6 in", or state slab.least_thickness',
            )
        return thickness - SAMPLE_TOLERANCE
    if least > thickness:
        raise table.error(
            f"{table.called('least_thickness')} ({table.values['least_thickness']}) is more than "
            f"{table.called('thickness')} ({table.values['thickness']})",
            "It is the thickness below which concrete is a thin spot",
        )
    return least


def _read_side_names(table: Table, n_sides: int | None) -> tuple[str, ...]:
    names = table.read_texts("sides")
    if names and n_sides is not None and len(names) != n_sides:
        raise table.error(
            f"{table.called('sides')} has {len(names)} names, but slab.edge has {n_sides} sides",
            "Name each side, in the order of the corners: side 1 runs from corner 1 to corner 2",
        )
    return names
