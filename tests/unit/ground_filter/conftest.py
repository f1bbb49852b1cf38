"""An invented scan of a base with things that stand on it."""

from dataclasses import dataclass

import numpy as np

WIDE, LONG = 12.0, 16.0


SLOPE = 0.03


NOISE = 0.004


@dataclass(frozen=True)
class Scene:
    """Points (n, 3), m, and what each is of: ``base`` or a name of clutter."""

    points: np.ndarray
    kind: np.ndarray

    def is_of(self, kind):
        return self.kind == kind


def level_of_base(east, north):
    """Elevation of the invented base, m: 3 % of slope, a ridge, a trench with upright sides."""
    z = 20 + SLOPE * east
    # 60 mm high and 1.5 m wide, all the way across
    off = np.abs(north - 5.0 - 0.2 * east)
    z = z + 0.06 * np.where(off < 0.75, np.cos(np.pi * off / 1.5) ** 2, 0.0)
    return z - 0.15 * is_in_trench(east, north)


def is_in_trench(east, north):
    """400 mm wide, 6 m long, askew to the squares."""
    along = (east - 3) * np.cos(0.3) + (north - 11) * np.sin(0.3)
    across = -(east - 3) * np.sin(0.3) + (north - 11) * np.cos(0.3)
    return (np.abs(across) < 0.2) & (along > 0) & (along < 6)


def make_scene(per_square_metre=2500, *, seed=1, off=(0.0, 0.0, 0.0), noise=NOISE):
    """Scan it: base, people, forms, stakes, reinforcing, low strays; shadows under what hides."""
    random = np.random.default_rng(seed)
    count = int(per_square_metre * WIDE * LONG)
    east, north = random.uniform(0, WIDE, count), random.uniform(0, LONG, count)
    z = level_of_base(east, north)
    kind = np.full(count, "base", dtype="U12")

    def cover(is_hidden, height, name):
        z[is_hidden] = level_of_base(east[is_hidden], north[is_hidden]) + height
        kind[is_hidden] = name

    # forms: boards 38 mm wide and 100 mm high along the edge, half a metre in
    inset = np.minimum.reduce([east, WIDE - east, north, LONG - north])
    cover((inset > 0.5) & (inset < 0.538), 0.10, "form")
    # reinforcing over the north half: bars of 12 mm each 300 mm, 75 mm up on chairs
    is_bar = ((east % 0.3 < 0.012) | (north % 0.3 < 0.012)) & (north > 9) & (inset > 0.7)
    cover(is_bar & (kind == "base"), 0.075, "bar")
    more = []
    for east_0, north_0 in ((2.0, 2.5), (7.5, 6.0), (8.1, 6.2), (5.0, 13.0)):  # two side by side
        is_hidden = np.hypot(east - east_0, north - north_0) < 0.25
        kind[is_hidden] = "hidden"
        turn = random.uniform(0, 2 * np.pi, int(per_square_metre * 0.5 * np.pi * 1.7 / 2))
        side = [east_0 + 0.25 * np.cos(turn), north_0 + 0.25 * np.sin(turn)]
        up = random.uniform(0.0, 1.7, len(turn))
        more.append((*side, level_of_base(*side) + up, "person"))
    for step in np.arange(1.0, WIDE, 1.5):  # stakes of 50 mm, 400 mm above the base
        is_hidden = (np.abs(east - step) < 0.025) & (np.abs(north - 0.42) < 0.025)
        kind[is_hidden] = "hidden"
        side = [step + random.uniform(-0.025, 0.025, 60), 0.42 + np.full(60, 0.025)]
        more.append((*side, level_of_base(*side) + random.uniform(0, 0.4, 60), "stake"))
    n_low = count // 1000
    low = [random.uniform(0, WIDE, n_low), random.uniform(0, LONG, n_low)]
    more.append((*low, level_of_base(*low) - random.uniform(0.1, 0.5, n_low), "low"))

    seen = kind != "hidden"
    columns = [[east[seen], north[seen], z[seen]]] + [[e, n, up] for e, n, up, _ in more]
    points = np.concatenate([np.column_stack(each) for each in columns])
    points[:, 2] += random.normal(0, noise, len(points))
    names = [kind[seen]] + [np.full(len(e), name, dtype="U12") for e, _, _, name in more]
    order = random.permutation(len(points))
    return Scene((points + np.asarray(off))[order], np.concatenate(names)[order])


FAR = (500_000.25, 4_000_000.75, 100.0)
