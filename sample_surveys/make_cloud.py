"""Make cloud_pad/base.laz: the base of a pad as a scanner might have seen it.

All of it is invented: no such pad, scan or place exists. The pad is 8 m by 12 m, its south-west
corner at E 500, N 800; its design top passes through [500, 800, 20.30] and falls 1.5 % to the east,
150 mm thick. The base lies where it should but for a ridge of up to 45 mm, a corner 30 mm low, and
a scanner's noise of 3 mm. A few points are off the base: noise below and above it, and withheld
ones as of a boot. Run it again and the same file comes out, byte for byte, with the same versions
of numpy, laspy and lazrs.

    python sample_surveys/make_cloud.py [FILE]
"""

import sys
from datetime import date
from pathlib import Path
from uuid import UUID

import laspy
import numpy as np
from numpy.typing import NDArray

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

    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, [WEST, SOUTH, 20.0]
    header.creation_date, header.uuid = date(2026, 6, 15), UUID(int=0)
    header.system_identifier, header.generating_software = "INVENTED", "make_cloud.py"
    cloud = laspy.LasData(header)
    cloud.x = np.concatenate([east, stray_east])
    cloud.y = np.concatenate([north, stray_north])
    cloud.z = np.concatenate([z, stray_z])
    cloud.classification = np.concatenate(
        [classes, np.repeat([7, 18, 1], [n_low, n_high, n_withheld])]
    ).astype(np.uint8)
    cloud.withheld = np.arange(len(cloud.points)) >= len(cloud.points) - n_withheld
    cloud.return_number[:] = 1
    cloud.number_of_returns[:] = 1
    cloud.write(path, laz_backend=laspy.LazBackend.Lazrs)
    return len(cloud.points)


if __name__ == "__main__":
    where = Path(__file__).parent / "cloud_pad" / "base.laz"
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else where
    count = make_cloud(target)
    print(f"{target}: {count:,} points of a base that is invented, all of it")
