"""Other invented slabs, each with something that a picture can get wrong."""

from pathlib import Path

import laspy
import numpy as np

from gradevol.answer.result import Result
from gradevol.job import read_job
from gradevol.runs.check import check_job

from .apron import check


def _job(title: str, units: str, tables: str, source: str = 'shots = "shots.csv"') -> str:
    return f'title = "{title} (invented)"\nunits = "{units}"\n[base]\n{source}\n{tables}'


def _listed(points: np.ndarray) -> str:
    return str(np.round(points, 4).tolist())


def _named(points: np.ndarray, first: int = 1, letter: str = ""):
    return [(f"{letter}{first + row}", *point) for row, point in enumerate(points.tolist())]


def pad(folder: Path) -> Result:
    """Check a pad of 6 by 4 m with twelve shots, in metres."""
    rng = np.random.default_rng(12)
    east, north = np.meshgrid([0.4, 2.1, 3.9, 5.6], [0.3, 2.0, 3.7])
    level = 9.85 + rng.normal(0, 0.009, east.size)
    level[6] += 0.022
    job = _job(
        "Shed pad",
        "m",
        """
        [slab]
        edge = [[0, 0], [6, 0], [6, 4], [0, 4]]
        thickness = 0.15
        least_thickness = 0.135
        base_high = 0.01
        base_low = 0.015
        [top]
        level = 10.0
        """,
    )
    return check(folder, job, _named(np.column_stack([east.ravel(), north.ravel(), level]), 100))


def turned_l(folder: Path) -> Result:
    """Check an L turned by 30 degrees, with a round opening and a suspect shot."""
    turn = np.radians(30)
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    away = np.array([3000.0, 6000.0])
    rng = np.random.default_rng(5)
    corners = np.array([(0.0, 0), (46, 0), (46, 20), (20, 20), (20, 36), (0, 36)]) @ rotation + away
    columns, rows = np.arange(2, 46, 5.25), np.arange(1.6, 36, 4.9)
    places = np.array([(e, n) for e in columns for n in rows if e < 20.4 or n < 20.4])
    level = 97.8 + 0.01 * places[:, 0] + rng.normal(0, 0.013, len(places))
    level[17] += 0.1
    hole = np.array([10.0, 10.5]) @ rotation + away
    sleeve = np.array([(1.6, 28.0), (18, 29.5)]) @ rotation + away
    job = _job(
        "L-shaped floor, turned",
        "ft",
        f"""
        [slab]
        edge = {_listed(corners)}
        openings = [{{ center = {_listed(hole)}, diameter = 6 }}]
        thickness = "5 in"
        least_thickness = "4 1/4 in"
        base_high = "1/4 in"
        sides = ["house wall", "fence", "garden", "garden", "gate", "existing walk"]
        [top]
        through = [{away[0]}, {away[1]}, 98.25]
        fall = 0.01
        bearing = 240
        [[void]]
name = "conduit"
        length = 16.5
        diameter = "2 in"
        line = {_listed(sleeve)}
        """,
    )
    shots = np.column_stack([places @ rotation + away, level])
    return check(folder, job, _named(shots, letter="B"))


def strip(folder: Path) -> Result:
    """Check a walk of 3 by 40 m, in millimetres."""
    rng = np.random.default_rng(3)
    places = [(along, off) for along in np.arange(1.0, 39.5, 2.0) for off in (0.3, 1.5, 2.7)]
    plan = np.array(places)
    level = 4.0 + 0.01 * plan[:, 0] + rng.normal(0, 0.005, len(plan))
    level[31] += 0.02
    job = _job(
        "Walk along the hall",
        "mm",
        """
        [slab]
        edge = [[0, 0], [40000, 0], [40000, 3000], [0, 3000]]
        thickness = 100
        least_thickness = 90
        base_high = 10
        base_low = 10
        [top]
        through = [0, 0, 4100]
        fall = 0.01
        bearing = 270
        """,
        source='shots = "shots.csv"\nunits = "m"',
    )
    return check(folder, job, _named(np.column_stack([plan, level])))


def reworked(folder: Path) -> Result:
    """Check a yard whose top holds water, and part of which was shot again after it was shaved."""
    rng = np.random.default_rng(8)
    east, north = np.meshgrid(np.arange(1.0, 12, 2.0), np.arange(1.0, 9, 2.0))
    level = 4.9 + rng.normal(0, 0.006, east.size)
    level[8:10] += 0.05
    later = [(5.2, 3.1, 4.903), (7.1, 3.4, 4.898), (6.0, 2.2, 4.901)]
    lines = [f"R{row + 1},{e},{n},{z}" for row, (e, n, z) in enumerate(later)]
    (folder / "later.csv").write_text("\n".join(["P,E,N,Z", *lines]) + "\n")
    corners = [(0, 0, 5.09), (12, 0, 5.06), (12, 8, 5.1), (0, 8, 5.14), (8.5, 5.5, 5.04)]
    lines = [f"T{row + 1},{e},{n},{z}" for row, (e, n, z) in enumerate(corners)]
    (folder / "top.csv").write_text("\n".join(["P,E,N,Z", *lines]) + "\n")
    job = _job(
        "Yard, reworked",
        "m",
        """
        [slab]
        edge = [[0, 0], [12, 0], [12, 8], [0, 8]]
        thickness = 0.15
        least_thickness = 0.135
        base_high = 0.01
        base_low = 0.015
        [top]
        shots = "top.csv"
        least_fall = 0.008
        """,
        source='shots = "shots.csv"\nrechecks = { shots = "later.csv", radius = 1.5 }',
    )
    shots = np.column_stack([east.ravel(), north.ravel(), level])
    return check(folder, job, _named(shots, letter="S"))


def cloud(folder: Path, count: int = 20_000) -> Result:
    """Check a dense base of `count` scanned points on 66 by 98 ft."""
    rng = np.random.default_rng(20)
    plan = rng.uniform((0, 0), (20, 30), (count, 2))
    level = (
        0.35
        + 0.012 * np.sin(plan[:, 0] / 2.1) * np.cos(plan[:, 1] / 3.3)
        + 0.02 * np.exp(-((plan - [14, 9]) ** 2).sum(axis=1) / 6)
        + rng.normal(0, 0.002, count)
    )
    header = laspy.LasHeader(point_format=0, version="1.2")
    header.scales = np.full(3, 0.0001)
    scan = laspy.LasData(header)
    scan.x, scan.y, scan.z = plan[:, 0], plan[:, 1], level
    scan.write(folder / "scan.las")
    (folder / "job.toml").write_text(
        _job(
            "Warehouse bay 2",
            "ft",
            """
            [slab]
            edge = [["1 m", "1 m"], ["19 m", "1 m"], ["19 m", "29 m"], ["1 m", "29 m"]]
            thickness = "150 mm"
            least_thickness = "130 mm"
            base_high = "10 mm"
            base_low = "12.5 mm"
            [top]
            level = "0.5 m"
            """,
            source='cloud = "scan.las"\ncell = 0\nunits = "m"',
        )
    )
    return check_job(read_job(folder / "job.toml"))
