"""Is what a check tells as sure as it says? Families of floors, checked from their files.

    python docs/studies/families.py [floors of each] [seed] [of which worked on]

prints the tables of ``docs/studies/families.md``. Truths are numpy's own; the program is given a
job file and shots booked to 0.01 ft, and all its defaults.
"""

import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from family_bases import FAMILIES, INCH, Floor, invent_floor

import gradevol
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import join_rings

FOOT, YARD = 0.3048, 0.9144**3
THICKNESS, LEAST, TOP = 0.5, 5.25 * INCH, 100.5
#: One standard deviation, as the program takes it where a job does not say: of a shot (booking
#: included), of the setup, of the rod's foot, of the finished top; ft.
SHOT, DATUM, FOOT_DOWN, FINISH = (each / 1000 / FOOT for each in (2.0, 0.9, 1.2, 1.8))
BOOKED = 0.01
#: Cells of the truth.
CELLS = 40_000


@dataclass
class Told:
    """What was told of a floor and what is so: m, m² and m³."""

    family: str
    area: float
    true: float
    result: Result
    without_shared: float  # the true volume over a base that is off as its shots are
    thickness: FloatArray
    after: tuple[float, ...] | None = None  # told, true, reshot, and with its edge; before; left
    halves: tuple[float, float, float, bool] | None = None  # before, told, came; held after


class Site:
    """A floor on a site: shots may be taken, and the base worked on."""

    def __init__(self, rng: np.random.Generator, floor: Floor, folder: Path) -> None:
        self.rng, self.floor, self.folder = rng, floor, folder
        self.off = rng.normal(0, DATUM) + rng.normal(0, FOOT_DOWN)
        self.finish = rng.normal(0, FINISH)
        self.plan, self.level = floor.plan, self.shoot(floor.plan)
        self.cells, self.cell = _spread_cells(floor.outline)

    def shoot(self, plan: FloatArray, graded: "Graded | None" = None) -> FloatArray:
        """Elevations read at places, booked."""
        base = self.floor.base(*plan.T) if graded is None else graded.level(plan)
        noise = np.sqrt(SHOT**2 - BOOKED**2 / 12) * self.rng.standard_normal(len(plan))
        read: FloatArray = np.round(TOP - THICKNESS + base + self.off + noise, 2)
        return read

    def check(self, plan: FloatArray, level: FloatArray) -> Result:
        """Check the floor with these shots."""
        lines = [
            f"{n},{e:.3f},{m:.3f},{z:.2f}"
            for n, ((e, m), z) in enumerate(zip(plan, level, strict=True), 1)
        ]
        (self.folder / "shots.csv").write_text(
            "\n".join(["point,easting,northing,elevation", *lines]), encoding="utf-8"
        )
        job = self.folder / "job.toml"
        job.write_text(
            f'units = "ft"\n[base]\nshots = "shots.csv"\nallow_gaps = true\n[slab]\n'
            f"edge = {np.round(self.floor.corners, 4).tolist()}\n"
            'thickness = "6 in"\nleast_thickness = "5 1/4 in"\n'
            f'base_high = "1/4 in"\nbase_low = "1/2 in"\n[top]\nlevel = {TOP}\n'
            f'{self.floor.tables}[order]\ntruck = "10 yd3"\n',
            encoding="utf-8",
        )
        return gradevol.check_job(gradevol.read_job(job))

    def fill(self, base: FloatArray, off: float, result: Result) -> float:
        """Concrete over a base at the cells with the finished top off by so much, m³."""
        thick = np.maximum(THICKNESS + off - base, 0)
        return self.cell * float(thick.sum()) * FOOT**3 + sum(v for _, v in result.concrete.parts)


@dataclass
class Graded:
    """
    A base once the places of the fix list are shaved to the level that reads as the design.

    Where a place ends at the outermost shots it is shaved on to the form, if what lies between the
    shots is given.
    """

    floor: Floor
    places: shapely.Geometry
    off: float
    between: shapely.Geometry | None = None

    def level(self, plan: FloatArray) -> FloatArray:
        """The base's departure there then."""
        base = self.floor.base(*plan.T)
        places = shapely.points(plan)
        if self.between is not None:
            places = shapely.get_point(shapely.shortest_line(self.between, places), 0)
        is_done = shapely.dwithin(self.places, places, 1e-3)
        return np.where(is_done, np.minimum(base, -self.off), base)


def _spread_cells(outline: shapely.Polygon) -> tuple[FloatArray, float]:
    """Middles of equal cells of an outline, and the area of one, ft²."""
    east, north, right, up = outline.bounds
    side = np.sqrt(outline.area / CELLS)
    counts = [int(np.ceil(length / side)) for length in (right - east, up - north)]
    middles = [(np.arange(count) + 0.5) / count for count in counts]
    cells = np.stack(np.meshgrid(*middles), -1).reshape(-1, 2) * [right - east, up - north]
    cells = cells[shapely.contains_xy(outline, *cells.T)]
    return cells, outline.area / len(cells)


def run_floor(rng: np.random.Generator, family: str, folder: Path, *, is_worked: bool) -> Told:
    """Invent a floor, check it, and compare; if asked, work on it and shoot what is asked for."""
    site = Site(rng, invent_floor(rng, family), folder)
    result = site.check(site.plan, site.level)
    base = site.floor.base(*site.cells.T)
    told = Told(
        family,
        site.floor.outline.area * FOOT**2,
        site.fill(base, site.finish, result),
        result,
        site.fill(base, -site.off, result),
        THICKNESS + site.finish - base,
    )
    if is_worked:
        told.after = _work(site, result, told.without_shared)
        told.halves = _shoot_next(site, result, told.true)
    return told


def _work(site: Site, result: Result, before: float) -> tuple[float, ...] | None:
    """Shave the places of the list; told, true, reshot at the old shots, and at the edge too."""
    stage = result.outcome.all
    fixes = [] if stage is None else [f for f in result.work.fixes if f.rank in stage.lines]
    if stage is None or not fixes or any(fix.is_fill for fix in fixes):
        return None
    origin = result.survey.origin[:2]
    places = shapely.transform(
        shapely.union_all([join_rings(fix.rings) for fix in fixes]), lambda m: (m + origin) / FOOT
    )
    between = shapely.MultiPoint(site.plan).convex_hull
    short, graded = (Graded(site.floor, places, site.off, to) for to in (None, between))
    is_in = shapely.dwithin(places, shapely.points(site.plan), 1e-3)
    again = np.where(is_in, np.minimum(site.level, TOP - THICKNESS), site.level)
    edge = []
    for part in shapely.get_parts(places):
        count = max(4, int(part.exterior.length / (0.6 * site.floor.step)))
        along = (np.arange(count) + 0.5) / count
        edge.append(shapely.get_coordinates(part.exterior.interpolate(along, normalized=True)))
    rim = np.round(np.vstack(edge), 2)
    rim = rim[shapely.contains_xy(site.floor.outline.buffer(-0.2), *rim.T)]
    reshot = site.check(site.plan, again).concrete.volume
    plan, level = np.vstack([site.plan, rim]), np.append(again, site.shoot(rim, graded))
    with_edge = site.check(plan, level).concrete.volume
    true, left = (site.fill(each.level(site.cells), -site.off, result) for each in (graded, short))
    return stage.volume, true, reshot, with_edge, before, left


def _shoot_next(site: Site, result: Result, true: float) -> tuple[float, float, float, bool] | None:
    """Take the shots that are asked for the volume: half of the width before, told, and come."""
    asked = result.next_shots.volume if result.next_shots else ()
    if not asked:
        return None
    places = (np.array([shot.at for shot in asked]) + result.survey.origin[:2]) / FOOT
    more = site.check(np.vstack([site.plan, places]), np.append(site.level, site.shoot(places)))
    before = (result.interval.high - result.interval.low) / 2
    after = more.interval
    told = before - sum(shot.gain for shot in asked)
    return before, told, (after.high - after.low) / 2, after.low <= true <= after.high


def tell_volume(name: str, some: list[Told]) -> str:
    """Shares held, widths, errors, and orders that were short."""
    of = [told.result.interval for told in some]
    held = [i.low <= t.true <= i.high for i, t in zip(of, some, strict=True)]
    alone = [i.without_shared or (0.0, 0.0) for i in of]
    own = [a[0] <= t.without_shared <= a[1] for a, t in zip(alone, some, strict=True)]
    area = np.array([t.area for t in some]) / 1000
    half = np.array([(a[1] - a[0]) / 2 for a in alone]) / area
    off = np.array([i.stated - t.without_shared for i, t in zip(of, some, strict=True)]) / area
    orders = [t.result.delivery.order for t in some if t.result.delivery.order]
    said = [order.choice.chance_short or 0.0 for order in orders]
    short = [t.true > order.choice.volume for t, order in zip(some, orders, strict=True)]
    rms = np.sqrt(np.mean(off**2))
    return (
        f"| {name} | {len(some)} | {_share(held)} | {_share(own)} | {half.mean():.1f} | {rms:.1f} "
        f"| {off.mean():+.1f} | {100 * np.mean(said):.1f} | {100 * np.mean(short):.1f} |"
    )


def tell_thin(name: str, some: list[Told]) -> str:
    """Thin area, the chance of a thin core, the least thickness, and shots accused."""
    found = [(t, t.result.hidden) for t in some]
    true = np.array([t.area * np.mean(t.thickness < LEAST) for t in some])
    expected = [h.area if h else np.nan for _, h in found]
    held = [
        h is not None and h.area_low - t.area / 400 <= area <= h.area_high + t.area / 400
        for (t, h), area in zip(found, true.tolist(), strict=True)
    ]
    seen = sum(t.result.thin.area for t in some)
    least = [(t.thickness.min() - t.result.thickness.min / FOOT) / INCH for t in some]
    accused = [len(t.result.suspects) for t in some]
    shots = sum(t.result.used for t in some)
    return (
        f"| {name} | {seen:.0f} | {np.nansum(expected):.0f} | {true.sum():.0f} | {_share(held)} "
        f"| {np.mean(least):+.2f} | {_share([a > 0 for a in accused])} "
        f"| {1000 * sum(accused) / shots:.1f} |"
    )


def _share(held: list[bool]) -> str:
    return f"{100 * np.mean(held):.0f}"


def tell_after(made: list[Told]) -> None:
    """Print what came of the work and of the shots asked for."""
    after = np.array([t.after for t in made if t.after])
    print(
        "\n| after the work | n | mean off, % | rms, % | least, % | most, % |\n"
        + "| --- " * 6
        + "|"
    )
    for name, at, true in (
        ("told", 0, 1),
        ("reshot at the old shots", 2, 1),
        ("and around the edge", 3, 1),
        ("told, strip left", 0, 5),
        ("reshot, strip left", 2, 5),
    ):
        off = 100 * (after[:, at] - after[:, true]) / after[:, 4]
        rms = np.sqrt(np.mean(off**2))
        print(
            f"| {name} | {len(off)} | {off.mean():+.2f} | {rms:.2f} | {off.min():+.1f} "
            f"| {off.max():+.1f} |"
        )
    halves = np.array([t.halves for t in made if t.halves]) / [YARD, YARD, YARD, 1]
    before, told, came, held = halves.mean(axis=0)
    print(
        f"\nnext shots: {len(halves)} floors, half of the width {before:.3f} yd³, told {told:.3f}, "
        f"came {came:.3f}; held after {100 * held:.0f} %"
    )


def main(count: int, seed: int, worked: int) -> None:
    """Print the tables."""
    start = time.process_time()
    made: list[Told] = []
    with tempfile.TemporaryDirectory() as folder:
        for number, family in enumerate(FAMILIES):
            for floor in range(count):
                rng = np.random.default_rng([seed, number, floor])
                made.append(run_floor(rng, family, Path(folder), is_worked=floor < worked))
    classes = [(name, [t for t in made if t.family == name]) for name in FAMILIES] + [("all", made)]
    print(
        "| floor | n | held | shots and gaps alone | half width, mm | rms off, mm "
        "| mean off, mm | short told, % | short, % |"
    )
    print("| --- " * 9 + "|", *(tell_volume(*each) for each in classes), sep="\n")
    print(
        "\n| floor | seen, m² | expected, m² | true, m² | held | least off, in "
        "| accused, % | per 1,000 shots |"
    )
    print("| --- " * 8 + "|", *(tell_thin(*each) for each in classes), sep="\n")
    tell_after(made)
    print(f"\n{len(made)} floors in {time.process_time() - start:.0f} s")


if __name__ == "__main__":
    main(*(int(each) for each in (*sys.argv[1:], *("10", "7", "4")[len(sys.argv) - 1 :])))
