"""Make cloud_pad/base.laz, site_scan/scan.laz and the starters' scans: bases as a scanner saw them.

All of it is invented: no such pads, scans or places exist.

The pad of cloud_pad is 8 m by 12 m, its south-west corner at E 500, N 800; its design top passes
through [500, 800, 20.30] and falls 1.5 % to the east, 150 mm thick. The base lies where it should
but for a ridge of up to 45 mm, a corner 30 mm low, and a scanner's noise of 3 mm. A few points are
off the base: noise below and above it, and withheld ones as of a boot.

The scan of site_scan is not classified: a shop floor of 24 ft by 30 ft, in feet, with what stands
on a site: two people, forms along the edge, stakes, bars over one half, low strays. Its south-west
corner is at E 2000, N 5000; its design top is level at 101.00 ft, 6 in thick. The scan stands
0.02 ft too low.

The starters' scans are of the base that the starters' shots show, out to the forms, and stand an
eighth of an inch or 3 mm too low.

Run it again and the same files come out, byte for byte, with the same versions of numpy, laspy and
lazrs.

    python sample_surveys/make_cloud.py [PAD_FILE [SITE_FILE [FEET_FILE [METRES_FILE]]]]
"""

import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from uuid import UUID

import laspy
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator

SEED = 20_260
WEST, SOUTH, WIDE, LONG = 500.0, 800.0, 8.0, 12.0
AROUND = 0.5  # how far the scan reaches beyond the pad, m
SPACING = 0.075  # about 20,000 points
NOISE = 0.003
TOP, FALL, THICKNESS = 20.30, 0.015, 0.150
RIDGE_HEIGHT, RIDGE_WIDTH = 0.045, 0.30
CORNER_DEPTH, CORNER_RADIUS = 0.030, 1.5


def measure_base(east: NDArray[np.float64], north: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the elevation of the invented base, m, without noise."""
    design = TOP - FALL * (east - WEST) - THICKNESS
    # a ridge a little askew, highest at its middle and run out at its ends
    along = (north - (SOUTH + 6.0)) / 4.0
    across = (east - (WEST + 3.0 + 0.1 * (north - SOUTH))) / RIDGE_WIDTH
    ridge = RIDGE_HEIGHT * np.exp(-0.5 * across**2) * np.clip(1 - along**2, 0, None)
    from_corner = np.hypot(east - (WEST + WIDE), north - (SOUTH + LONG)) / CORNER_RADIUS
    return design + ridge - CORNER_DEPTH * np.exp(-(from_corner**2))


def lay_out(points: NDArray[np.float64], offsets: list[float]) -> laspy.LasData:
    """Lay out points, (n, 3), as a cloud of single returns."""
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, offsets
    header.creation_date, header.uuid = date(2026, 6, 15), UUID(int=0)
    header.system_identifier, header.generating_software = "INVENTED", "make_cloud.py"
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = points.T
    cloud.return_number[:] = 1
    cloud.number_of_returns[:] = 1
    return cloud


def write_cloud(cloud: laspy.LasData, path: Path) -> int:
    """Write a cloud to a file, packed, and return how many points it has."""
    cloud.write(path, laz_backend=laspy.LazBackend.Lazrs)
    return len(cloud.points)


def make_cloud(path: Path) -> int:
    """Write the cloud to a file, and return how many points it has."""
    random = np.random.default_rng(SEED)
    steps = [
        np.arange(low - AROUND, low + length + AROUND, SPACING) + SPACING / 2
        for low, length in ((WEST, WIDE), (SOUTH, LONG))
    ]
    east, north = (axis.ravel() for axis in np.meshgrid(*steps))
    east = east + random.uniform(-0.4, 0.4, len(east)) * SPACING
    north = north + random.uniform(-0.4, 0.4, len(north)) * SPACING
    z = measure_base(east, north) + random.normal(0, NOISE, len(east))
    classes = np.where(random.random(len(east)) < 0.97, 2, 1)

    # off the base: low noise, high noise, and withheld points in one place
    n_low, n_high, n_withheld = 15, 10, 24
    strays = n_low + n_high + n_withheld
    stray_east = random.uniform(WEST, WEST + WIDE, strays)
    stray_north = random.uniform(SOUTH, SOUTH + LONG, strays)
    stray_east[-n_withheld:] = WEST + 6.2 + random.uniform(0, 0.12, n_withheld)
    stray_north[-n_withheld:] = SOUTH + 3.4 + random.uniform(0, 0.30, n_withheld)
    off = np.repeat([-0.4, 1.2, 0.15], [n_low, n_high, n_withheld]) * random.uniform(0.7, 1, strays)
    stray_z = measure_base(stray_east, stray_north) + off

    base = np.column_stack([east, north, z])
    points = np.concatenate([base, np.column_stack([stray_east, stray_north, stray_z])])
    cloud = lay_out(points, [WEST, SOUTH, 20.0])
    cloud.classification = np.concatenate(
        [classes, np.repeat([7, 18, 1], [n_low, n_high, n_withheld])]
    ).astype(np.uint8)
    cloud.withheld = np.arange(len(cloud.points)) >= len(cloud.points) - n_withheld
    return write_cloud(cloud, path)


# The shop floor, in feet
SITE_WEST, SITE_SOUTH, SITE_WIDE, SITE_LONG = 2000.0, 5000.0, 24.0, 30.0
SITE_BASE, SITE_LOW = 100.5, 0.02
SITE_SPACING = 0.125  # about 64 points a square foot, 690 a square metre
FOOT = 0.3048


def measure_site(east: NDArray[np.float64], north: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the elevation of the shop floor's base, ft, without noise."""
    off = (north - SITE_SOUTH - 20.0 + 0.3 * (east - SITE_WEST)) / 2.5
    ridge = 0.09 * np.cos(np.pi / 2 * np.clip(off, -1, 1)) ** 2  # 5 ft wide, right across
    hollow = np.hypot(east - SITE_WEST - 19, north - SITE_SOUTH - 5) / 4.0
    return SITE_BASE + ridge - 0.11 * np.exp(-(hollow**2)) + 0.004 * np.sin(2.1 * east + north)


def make_site(path: Path) -> int:
    """Write the scan of the shop floor, and return how many points it has."""
    random = np.random.default_rng(SEED + 1)
    steps = [
        np.arange(low - 2.0, low + length + 2.0, SITE_SPACING)
        for low, length in ((SITE_WEST, SITE_WIDE), (SITE_SOUTH, SITE_LONG))
    ]
    east, north = (axis.ravel() for axis in np.meshgrid(*steps))
    east = east + random.uniform(-0.5, 0.5, len(east)) * SITE_SPACING
    north = north + random.uniform(-0.5, 0.5, len(north)) * SITE_SPACING
    z = measure_site(east, north)
    inset = np.minimum.reduce(
        [
            *(east - SITE_WEST, SITE_WEST + SITE_WIDE - east),
            *(north - SITE_SOUTH, SITE_SOUTH + SITE_LONG - north),
        ]
    )
    z[(inset < 0) & (inset > -0.125)] = SITE_BASE + 0.5  # forms, their tops at the design's
    is_bar = (((east - SITE_WEST) % 1.0 < 0.042) | ((north - SITE_SOUTH) % 1.0 < 0.042)) & (
        (inset > 0.25) & (north > SITE_SOUTH + 18)
    )
    z[is_bar] += 0.25

    seen = np.ones(len(z), bool)
    more = []
    for at in ((2006.5, 5008.0), (2017.0, 5012.5)):  # people
        seen &= np.hypot(east - at[0], north - at[1]) > 0.8
        turn = random.uniform(0, 2 * np.pi, 1500)
        more.append((at[0] + 0.8 * np.cos(turn), at[1] + 0.8 * np.sin(turn), 0.0, 5.6))
    for along in np.arange(2.0, SITE_LONG, 4.0):  # stakes
        side = random.uniform(-0.08, 0.08, 40)
        more.append((np.full(40, SITE_WEST - 0.21), SITE_SOUTH + along + side, 0.0, 1.2))
    n_low = 70
    more.append(
        (
            random.uniform(SITE_WEST, SITE_WEST + SITE_WIDE, n_low),
            random.uniform(SITE_SOUTH, SITE_SOUTH + SITE_LONG, n_low),
            *(-1.5, -0.3),
        )
    )
    columns = [np.column_stack([east[seen], north[seen], z[seen]])]
    for e, n, low, high in more:
        up = random.uniform(low, high, len(e))
        columns.append(np.column_stack([e, n, measure_site(e, n) + up]))
    points = np.concatenate(columns)
    points[:, 2] += random.normal(0, NOISE / FOOT, len(points)) - SITE_LOW

    return write_cloud(lay_out(points, [SITE_WEST, SITE_SOUTH, 100.0]), path)


FALLS = 96.0  # the starters' tops fall 1 in this, or nearly
STARTERS = Path(__file__).parents[1] / "gradevol" / "out" / "starter"


def make_starter(units: str, spacing: float, low: float, path: Path) -> int:
    """Write the scan of a starter's base, as its shots show it, and return how many points."""
    random = np.random.default_rng(SEED + 2)
    shots = np.loadtxt(STARTERS / units / "shots" / "shots.csv", delimiter=",", skiprows=2)[:, 1:]
    inner, outer = shots[:, :2].min(axis=0), shots[:, :2].max(axis=0)
    around = 100 * low  # the scan reaches beyond the shots, out to the forms
    places = np.stack(np.meshgrid(*map(np.arange, inner - around, outer + around, [spacing] * 2)))
    places = places.reshape(2, -1).T
    places = places + random.uniform(0, 0.8, places.shape) * spacing
    inside = np.clip(places, inner, outer)
    z = LinearNDInterpolator(shots[:, :2], shots[:, 2])(inside) - low
    z += (places[:, 1] - inside[:, 1]) / FALLS + random.normal(0, 0.6 * low, len(z))
    return write_cloud(lay_out(np.column_stack([places, z]), [0.0, 0.0, 100.0]), path)


#: What makes each file, and where it is kept.
FILES: tuple[tuple[Callable[[Path], int], Path], ...] = (
    (make_cloud, Path(__file__).parent / "cloud_pad" / "base.laz"),
    (make_site, Path(__file__).parent / "site_scan" / "scan.laz"),
    (partial(make_starter, "feet", 0.25, 0.010), STARTERS / "feet" / "scan" / "scan.laz"),
    (partial(make_starter, "metres", 0.08, 0.003), STARTERS / "metres" / "scan" / "scan.laz"),
)

if __name__ == "__main__":
    targets = [Path(name) for name in sys.argv[1:]] or [kept for _, kept in FILES]
    for (make, _), target in zip(FILES, targets, strict=False):
        print(f"{target}: {make(target):,} points of a base that is invented, all of it")
