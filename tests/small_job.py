"""An invented pad of 16 by 9 ft, 6 in thick, as the files of a job that runs at once."""

from collections.abc import Mapping
from pathlib import Path

HEADER = "point,easting,northing,elevation\n"


def lattice_shots(scale: float = 1.0) -> str:
    """Shots on a lattice of 4 by 3 ft, 0.48 to 0.50 ft below the top, in feet times `scale`."""
    rows = [
        f"{4 * i + j + 1},{scale * 4 * i:.4f},{scale * 3 * j:.4f},"
        f"{scale * (99.5 + (3 * i + 5 * j) % 4 / 100):.4f}"
        for i in range(5)
        for j in range(4)
    ]
    return HEADER + "\n".join(rows) + "\n"


SHOTS = lattice_shots()
EDGE = "[[0, 0], [16, 0], [16, 9], [0, 9]]"
JOB = f"""title = "Pad (invented)"
units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = {EDGE}
thickness = "6 in"
[top]
level = 100
"""


def write_job(
    folder: Path,
    *,
    job: str | bytes | None = JOB,
    shots: str | bytes | None = SHOTS,
    files: Mapping[str, str | bytes] | None = None,
) -> Path:
    """Write a job, its shots and other files into a folder; None leaves a file out."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in {"job.toml": job, "shots.csv": shots, **(files or {})}.items():
        if text is not None:
            raw = text if isinstance(text, bytes) else text.encode()
            (folder / name).write_bytes(raw)
    return folder / "job.toml"
