"""Shots, (n, 3): easting, northing, elevation, written the many ways in which they come."""

import json
import struct

import laspy
import numpy as np
import rasterio  # type: ignore[import-untyped]
from ezdxf.filemanagement import new
from rasterio.transform import Affine  # type: ignore[import-untyped]


def write_text(path, shots, *, delimiter, decimal, encoding, newline):
    rows = [["point", "easting", "northing", "elevation", "code"]]
    rows += [[str(i), *(f"{x:.3f}".replace(".", decimal) for x in shot), "BASE"]
             for i, shot in enumerate(shots)]  # fmt: skip
    text = newline.join(delimiter.join(row) for row in rows) + newline
    path.write_bytes(text.encode(encoding))


def write_landxml(path, shots):
    points = "".join(
        f'<CgPoint name="{i}" code="BASE">{n:.3f} {e:.3f} {z:.3f}</CgPoint>'
        for i, (e, n, z) in enumerate(shots)
    )
    path.write_text(
        '<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" '
        'date="2026-01-01" time="00:00:00" version="1.2"><Units><Metric linearUnit="meter" '
        'areaUnit="squareMeter" volumeUnit="cubicMeter" temperatureUnit="celsius" '
        f'pressureUnit="HPA"/></Units><CgPoints>{points}</CgPoints></LandXML>'
    )


def write_dxf(path, shots):
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    for shot in shots:
        drawing.modelspace().add_point(shot, dxfattribs={"layer": "BASE"})
    drawing.saveas(path)


def write_geojson(path, shots):
    features = [
        {
            "type": "Feature",
            "properties": {"id": str(i), "code": "BASE"},
            "geometry": {"type": "Point", "coordinates": list(shot)},
        }
        for i, shot in enumerate(shots.tolist())
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def write_columns(path, shots, order, *, mark=",", decimal=".", ids=True):
    """Rows without a header, in the order of `order`; ``-`` is a cell that means nothing."""
    rows = []
    for i, (e, n, z) in enumerate(shots):
        cells = {"P": f"P{i}" if ids else str(i), "D": "BASE", "-": "0.5"}
        cells |= {
            k: f"{v:.3f}".replace(".", decimal) for k, v in zip("ENZ", (e, n, z), strict=True)
        }
        rows.append(mark.join(cells[letter] for letter in order))
    path.write_text("\n".join(rows) + "\n")


def write_las(path, shots):
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, np.floor(shots[0])
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = shots.T
    cloud.classification = np.full(len(shots), 2)
    cloud.write(path)


def write_ply(path, shots, faces=()):
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(shots)}\n"
    head += "".join(f"property double {axis}\n" for axis in "xyz")
    if len(faces):
        head += f"element face {len(faces)}\nproperty list uchar int vertex_indices\n"
    rows = b"".join(struct.pack("<B3i", 3, *face) for face in faces)
    path.write_bytes(f"{head}end_header\n".encode() + shots.astype("<f8").tobytes() + rows)


def write_tin(path, shots, faces):
    points = "".join(
        f'<P id="{i}">{n:.3f} {e:.3f} {z:.3f}</P>' for i, (e, n, z) in enumerate(shots)
    )
    named = "".join(f"<F>{a} {b} {c}</F>" for a, b, c in faces)
    path.write_text(
        '<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" '
        'version="1.2"><Units><Metric linearUnit="meter"/></Units><Surfaces><Surface name="base">'
        f'<Definition surfType="TIN"><Pnts>{points}</Pnts><Faces>{named}</Faces></Definition>'
        "</Surface></Surfaces></LandXML>"
    )


def write_rods(path, shots, heights):
    rows = ["point,setup,easting,northing,rod"]
    for i, (e, n, z) in enumerate(shots):
        name = "AB"[i % 2]
        rows.append(f"{i},{name},{e:.3f},{n:.3f},{heights[name] - z:.3f}")
    path.write_text("\n".join(rows) + "\n")


def write_depths(path, shots, top):
    rows = [f"{i},{e:.3f},{n:.3f},{top - z:.3f}" for i, (e, n, z) in enumerate(shots)]
    path.write_text("\n".join(["point,easting,northing,depth", *rows]) + "\n")


def write_sheet(path, rows, columns, cells):
    lines = ["," + ",".join(columns)]
    lines += [
        f"{label}," + ",".join(f"{cell:.3f}" for cell in row)
        for label, row in zip(rows, cells, strict=True)
    ]
    path.write_text("\n".join(lines) + "\n")


def write_grid(path, shots, rows, columns, step):
    """Shots of a lattice, south to north, as the pixels of a grid in double precision."""
    levels = shots[:, 2].reshape(rows, columns)[::-1]
    west, north = shots[:, 0].min(), shots[:, 1].max()
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        height=rows,
        width=columns,
        count=1,
        dtype="float64",
        compress="lzw",
        predictor=3,
        transform=Affine(step, 0, west - step / 2, 0, -step, north + step / 2),
    ) as raster:
        raster.write(levels[None])
