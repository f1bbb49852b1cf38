"""The declared keys of a job file: each is read, none else is, and the page and starters say so."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

from gradevol.job import kinds, read_job
from gradevol.job.keys import TABLES
from gradevol.job.keys.placing import TICKETS
from gradevol.job.keys.whole import JOB
from gradevol.job.table import Table
from gradevol.out.starter import WAYS, find_texts

PACKAGE = Path(__file__).parents[2] / "gradevol"
STARTERS = [(units, way) for units in ("feet", "metres") for way in WAYS]
READERS = ("read", "require", "value", "miss", "called")
KEYS = [(table, key) for table in TABLES for key in table.keys]
SQUARE = "[[0, 0], [9, 0], [9, 9], [0, 9]]"
BASES = [
    """shots = "a.csv"
rechecks = { shots = "b.csv", radius = 2 }
[base.setups]
A = { height = 5, closing = 3, closing_benchmark = 2 }
B = { benchmark = 3, backsight = 1 }
""",
    'cloud = "a.laz"\ncontrol = { shots = "b.csv", apply = true }\n',
    'rods = "a.csv"\nbenchmark = 3\nbacksight = 1\n',
    """rods = [
    { file = "a.csv", benchmark = 3, backsight = 1 },
    { file = "b.csv", instrument_height = 5, setup = "B" },
]
""",
    'rods = "a.csv"\ninstrument_height = 5\n',
    'depths = "a.csv"\nstring = { span = 9 }\n',
    'depths = [{ file = "a.csv", string = { span = 9 } }]\n',
    'surface_file = "a.ply"\n',
]
TOPS = [
    "level = 100",
    "plane = [[0, 0, 100], [9, 0, 100], [0, 9, 100]]",
    'through = [0, 0, 100]\nfall = "1 %"\nbearing = 180',
    "between = [[[0, 0, 100], [9, 0, 100]], [[0, 9, 100], [9, 9, 100]]]",
    'between = [[[0, 0, 100], [9, 0, 100]], { codes = "F", shots = "b.csv" }]',
    'shots = "b.csv"\nsetups = { B = { height = 5 } }',
    'surface_file = "a.ply"',
    f"panel = [{{ edge = {SQUARE}, level = 100 }}]",
]
TICKETS_READ = "\n".join(
    f'{key.name} = "as {key.name}"' for key in TICKETS.keys if key.name != "front"
)
REST = f"""
[[thickening]]
along = [[0, 0], [9, 0]]
width = 1
depth = 1
[[void]]
volume = 1
[[void]]
section = 1
length = 2
[[void]]
line = [[0, 0], [3, 3]]
diameter = 0.1
[[pour]]
edge = {SQUARE}
[[pour]]
volume = 1
[[pour]]
area = 1
thickness = 1
[order]
pump = {{ hopper = 1 }}
costs = {{ concrete = 100 }}
[survey]
[[acceptance]]
single = 0.01
[sheet]
marks = "inches"
[placing]
from = 1
panel = [{{ name = "A", edge = {SQUARE} }}]
[tickets]
{TICKETS_READ}
front = [{{ heading = "tape", side = 2 }}]
"""


def write(folder, base, top, *, edge=SQUARE):
    for name in ("a.csv", "b.csv", "a.laz", "a.ply"):
        (folder / name).touch()
    job = folder / "job.toml"
    slab = (
        f'[slab]\nedge = {edge}\nthickness = "6 in"\n'
        "openings = [{ center = [4, 4], diameter = 1 }]\n"
    )
    job.write_text(f'units = "ft"\n[base]\n{base}{slab}[top]\n{top}\n{REST}', encoding="utf-8")
    return job


@pytest.fixture
def asked(monkeypatch):
    """Headings and names of the keys whose values are asked for."""
    seen = set()
    value = Table.value

    def note(table, name):
        seen.add((table.keys.heading, name))
        return value(table, name)

    monkeypatch.setattr(Table, "value", note)
    return seen


def test_every_declared_key_is_read(asked, tmp_path):
    for base in BASES:
        read_job(write(tmp_path, base, TOPS[0]))
    for top in TOPS:
        read_job(write(tmp_path, BASES[0], top))
        panel = re.sub(r"\n(?!$)", ", ", top)
        if not top.startswith("panel"):
            read_job(write(tmp_path, BASES[0], f"panel = [{{ edge = {SQUARE}, {panel} }}]"))
    bent = "[[0, 0], { corner = [9, 0], radius = 1 }, [9, 9], { curve = [4, 11] }, [0, 9]]"
    for edge in ('{ codes = ["E*"] }', '{ file = "a.csv" }', bent):
        read_job(write(tmp_path, BASES[0], TOPS[0], edge=edge))
    declared = {(table.heading, key.name) for table, key in KEYS}
    assert declared - asked == set()


def test_every_key_that_is_read_by_name_is_declared():
    declared = {key.name for _, key in KEYS}
    named = set()
    for module in (PACKAGE / "job").glob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                arguments = node.args[:1] if node.func.attr in READERS else []
                named |= {each.value for each in arguments if isinstance(each, ast.Constant)}
    assert len(named) > 20
    assert named - declared == set()


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.heading)
def test_what_a_key_goes_with_is_declared_too(table):
    names = [key.name for key in table.keys]
    assert len(set(names)) == len(names)
    assert set(table.one_of) <= set(names)
    sources = {"rods", "depths"} if table.heading == "a field sheet" else set()
    for key in table.keys:
        assert set(key.beside) <= set(names) | sources, key.name


@pytest.mark.parametrize("key", [key for _, key in KEYS], ids=lambda key: key.name)
def test_a_key_says_its_default_its_limits_and_its_choices(key):
    told = key.tell()
    if key.words.startswith("As in"):
        return  # there
    assert key.words
    assert "{" not in re.sub(r"`[^`]*`", "", told)
    assert key.kind.limits in told
    if key.default is not None and not callable(key.default):
        default = str(key.default).lower() if isinstance(key.default, bool) else key.default
        assert f"eft out: {default}" in told.replace("`", "")
    if key.kind not in (kinds.FLAG, kinds.UNIT):  # each says what true is; units are told once
        assert all(f"`{choice}`" in told for choice in key.kind.choices)


def test_the_units_that_may_be_written_are_told():
    told = JOB["units"].tell()
    assert all(f"`{unit}`" in told for unit in kinds.UNIT.choices)


# starters


HEADINGS = {table.heading for table, _ in KEYS}


def lines_of(starter):
    """Table, key and remark of each line of a starter, commented out or not."""
    heading = JOB.heading
    for line in dict(find_texts(*starter))["job.toml"].decode().splitlines():
        bare = line.removeprefix("# ")
        if match := re.match(r"(\[+[a-z_.]+\]+)", bare):
            heading = match[1] if match[1] in HEADINGS else match[1].strip("[]")
        elif match := re.match(r"([a-z_]+) = .*?(?: +# (?P<remark>.*))?$", bare):
            yield heading, match[1], match["remark"], match[0]


@pytest.mark.parametrize("starter", STARTERS, ids="-".join)
def test_each_key_of_a_starter_is_declared_in_its_table(starter):
    declared = {(table.heading, key.name) for table, key in KEYS}
    used = [(heading, name) for heading, name, *_ in lines_of(starter)]
    assert len(used) > 30
    assert set(used) - declared == set()
    for *_, line in lines_of(starter):
        assert tomllib.loads(line)


def test_starters_remark_the_same_of_one_key():
    remarks: dict[tuple[str, str], set[str | None]] = {}
    for starter in STARTERS:
        for heading, name, remark, _ in lines_of(starter):
            remarks.setdefault((heading, name), set()).add(remark)
    assert {key: told for key, told in remarks.items() if len(told) > 1} == {}


def test_starters_remark_every_unit_that_may_be_written():
    for starter in STARTERS:
        remarks = {name: remark for _, name, remark, _ in lines_of(starter)}
        told = re.findall(r"[a-z-]+", remarks["units"])
        assert set(kinds.UNIT.choices) <= set(told)
