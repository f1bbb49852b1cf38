"""What is damaged: one invented base in every format, the samples and starters, files of others."""

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import trimesh
from ezdxf.filemanagement import new

from docs.studies.fuzz_roads import Road, check, level, pour, reconcile
from gradevol.job import read_job
from gradevol.job.inputs import find_inputs
from gradevol.out.starter import WAYS, write_starter
from tests.shot_files import (
    write_columns,
    write_depths,
    write_dxf,
    write_geojson,
    write_grid,
    write_landxml,
    write_las,
    write_ply,
    write_rods,
    write_sheet,
    write_text,
    write_tin,
)
from tests.workbooks import Sheet, write_workbook

ROOT = Path(__file__).parents[2]
SLAB = "[slab]\nedge = [[0, 0], [9, 0], [9, 7], [0, 7]]\nthickness = 0.15\n"
TOP = "[top]\nlevel = 100\n"
CLOUD = "cell = 0\nground = false"
FACTORS = "job,date,factor,sigma\nkiln,2026-01-05,1.03,0.01\nmill,2026-02-11,1.05,0.012\n"


@dataclass(frozen=True, slots=True)
class Case:
    """
    A file to damage.

    Attributes
    ----------
    name : str
        The table's.
    folder : str
        Where the good files lie, in the folder of all.
    target : str
        The one that is damaged.
    road : callable or None
        What reads it; None: it is described only.
    is_weighed : bool
        Whether a volume that moves is held against the good file's: not where every number is as
        good as another, as a thickness in a job.
    weight : int
        How often it comes: what is slow comes seldom.
    """

    name: str
    folder: str
    target: str
    road: Road | None
    is_weighed: bool = True
    weight: int = 4

    @property
    def group(self) -> str:
        """The row of the table that it belongs to."""
        return self.name.partition(":")[0]


def find_cases(folder: Path) -> list[Case]:
    """Write all good files into a folder, alike each time, and list them."""
    # documented so, and not exported by name
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]
    return [
        *_write_formats(folder / "formats"),
        *_write_parts(folder),
        *_take_samples(folder),
        *_write_starters(folder),
        *_take_others(folder / "others"),
    ]


def _lay(folder: Path, name: str, source: str, slab: str = SLAB, top: str = TOP) -> str:
    """Write the job of a file that lies in a folder of all into one of its own; its name."""
    own = folder.with_name(name)
    own.mkdir()
    (folder / name).rename(own / name)
    (own / "job.toml").write_text(f'units = "m"\n[base]\n{source}\n{slab}{top}')
    return name


def _shape_base(columns: int = 8, rows: int = 6, step: float = 1.6) -> tuple[Any, Any]:
    """Shots of a lattice (n, 3) that reaches out beyond the slab, and its faces (f, 3)."""
    lattice = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), -1)
    plan = step * lattice.reshape(-1, 2) - (1.1, 0.5)
    wave = 0.01 * np.sin(plan[:, 0]) + 0.008 * np.cos(1.3 * plan[:, 1])
    shots = np.round(np.column_stack([plan, 99.85 + wave]), 3)
    index = np.arange(rows * columns).reshape(rows, columns)
    one, two = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
    three, four = index[1:, 1:].ravel(), index[1:, :-1].ravel()
    return shots, np.concatenate([np.stack([one, two, three], 1), np.stack([one, three, four], 1)])


def _write_formats(folder: Path) -> Iterator[Case]:
    folder.mkdir(parents=True)
    shots, _ = _shape_base()
    plain = {"encoding": "utf-8", "newline": "\n"}
    write_text(folder / "comma.csv", shots, delimiter=",", decimal=".", **plain)
    write_text(folder / "semicolon.csv", shots, delimiter=";", decimal=",", **plain)
    write_text(
        folder / "tab.txt", shots, delimiter="\t", decimal=".", encoding="utf-16", newline="\r\n"
    )
    write_columns(folder / "pnezd.txt", shots, "PNEZD")
    write_columns(folder / "blanks.txt", shots, "PENZD", mark=" ")
    rows = [[at, *shot] for at, shot in enumerate(shots.round(3).tolist(), start=1)]
    head = ["point", "easting", "northing", "elevation"]
    (folder / "shots.xlsx").write_bytes(write_workbook(Sheet([head, *rows])))
    write_landxml(folder / "points.xml", shots)
    write_dxf(folder / "points.dxf", shots)
    write_geojson(folder / "points.geojson", shots)
    texts = [
        *("comma.csv", "semicolon.csv", "tab.txt", "pnezd.txt"),
        *("shots.xlsx", "points.xml", "points.dxf", "points.geojson"),
    ]
    named = {name: f'shots = "{name}"' for name in texts}
    named["blanks.txt"] = 'shots = "blanks.txt"\ncolumns = "PENZD"'
    # of a surface or a cloud one corner is less of the whole
    dense, faces = _shape_base(14, 11, 0.8)
    write_las(folder / "cloud.las", dense)
    write_las(folder / "cloud.laz", dense)
    write_ply(folder / "cloud.ply", dense)
    write_columns(folder / "cloud.xyz", dense, "ENZ", mark=" ")
    clouds = ("cloud.las", "cloud.laz", "cloud.ply", "cloud.xyz")
    named |= {name: f'cloud = "{name}"\n{CLOUD}' for name in clouds}
    write_ply(folder / "faces.ply", dense, faces)
    write_tin(folder / "faces.xml", dense, faces)
    write_grid(folder / "grid.tif", dense, 11, 14, 0.8)
    _write_faces(folder / "faces.dxf", dense, faces)
    mesh = trimesh.Trimesh(dense, faces, process=False)
    for name in ("faces.obj", "faces.stl", "text.stl"):
        mesh.export(folder / name, file_type="stl_ascii" if name == "text.stl" else None)
    surfaces = ("ply", "xml", "dxf", "obj", "stl")
    named |= {
        name: f'surface_file = "{name}"'
        for name in ("grid.tif", "text.stl", *(f"faces.{end}" for end in surfaces))
    }
    write_rods(folder / "rods.csv", shots, {"A": 101.5, "B": 101.732})
    named["rods.csv"] = (
        'shots = "rods.csv"\n[base.setups]\nA = { height = 101.5 }\nB = { height = 101.732 }'
    )
    inside = (shots[:, :2] >= 0).all(axis=1) & (shots[:, :2] <= (9, 7)).all(axis=1)
    write_depths(folder / "depths.csv", shots[inside], 100.0)
    named["depths.csv"] = 'depths = "depths.csv"'
    labels = [f"{1.6 * at:.1f}" for at in range(8)]
    write_sheet(folder / "sheet.csv", labels[:6], labels, (101.5 - shots[:, 2]).reshape(6, 8))
    named["sheet.csv"] = 'rods = "sheet.csv"\ninstrument_height = 101.5\norigin = [-1.1, -0.5]'
    for name, source in named.items():
        yield Case(name, _lay(folder, name, source), name, check)
    yield Case("job.toml", "comma.csv", "job.toml", check, is_weighed=False)


def _write_faces(path: Path, shots: Any, faces: Any) -> None:
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    for face in faces:
        drawing.modelspace().add_3dface([*shots[face], shots[face[-1]]])
    drawing.saveas(path)


def _write_parts(folder: Path) -> Iterator[Case]:
    """Write what a job reads beside its base: outlines, tops, rechecks, control, level notes."""
    shots, _ = _shape_base()
    parts = folder / "parts"
    parts.mkdir()
    write_columns(parts / "shots.csv", shots, "PENZD")
    (parts / "edge.csv").write_text("easting,northing\n0,0\n9,0\n9,7\n0,7\n")
    ring = [[0, 0], [9, 0], [9, 7], [0, 7], [0, 0]]
    (parts / "edge.geojson").write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}))
    drawing = new("R2010")
    drawing.header["$INSUNITS"] = 6
    drawing.modelspace().add_lwpolyline([(0, 0), (9, 0, 0, 0, 0.1), (9, 7), (0, 7)], close=True)
    drawing.saveas(parts / "edge.dxf")
    top = shots[::3] + np.array([0, 0, 0.15])
    write_columns(parts / "top.csv", top, "PENZD")
    write_columns(parts / "rechecks.csv", shots[18:22] - [0, 0, 0.02], "PENZD")
    source = 'shots = "shots.csv"\ncolumns = "PENZD"'
    slabs = {
        name: SLAB.replace("[[0, 0], [9, 0], [9, 7], [0, 7]]", f'"{name}"')
        for name in ("edge.csv", "edge.geojson", "edge.dxf")
    }
    jobs = {name: f"[base]\n{source}\n{slab}{TOP}" for name, slab in slabs.items()}
    jobs["top.csv"] = f'[base]\n{source}\n{SLAB}[top]\nshots = "top.csv"\ncolumns = "PENZD"\n'
    again = 'rechecks = { shots = "rechecks.csv", columns = "PENZD", radius = 1.0 }'
    jobs["rechecks.csv"] = f"[base]\n{source}\n{again}\n{SLAB}{TOP}"
    for name, job in jobs.items():
        own = folder / name
        own.mkdir()
        shutil.copy(parts / "shots.csv", own)
        shutil.copy(parts / name, own)
        (own / "job.toml").write_text(f'units = "m"\n{job}')
        yield Case(name, name, name, check, is_weighed=not name.startswith("edge"))
    shutil.copytree(ROOT / "sample_surveys/level_notes", folder / "levels")
    yield Case("level notes", "levels", "page.csv", level, is_weighed=False)
    _write_pour(folder / "pour")
    yield Case("tickets", "pour", "tickets.csv", pour)
    yield Case("learned", "pour", "factors.csv", pour, is_weighed=False, weight=1)
    for name in ("tickets.csv", "cores.csv", "top_shots.csv"):
        # what a finished top or a core says moves no ticket
        yield Case(f"{name} after", "pour", name, reconcile, is_weighed=False, weight=2)


def _write_pour(folder: Path) -> None:
    """Write the pour of the apron, on a plane and without its thickened edges: soon cut."""
    shutil.copytree(ROOT / "sample_surveys/apron", folder)
    job = (folder / "job_pour.toml").read_text()
    for part, instead in {
        r"rechecks = .*?\n": "",
        r"\[\[thickening\]\].*(?=\[\[void)": "",
        r"\[top\].*?\n\]\n": '[top]\nthrough = [0, 0, 99.5]\nfall = "1.12 %"\nbearing = 243\n',
        r"\[order\]": '[order]\nlearned = "factors.csv"',
    }.items():
        job, count = re.subn(part, instead, job, flags=re.DOTALL)
        assert count == 1
    (folder / "job.toml").write_text(job)
    (folder / "factors.csv").write_text(FACTORS)


def _take_samples(folder: Path) -> Iterator[Case]:
    """Take the sample jobs, and each file that they name."""
    for path in sorted((ROOT / "sample_surveys").glob("*/job.toml")):
        name = path.parent.name
        yield from _take_job(folder, name, path, "samples")


def _write_starters(folder: Path) -> Iterator[Case]:
    """Write the starters: among them are feet and inches, depths by tape, curves."""
    made = folder / "made"
    for units in ("feet", "metres"):
        for way in WAYS:
            name = f"{way} {units}"
            path = write_starter(made / name, units, way)
            yield from _take_job(folder, name, path, "starters")


def _take_job(folder: Path, name: str, path: Path, group: str) -> Iterator[Case]:
    shutil.copytree(path.parent, folder / name)
    path = folder / name / "job.toml"
    path.write_text(re.sub(r'cell = "3 in"', 'cell = "9 in"', path.read_text()))  # soon reckoned
    for source in sorted(find_inputs(read_job(path))):
        is_job = source.name == "job.toml"
        yield Case(
            f"{group}: {name} {source.name}",
            name,
            source.name,
            check,
            is_weighed=not is_job and source.name != "edge.csv",
            weight=1,
        )


def _take_others(folder: Path) -> Iterator[Case]:
    """Take the files of others: they are described."""
    shutil.copytree(ROOT / "tests/data", folder, ignore=shutil.ignore_patterns("*.md", "licences"))
    for path in sorted(folder.iterdir()):
        yield Case(f"of others: {path.name}", folder.name, path.name, None, weight=2)
