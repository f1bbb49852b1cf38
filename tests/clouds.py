"""Invented clouds as LAS and LAZ, and how they are read."""

import struct

import laspy
import numpy as np
import pytest
from laspy.vlrs.vlr import VLR

from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError

N = 400
#: A system of coordinates as text, and one in feet.
CRS = '"NAD83", GEOGCS["NAD83",DATUM["x",SPHEROID["y",6378137,298.2]],UNIT["degree",0.01745]]'
FT_WKT = f'PROJCS[{CRS},PROJECTION["T"],UNIT["US survey foot",0.304800609601219]]'


def points_of(n=N, seed=1):
    """Points of an invented slope near E 500, N 800, in whole millimetres."""
    east, north = np.random.default_rng(seed).uniform(0, 6, (2, n))
    z = 20 + 0.02 * east - 0.01 * north
    return np.round(np.column_stack([500 + east, 800 + north, z]), 3)


def write(path, points=None, *, kind=6, version="1.4", classes=None, withheld=None, records=()):
    """Write a cloud; offsets are whole numbers so that millimetres are stored exactly."""
    points = points_of() if points is None else points
    header = laspy.LasHeader(point_format=kind, version=version)
    header.scales, header.offsets = [0.001] * 3, np.floor(points.min(axis=0))
    for number, content in records:
        header.vlrs.append(VLR("LASF_Projection", number, "", content))
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = points.T
    cloud.classification = np.full(len(points), 2) if classes is None else classes
    if withheld is not None:
        cloud.withheld = withheld
    cloud.write(path)
    return path


def read(*paths, unit="m", **rest):
    return read_cloud(Cloud(paths, unit, **rest))


def absolute(survey):
    return survey.points + survey.origin


def refused(path, match, **rest):
    with pytest.raises(InputError, match=match) as caught:
        read(path, **rest)
    assert path.name in str(caught.value)
    assert str(caught.value).endswith(".")


def patch(path, at, form, *values):
    content = bytearray(path.read_bytes())
    struct.pack_into(form, content, at, *values)
    path.write_bytes(content)
    return path


def keys(*rows):
    """Content of a GeoTIFF directory of keys with short values."""
    shorts = [1, 1, 0, len(rows), *(part for key, value in rows for part in (key, 0, 1, value))]
    return (34735, struct.pack(f"<{len(shorts)}H", *shorts))


def text(wkt):
    return (2112, wkt.encode() + b"\0")
