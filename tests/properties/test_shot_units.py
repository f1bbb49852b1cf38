"""The same shots make the same concrete in whatever unit and notation they are written."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tests.conftest import examples
from tests.properties.test_formats import EDGE, make_shots
from tests.read_files import measure_job

EIGHTH = Fraction(254, 80_000)  # of an inch, m
#: Eighths of an inch in a unit.
EIGHTHS = {
    "m": 1 / EIGHTH,
    "mm": 1 / EIGHTH / 1000,
    "in": Fraction(8),
    "ft": Fraction(96),
    "us-ft": Fraction(1200, 3937) / EIGHTH,
}


def write_lengths(path, shots, show):
    rows = [f"{i}\t" + "\t".join(show(int(x)) for x in shot) for i, shot in enumerate(shots)]
    path.write_text("\n".join(["point\teasting\tnorthing\televation", *rows]) + "\n")


def show_feet(eighths):
    feet, rest = divmod(eighths, 96)
    return f"{feet}' {rest // 8} {rest % 8}/8\""


def show_dashes(eighths):
    feet, rest = divmod(eighths, 96)
    return f"{feet}-{rest // 8}-{rest % 8}/8"


@pytest.mark.parametrize("origin", [(100, 200, 10), (2_012_300, 651_200, 6201)])
@examples(3)
@given(seed=st.integers(0, 2**31))
def test_the_same_shots_in_every_unit_make_the_same_concrete(tmp_path_factory, origin, seed):
    folder = tmp_path_factory.mktemp("units")
    eighths = np.round(make_shots(seed, np.array(origin) * 0.3048) / float(EIGHTH)).astype(int)
    edge = [[float(Fraction(o) + Fraction(x) * 3) for o, x in zip(origin, c, strict=False)]
            for c in EDGE]  # fmt: skip
    named = {}
    for unit, count in EIGHTHS.items():
        write_lengths(
            folder / f"{unit}.txt", eighths, lambda x, count=count: repr(float(x / count))
        )
        named[unit] = f'shots = "{unit}.txt"\nunits = "{unit}"'
    for name, show in (("marks", show_feet), ("dashes", show_dashes)):
        write_lengths(folder / f"{name}.txt", eighths, show)
        named[name] = f'shots = "{name}.txt"'
    volumes = {}
    for name, source in named.items():
        (folder / "job.toml").write_text(
            f'units = "ft"\n[base]\n{source}\n[slab]\nedge = {edge}\nthickness = "6 in"\n'
            f"[top]\nlevel = {origin[2] + 0.8}\n"
        )
        volumes[name], _ = measure_job(folder / "job.toml")
    assert volumes["ft"] > 1
    for name, volume in volumes.items():
        assert_allclose(volume, volumes["ft"], rtol=1e-9, err_msg=name)
