"""Wavefront OBJ: corners and faces, nothing else of it.

OBJ and PLY are read by hand, not by trimesh: of a file that was cut short trimesh takes what is
there, and it moves faces of OBJ whose corners are counted backwards. In a picture that is a
blemish, in a volume it is yards. The tests hold the readers against it on whole files.
"""

import re

import numpy as np

from gradevol.files.drawings.polygons import Polygons
from gradevol.files.sniff import File, say_damaged

_POWER = re.compile(r"[-+]?\d*\.?(\d*)[eE]([-+]?\d+)")


def parse_obj(file: File) -> Polygons:
    """
    Parse the lines ``v`` and ``f``; corners may be counted backwards.

    Raises
    ------
    InputError
        If such a line cannot be read, with its number.

    Notes
    -----
    OBJ declares no counts: one that was cut short between two lines can't be told from a whole one.
    """
    lines = file.read().decode("utf-8", "replace").splitlines()
    points: list[list[float]] = []
    corners: list[int] = []
    sizes: list[int] = []
    steps: tuple[set[float], set[float], set[float]] = (set(), set(), set())
    held = ""
    for line, text in enumerate(lines, start=1):
        if text.endswith("\\"):
            held += text[:-1] + " "
            continue
        keyword, *words = (held + text).split("#")[0].split() or [""]
        held = ""
        try:
            if keyword == "v":
                e, n, z = map(float, words[:3])
                points.append([e, n, z])
                if "e" in text or "E" in text:
                    for seen, word in zip(steps, words, strict=False):
                        seen.update(_find_step(word))
            elif keyword == "f":
                named = [int(word.split("/")[0]) for word in words]
                if 0 in named or len(named) < 3:
                    raise ValueError("corners are counted from 1, and it takes three")
                if max(map(abs, named)) > len(lines):
                    raise ValueError("the file has no such corner")
                corners += [index - 1 if index > 0 else len(points) + index for index in named]
                sizes.append(len(named))
        except ValueError as error:
            raise say_damaged(
                f"no {'corner' if keyword == 'v' else 'face'} in {text.strip()[:60]!r} ({error})",
                file.path,
                line=line,
            ) from error
    return Polygons(
        np.array(points, float).reshape(-1, 3),
        np.array(corners, np.intp),
        np.array(sizes, np.intp),
        # what rounds to six digits never writes a finer one; what writes few by chance does
        (min(steps[0], default=0.0), min(steps[1], default=0.0), min(steps[2], default=0.0)),
    )


def _find_step(word: str) -> set[float]:
    """Worth of the last digit of a large number with a power of ten: 10 for ``2.01235e+06``."""
    match = _POWER.fullmatch(word)
    if match is None or int(match[2]) < 3:
        return set()
    return {10.0 ** (min(int(match[2]), 300) - len(match[1]))}
