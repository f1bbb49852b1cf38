"""Compare a picture with a kept one."""

from pathlib import Path

import numpy as np
from PIL import Image


def read_shrunk(path: Path, shrink: int) -> np.ndarray:
    """Pixels of a picture made smaller: hair's breadths of a line's edge are averaged out."""
    with Image.open(path) as picture:
        return np.asarray(picture.convert("RGB").reduce(shrink), dtype=int)


def assert_looks_like(
    picture: Path, golden: Path, *, worst: int = 100, mean: float = 0.6, shrink: int = 2
) -> None:
    """
    Fail if any channel differs by `worst` or all by `mean`, of 255, at a part of the size.

    The difference, ten times as strong, is left beside the picture, and the failure says where
    both are.
    """
    assert golden.exists(), f"no picture is kept as {golden}: see tests/golden/README.md"
    seen, wanted = read_shrunk(picture, shrink), read_shrunk(golden, shrink)
    if seen.shape != wanted.shape:
        raise AssertionError(f"{picture} is {seen.shape}, {golden} {wanted.shape}: look at both")
    apart = np.abs(seen - wanted)
    if apart.max() >= worst or apart.mean() >= mean:
        shown = picture.with_stem(f"{picture.stem}-difference")
        Image.fromarray(np.clip(10 * apart, 0, 255).astype(np.uint8)).save(shown)
        raise AssertionError(
            f"worst {apart.max()}, mean {apart.mean():.2f} of 255: look at {shown}, between "
            f"{picture} and {golden}; tests/golden/README.md says how to keep the new one"
        )


def keep(picture: Path, golden: Path) -> None:
    """Keep a picture, in few colours so that it stays small."""
    with Image.open(picture) as drawn:
        few = drawn.convert("RGB").quantize(64, dither=Image.Dither.NONE)
        golden.parent.mkdir(exist_ok=True)
        few.save(golden, optimize=True)
