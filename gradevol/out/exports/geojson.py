"""GeoJSON: outlines with what is known of them.

References
----------
RFC 7946: rings are closed, outer ones counter-clockwise, holes clockwise (3.1.6); members that it
does not know are allowed (6.1); coordinates are longitude and latitude unless those involved have
agreed on another system (4).
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from gradevol.ground.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Feature:
    """
    An area and what is known of it.

    Attributes
    ----------
    polygons : sequence of sequence of (n, 2) arrays of float
        Of each, the outer ring counter-clockwise and its holes clockwise; not closed.
    properties : dict
        Plain data.
    """

    polygons: Sequence[Sequence[FloatArray]]
    properties: dict[str, Any]


def compose_geojson(features: Iterable[Feature], *, unit: str, title: str, remark: str = "") -> str:
    """
    Write areas as a FeatureCollection, one feature a line.

    Parameters
    ----------
    features : iterable of Feature
    unit : str
        Of the coordinates and lengths.
    title : str
    remark : str
        A further sentence for the note.

    Returns
    -------
    str
        The collection has a member ``note`` that says which coordinates these are.
    """
    note = (
        f"Coordinates are easting and northing of the job's own grid in {unit}, not longitude and "
        "latitude: give this file the job's coordinate system when you open it. Whoever takes it "
        "must have agreed to that (RFC 7946, section 4)."
    )
    head = {"type": "FeatureCollection", "title": title, "note": f"{note} {remark}".strip()}
    lines = ",\n".join(_dump(_feature(feature)) for feature in features)
    return f'{_dump(head)[:-1]}, "features": [\n{lines}\n]}}\n'


def _feature(feature: Feature) -> dict[str, Any]:
    areas = [[_close(ring) for ring in rings] for rings in feature.polygons]
    one = len(areas) == 1
    shape = {
        "type": "Polygon" if one else "MultiPolygon",
        "coordinates": areas[0] if one else areas,
    }
    return {"type": "Feature", "geometry": shape, "properties": feature.properties}


def _close(ring: FloatArray) -> list[list[float]]:
    places: list[list[float]] = ring.tolist()
    return [*places, places[0]]


def _dump(value: Any) -> str:
    return json.dumps(value, allow_nan=False)
