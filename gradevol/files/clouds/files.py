"""The files of a cloud: opened by what they are, and chosen by where they say that they lie."""

from pathlib import Path

import numpy as np

from gradevol.files.clouds.chunks import Bounds, CloudFile, find_common, meets
from gradevol.files.clouds.las_points import open_las
from gradevol.files.clouds.ply import open_ply_cloud
from gradevol.files.clouds.stored import FINE, Steps
from gradevol.files.clouds.text import ENDINGS, open_text_cloud
from gradevol.files.sniff import open_file
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES


def open_cloud_file(path: Path, cloud: Cloud) -> CloudFile:
    """
    Open a file of a cloud by what it is; text goes by its name too.

    Raises
    ------
    InputError
        If it is none of these, or can't be used.
    """
    file = open_file(path, most=0)
    if file.kind == "PLY":
        opened: CloudFile = open_ply_cloud(file, cloud.unit)
    elif file.kind != "LAS" and path.suffix.lower() in ENDINGS:
        opened = open_text_cloud(file, cloud)
    else:
        opened = open_las(path, cloud.unit, ignores_unit=cloud.ignores_unit)
    if cloud.classes and not opened.has_classes:
        raise InputError(
            "its points carry no classes, but base.classes asks for some",
            remedy="Leave base.classes out, or give the cloud as LAS or LAZ",
            path=path,
        )
    if cloud.columns and opened.has_classes:
        raise InputError(
            "base.columns is for clouds of text, and this one says itself where its numbers are",
            remedy="Leave base.columns out",
            path=path,
        )
    return opened


def open_cloud_files(cloud: Cloud) -> tuple[list[CloudFile], list[Path]]:
    """
    Open the files of a cloud, and list those that hold no points, as some tiles do.

    Raises
    ------
    InputError
        If one can't be used, or none holds points.
    """
    opened, empty = [], []
    for path in cloud.paths:
        try:
            opened.append(open_cloud_file(path, cloud))
        except InputError as error:
            if error.code != "no-points":
                raise
            empty.append((path, error))
    if not opened:
        raise empty[0][1]
    return opened, [path for path, _ in empty]


def find_steps(files: list[CloudFile]) -> Steps:
    """Steps that the coordinates of all files are whole numbers of, else fine ones."""
    steps = [file.steps for file in files]
    first = steps[0]
    if first is None:
        return FINE
    for other in steps[1:]:
        if other is None or any(other.shift_to(first, axis) is None for axis in range(3)):
            return FINE
    return first


def find_extent(files: list[CloudFile], bounds: Bounds | None) -> Bounds | None:
    """Where the points that are read lie, m, as their files declare; None where one doesn't."""
    ends = [file.extent for file in files if file.extent is not None]
    if len(ends) < len(files):
        return bounds
    if bounds is not None:
        ends = [find_common(extent, bounds) for extent in ends]
    low, high = np.array(ends)[:, :2].min(axis=0), np.array(ends)[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def choose_near(files: list[CloudFile], bounds: Bounds | None, unit: str) -> list[CloudFile]:
    """
    Choose the files whose declared ends meet the bounds; those that declare none are chosen too.

    Raises
    ------
    InputError
        If none is left.
    """
    if bounds is None:
        return files
    near = [file for file in files if file.extent is None or meets(file.extent, bounds)]
    if not near:
        # all declare their ends, or they would be near
        raise explain_far(files, find_extent(files, None) or bounds, bounds, unit)
    return near


def explain_far(files: list[CloudFile], extent: Bounds, bounds: Bounds, unit: str) -> InputError:
    """Make the error for a cloud of which no point is near the slab; in the unit of the base."""

    def say(ends: Bounds) -> str:
        west, south, east, north = (end / METRES[unit] for end in ends)
        return f"E {west:.2f} to {east:.2f}, N {south:.2f} to {north:.2f}"

    remedy = "Check that both are in one coordinate system and unit"
    west, south, east, north = extent
    if meets((south, west, north, east), bounds):
        remedy = "Northing and easting look swapped: check the cloud's columns"
    for other, metres in METRES.items():
        by = metres / METRES[unit]
        if other != unit and meets((west * by, south * by, east * by, north * by), bounds):
            remedy = f"It would fit in {other}, but was read in {unit}: check base.units"
            break
    return InputError(
        f"the survey does not meet the slab: its points lie within {say(extent)}, the slab with "
        f"the margin around it within {say(bounds)} ({unit})",
        remedy=remedy,
        path=files[0].path if len(files) == 1 else None,
    )
