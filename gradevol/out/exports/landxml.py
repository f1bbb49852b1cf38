"""LandXML 1.2: surfaces and shots, for drawing programs and machine control.

References
----------
LandXML-1.2.xsd (2008-07-29): P and CgPoint are "northing easting elevation", F names three points
by their id; Units is required to name five units, of which only the linear one is used here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TextIO
from xml.sax.saxutils import quoteattr

import numpy as np

from gradevol.answer.rounding import LENGTH
from gradevol.answer.surfaces.meshes import Mesh
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import printable
from gradevol.version import __version__

_IMPERIAL = (
    'areaUnit="squareFoot" volumeUnit="cubicYard" temperatureUnit="fahrenheit" pressureUnit="inHG"'
)
_UNITS = {
    "m": (
        '<Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter" '
        'temperatureUnit="celsius" pressureUnit="milliBars"/>'
    ),
    "ft": f'<Imperial linearUnit="foot" {_IMPERIAL}/>',
    "us-ft": f'<Imperial linearUnit="USSurveyFoot" {_IMPERIAL}/>',
}
_PLACE = " ".join([f"%.{LENGTH}f"] * 3)


@dataclass(frozen=True, slots=True)
class NamedSurface:
    """A surface, its name, and what it is in words."""

    name: str
    words: str
    mesh: Mesh


@dataclass(frozen=True, slots=True)
class NamedShots:
    """Shots (n, 3) in the file's unit, their ids, and their descriptions or none."""

    points: FloatArray
    ids: Sequence[str]
    codes: Sequence[str] = ()


def write_landxml(
    path: Path,
    surfaces: Sequence[NamedSurface],
    shots: NamedShots,
    *,
    unit: str,
    title: str,
    made: datetime,
) -> None:
    """
    Write surfaces, and shots as points.

    Parameters
    ----------
    path : Path
    surfaces : sequence of NamedSurface
    shots : NamedShots
        May be empty.
    unit : str
        ``m``, ``ft`` or ``us-ft``.
    title : str
    made : datetime
        The schema wants a date and a time.
    """
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write(
            '<?xml version="1.0" encoding="UTF-8"?>\n'
            '<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2" '
            f'date="{made:%Y-%m-%d}" time="{made:%H:%M:%S}">\n'
            f"<Units>{_UNITS[unit]}</Units>\n"
            f"<Project name={_quote(title or 'Base check')}/>\n"
            f'<Application name="gradevol" version="{__version__}"/>\n'
        )
        _write_shots(file, shots)
        file.write("<Surfaces>\n")
        for surface in surfaces:
            named = f"name={_quote(surface.name)} desc={_quote(surface.words)}"
            file.write(f'<Surface {named}>\n<Definition surfType="TIN">\n<Pnts>\n')
            file.writelines(_lines_of_points(surface.mesh))
            file.write("</Pnts>\n<Faces>\n")
            file.writelines(
                f"<F>{one} {two} {three}</F>\n"
                for one, two, three in (surface.mesh.triangles + 1).tolist()
            )
            file.write("</Faces>\n</Definition>\n</Surface>\n")
        file.write("</Surfaces>\n</LandXML>\n")


def _lines_of_points(mesh: Mesh) -> Iterator[str]:
    line = f'<P id="%d">{_PLACE}</P>\n'
    for number, (east, north, level) in enumerate(mesh.points.tolist(), start=1):
        yield line % (number, north, east, level)


def _write_shots(file: TextIO, shots: NamedShots) -> None:
    if not len(shots.ids):
        return
    codes = shots.codes or [""] * len(shots.ids)
    file.write("<CgPoints>\n")
    for name, code, (east, north, level) in zip(
        shots.ids, codes, np.asarray(shots.points).tolist(), strict=True
    ):
        said: Mapping[str, str] = {"name": name, **({"code": code} if code else {})}
        attributes = " ".join(f"{key}={_quote(value)}" for key, value in said.items())
        file.write(f"<CgPoint {attributes}>{_PLACE % (north, east, level)}</CgPoint>\n")
    file.write("</CgPoints>\n")


def _quote(text: str) -> str:
    """An attribute; characters that XML 1.0 has no way to write become spaces."""
    return quoteattr(printable(text))
