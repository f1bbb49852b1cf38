"""Fuzzing: files of every format, damaged in every way, against what a check promises.

    python docs/studies/fuzz.py                 some minutes; prints the table of fuzz.md
    python docs/studies/fuzz.py --minutes 600   as long as you have
    python docs/studies/fuzz.py --keep FOLDER   keeps each file that broke a promise, with its job

Promises: an answer or a refusal in words, no traceback; within 10 s; within 1 GB; a volume that
moved by more than 1 % against the good file's goes with a note that the good file's has not, or a
suspect; and so does a file of which fewer points were used, where no line was taken out of it.
Each mutation runs in a process of its own, forked from one that has loaded everything.
"""

import argparse
import contextlib
import json
import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy loads

import numpy as np

from gradevol.answer.compose import compose_answer
from gradevol.check import check_job
from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import GradevolError
from gradevol.job import read_job
from gradevol.out.outputs import write_outputs
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

SECONDS, MEMORY, MOVED = 10, 1 << 30, 0.01
EDGE = "[[0, 0], [9, 0], [9, 7], [0, 7]]"
CLOUD = "\ncell = 0\nground = false"


def write_formats(folder: Path) -> dict[str, str]:
    """Write one base in every format; what a job says of each, by the file's name."""
    east, north = np.linspace(-0.5, 9.5, 11), np.linspace(-0.5, 7.5, 9)
    plan = np.stack(np.meshgrid(east, north), -1).reshape(-1, 2)
    level = 99.85 + 0.01 * np.sin(plan[:, 0]) + 0.008 * np.cos(1.3 * plan[:, 1])
    shots = np.round(np.column_stack([plan, level]), 3)
    index = np.arange(99).reshape(9, 11)
    one, two, three, four = (
        index[rows, columns].ravel()
        for rows, columns in (
            (slice(0, -1), slice(0, -1)),
            (slice(0, -1), slice(1, None)),
            (slice(1, None), slice(1, None)),
            (slice(1, None), slice(0, -1)),
        )
    )
    faces = np.concatenate([np.stack([one, two, three], 1), np.stack([one, three, four], 1)])
    plain = {"encoding": "utf-8", "newline": "\n"}
    write_text(folder / "comma.csv", shots, delimiter=",", decimal=".", **plain)
    write_text(folder / "semicolon.csv", shots, delimiter=";", decimal=",", **plain)
    write_columns(folder / "pnezd.txt", shots, "PNEZD")
    write_landxml(folder / "points.xml", shots)
    write_dxf(folder / "points.dxf", shots)
    write_geojson(folder / "points.geojson", shots)
    named = {name: f'shots = "{name}"' for name in (file.name for file in folder.iterdir())}
    write_las(folder / "cloud.las", shots)
    write_las(folder / "cloud.laz", shots)
    write_ply(folder / "cloud.ply", shots)
    write_columns(folder / "cloud.xyz", shots, "ENZ", mark=" ")
    clouds = ("cloud.las", "cloud.laz", "cloud.ply", "cloud.xyz")
    named |= {name: f'cloud = "{name}"{CLOUD}' for name in clouds}
    write_ply(folder / "faces.ply", shots, faces)
    write_tin(folder / "faces.xml", shots, faces)
    write_grid(folder / "grid.tif", shots, 9, 11, 1.0)
    named |= {name: f'surface_file = "{name}"' for name in ("faces.ply", "faces.xml", "grid.tif")}
    write_rods(folder / "rods.csv", shots, {"A": 101.5, "B": 101.732})
    named["rods.csv"] = (
        'shots = "rods.csv"\n[base.setups]\nA = { height = 101.5 }\nB = { height = 101.732 }'
    )
    inside = (plan >= 0).all(axis=1) & (plan <= (9, 7)).all(axis=1)
    write_depths(folder / "depths.csv", shots[inside], 100.0)
    named["depths.csv"] = 'depths = "depths.csv"'
    rows, columns = ([f"{place:.1f}" for place in places] for places in (north, east))
    write_sheet(folder / "sheet.csv", rows, columns, (101.5 - shots[:, 2]).reshape(9, 11))
    named["sheet.csv"] = 'rods = "sheet.csv"\ninstrument_height = 101.5'
    return named


def write_apart(folder: Path) -> dict[str, str]:
    """Write the formats in a process of its own: packing LAZ starts threads, which no fork has."""
    child = os.fork()
    if child == 0:
        (folder / "named.json").write_text(json.dumps(write_formats(folder)))
        os._exit(0)
    os.waitpid(child, 0)
    named: dict[str, str] = json.loads((folder / "named.json").read_text())
    return named


def compose_job(source: str) -> bytes:
    """Compose the job of a source."""
    return (
        f'units = "m"\n[base]\n{source}\n[slab]\nedge = {EDGE}\nthickness = 0.15\n'
        "[top]\nlevel = 100\n"
    ).encode()


def flip_bits(raw: bytes, rng: random.Random) -> bytes:
    """Turn one to eight bits."""
    held = bytearray(raw)
    for _ in range(rng.randint(1, 8)):
        held[rng.randrange(len(held))] ^= 1 << rng.randrange(8)
    return bytes(held)


def cut_short(raw: bytes, rng: random.Random) -> bytes:
    """Keep a part from the beginning."""
    return raw[: rng.randrange(len(raw))]


def blank_block(raw: bytes, rng: random.Random) -> bytes:
    """Put noughts, ones or noise over 1 to 200 bytes."""
    at, size = rng.randrange(len(raw)), rng.randint(1, 200)
    block = rng.choice([b"\0" * size, b"\xff" * size, rng.randbytes(size)])
    return raw[:at] + block + raw[at + size :]


def swap_tokens(raw: bytes, rng: random.Random) -> bytes:
    """Put one word or mark in the place of another."""
    words = re.findall(rb"[^\s,;<>\"]+|[,;<>\"]", raw[:200_000])
    return raw.replace(rng.choice(words), rng.choice(words), 1) if words else raw


def spoil_number(raw: bytes, rng: random.Random) -> bytes:
    """Spoil one number: a digit, the point, the sign, the size."""
    found = list(re.finditer(rb"-?\d+(?:[.,]\d+)?", raw[:200_000]))
    if not found:
        return flip_bits(raw, rng)
    at = rng.choice(found)
    number = at[0]
    digit = rng.randrange(len(number))
    made = rng.choice(
        [
            number[:digit] + str(rng.randrange(10)).encode() + number[digit + 1 :],
            number[:digit] + number[digit + 1 :],
            number.replace(b".", b""),
            number.replace(b".", b","),
            b"-" + number,
            number + b"e9",
            rng.choice([b"nan", b"inf", b"", b"1e308", b"-9999", b"9" * 400, b"0", b"4-7"]),
        ]
    )
    return raw[: at.start()] + made + raw[at.end() :]


def recode(raw: bytes, rng: random.Random) -> bytes:
    """Write the text in another encoding, or with other line ends."""
    text = raw.decode("latin-1")
    ways: list[Callable[[], bytes]] = [
        lambda: text.encode("utf-16"),
        lambda: text.encode("utf-16-le"),
        lambda: b"\xef\xbb\xbf" + raw,
        lambda: raw.replace(b"\n", b"\r\n"),
        lambda: raw.replace(b"\n", b"\r"),
        lambda: raw.replace(b".", "．".encode()),
        lambda: raw + b"\x1a",
    ]
    return rng.choice(ways)()


def repeat_line(raw: bytes, rng: random.Random) -> bytes:
    """Write a line twice, or two in each other's place."""
    lines = raw.splitlines(keepends=True)
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    if rng.random() < 0.5:
        lines.insert(other, lines[at])
    else:
        lines[at], lines[other] = lines[other], lines[at]
    return b"".join(lines)


def drop_line(raw: bytes, rng: random.Random) -> bytes:
    """Leave a line out."""
    lines = raw.splitlines(keepends=True)
    del lines[rng.randrange(len(lines))]
    return b"".join(lines)


WAYS = (
    *(flip_bits, cut_short, blank_block, swap_tokens, spoil_number, recode),
    *(repeat_line, drop_line),
)


def run(folder: Path, name: str) -> dict[str, object]:
    """Check and describe: what a colleague would see of it."""
    try:
        job = read_job(folder / "job.toml")
        result = check_job(job)
        answer = compose_answer(result)
        write_outputs(
            answer,
            None,
            folder / "out",
            inputs=(),
            has_pictures=False,
            progress=lambda *_: None,
        )
        plain = answer.plain()
        # what lies beyond the survey is told by how much it is
        said = sorted(
            {
                note["text"] if note["code"] == "beyond-survey" else note["code"]
                for note in plain["notes"]
            }
        )
        told = {
            "kind": "answered",
            "volume": plain["concrete"]["volume"],
            "count": plain["survey"]["count"],
            "said": [*said, *["suspect"] * bool(plain["survey"]["suspect"])],
        }
    except GradevolError as error:
        told = {"kind": "refused", "said": str(error)[:300]}
        if len(str(error)) > 2000 or not str(error).isprintable():
            told = {"kind": "traceback", "said": "long or unprintable words: " + repr(error)[:200]}
    with contextlib.suppress(GradevolError):
        take_inventory(folder / name, unit="m")
    return told


def judge(folder: Path, name: str) -> dict[str, object]:
    """Run in a process of its own with limits."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30))
        signal.alarm(SECONDS)  # its own end where nothing else ends it
        try:
            told = run(folder, name)
        except MemoryError:
            told = {"kind": "memory"}
        except BaseException:
            told = {"kind": "traceback", "said": traceback.format_exc()[-1500:]}
        os.write(writing, json.dumps(told).encode()[:60_000])
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        written = pipe.read()
    _, status, used = os.wait4(child, 0)
    if not written:
        number = os.waitstatus_to_exitcode(status)
        return {"kind": "hang" if number == -signal.SIGALRM else "killed", "said": number}
    told: dict[str, object] = json.loads(written)
    return {"kind": "memory"} if used.ru_maxrss * 1024 > MEMORY else told


def weigh(told: dict, good: dict, way: str) -> str:
    """What a run comes to, against the good file's."""
    if told["kind"] != "answered":
        return str(told["kind"])
    is_told = bool(set(told["said"]) - set(good["said"]))
    if abs(told["volume"] / good["volume"] - 1) > MOVED and not is_told:
        return "silent volume"
    if told["count"] < good["count"] and way != "drop_line" and not is_told:
        return "silently fewer"
    return "answered"


def fuzz(minutes: float, seed: int, keep: Path | None) -> list[tuple[str, Counter]]:
    """Mutate until time is up, every format by turns."""
    rows: dict[str, Counter] = {}
    rng, until = random.Random(seed), time.monotonic() + 60 * minutes
    with tempfile.TemporaryDirectory() as made:
        kept, trial = Path(made) / "good", Path(made) / "trial"
        kept.mkdir()
        named = write_apart(kept)
        targets = [(name, name) for name in sorted(named)] + [("job.toml", "comma.csv")]
        good = {}
        for name, source in named.items():
            lay_out(trial, kept, name, compose_job(source))
            # here, so that every library is loaded; but no fork inherits LAZ's threads
            good[name] = (judge if name.endswith(".laz") else run)(trial, name)
            if good[name]["kind"] != "answered":
                raise SystemExit(f"the good {name} is not answered: {good[name]}")
        number = 0
        while time.monotonic() < until:
            target, name = targets[number % len(targets)]
            way = rng.choice(WAYS)
            lay_out(trial, kept, name, compose_job(named[name]))
            raw = (trial / target).read_bytes()
            (trial / target).write_bytes(way(raw, rng) or b" ")
            told = judge(trial, name)
            verdict = weigh(told, good[name], way.__name__)
            if verdict not in {"answered", "refused"}:
                print(f"{number} {target} {way.__name__}: {verdict} {told}", file=sys.stderr)
                if keep:
                    place = keep / f"{verdict.replace(' ', '_')}-{number}-{name}"
                    shutil.copytree(trial, place, dirs_exist_ok=True)
            rows.setdefault(target, Counter())[verdict] += 1
            number += 1
    return sorted(rows.items())


def lay_out(trial: Path, kept: Path, name: str, job: bytes) -> None:
    """Put a good file and its job into an empty folder."""
    shutil.rmtree(trial, ignore_errors=True)
    trial.mkdir()
    shutil.copy(kept / name, trial / name)
    (trial / "job.toml").write_bytes(job)


VERDICTS = (
    *("answered", "refused", "traceback", "hang", "memory", "killed"),
    *("silent volume", "silently fewer"),
)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=3.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path)
    given = parser.parse_args()
    rows = fuzz(given.minutes, given.seed, given.keep)
    whole = sum((counts for _, counts in rows), Counter())
    print(f"| mutated | all | {' | '.join(VERDICTS)} |\n|{' --- |' * (2 + len(VERDICTS))}")
    for name, counts in [*rows, ("all", whole)]:
        cells = [str(counts[verdict]) for verdict in VERDICTS]
        print(f"| {name} | {counts.total()} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
