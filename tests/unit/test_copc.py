"""Cloud-optimised LAZ: only what meets the slab is unpacked, and every point is accounted for."""

import struct
from pathlib import Path

import laspy
import lazrs
import numpy as np
import pytest
from laspy.vlrs.vlr import VLR
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.clouds import las_points
from gradevol.files.clouds.copc import find_nodes
from gradevol.files.clouds.las_header import read_las_header
from gradevol.files.clouds.las_runs import read_runs
from gradevol.files.clouds.survey import read_cloud
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from tests.clouds import patch

#: Written by another program (copclib 2.6): see `test_a_file_of_another_program_is_read`.
OTHERS = Path(__file__).parents[1] / "data" / "invented.copc.laz"
N = 4000
SIDE = 64.0


def points_of(n=N):
    """Points of an invented plane of 60 m by 60 m, in whole millimetres."""
    east, north = np.random.default_rng(1).uniform(0, 60, (2, n))
    return np.round(np.column_stack([500 + east, 800 + north, 20 + 0.01 * east]), 3)


def write_copc(path, points, *, levels=3, page_of_its_own=True):
    """
    Write an octree by hand: each point at a random level of three, in its node there.

    The layout is that of COPC 1.0 (copc.io): info record first, one chunk a node, a list of nodes
    after the points. One branch of the list is a page of its own.
    """
    low = np.array([500.0, 800.0, 0.0])
    level = np.random.default_rng(2).integers(0, levels, len(points))
    place = np.floor((points - low) / (SIDE / 2.0 ** level[:, None])).astype(int)
    keys, node = np.unique(np.column_stack([level, place]), axis=0, return_inverse=True)

    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [0.001] * 3, low
    header.vlrs.append(VLR("copc", 1, "", bytes(160)))
    cloud = laspy.LasData(header)
    order = np.argsort(node.ravel(), kind="stable")
    cloud.x, cloud.y, cloud.z = points[order].T
    cloud.classification = np.full(len(points), 2)
    cloud.write(path)
    content = path.read_bytes()
    start = struct.unpack_from("<I", content, 96)[0]
    raw = np.frombuffer(laspy.read(path).points.array.tobytes(), np.uint8)
    vlr = lazrs.LazVlr.new_for_compression(6, 0, True)
    head = bytearray(content[:start])
    at = head.index(b"laszip encoded") + 52
    head[at : at + 40] = vlr.record_data()
    counts = np.bincount(node.ravel())
    with path.open("wb+") as file:
        file.write(head)
        packer = lazrs.LasZipCompressor(file, vlr)
        ends = np.cumsum(counts) * 30
        for first, last in zip([0, *ends[:-1]], ends, strict=True):
            packer.compress_many(raw[first:last])
            if last < len(raw):
                packer.finish_current_chunk()
        packer.done()
        file.seek(start)
        chunks = lazrs.read_chunk_table(file, vlr)
    assert [count for count, _ in chunks] == counts.tolist()
    places = start + 8 + np.cumsum([0, *[length for _, length in chunks]])
    rows = [
        struct.pack("<4iQ2i", *map(int, key), int(at), length, count)
        for key, at, (count, length) in zip(keys, places[:-1], chunks, strict=True)
    ]
    content = bytearray(path.read_bytes())
    evlr = len(content)
    first = evlr + 60
    apart = rows[-3:] if page_of_its_own else []
    main = rows[: len(rows) - len(apart)]
    if apart:
        length = 32 * (len(main) + 1)
        main.append(struct.pack("<4iQ2i", *map(int, keys[-1]), first + length, 32 * len(apart), -1))
    body = b"".join(main + apart)
    content += struct.pack("<2x16sHQ32x", b"copc", 1000, len(body)) + body
    struct.pack_into("<QI", content, 235, evlr, 1)
    info = struct.pack("<5d2Q", *(low + SIDE / 2), SIDE / 2, 1.0, first, 32 * len(main))
    content[375 + 54 : 375 + 54 + len(info)] = info
    path.write_bytes(content)
    return path


@pytest.fixture
def copc(tmp_path):
    return write_copc(tmp_path / "a.copc.laz", points_of())


def sorted_points(survey):
    points = survey.points + survey.origin
    return points[np.lexsort(points.T)]


def wanted_within(bounds, points=None):
    points = points_of() if points is None else points
    west, south, east, north = bounds
    e, n = points[:, 0], points[:, 1]
    kept = points[(e >= west) & (e <= east) & (n >= south) & (n <= north)]
    return kept[np.lexsort(kept.T)]


def test_the_file_by_hand_is_one_to_the_library_too(copc):
    with laspy.CopcReader.open(copc) as reader:
        found = reader.query()
    points = np.column_stack([found.x, found.y, found.z])
    assert_allclose(points[np.lexsort(points.T)], wanted_within((0, 0, 1e4, 1e4)), atol=1e-9)


@pytest.mark.parametrize(
    "bounds",
    [(510, 810, 520, 825), (499, 799, 561, 861), (531, 831, 533, 833), (0, 0, 1e4, 1e4)],
)
def test_the_points_within_bounds_are_read(copc, bounds):
    survey = read_cloud(Cloud((copc,), "m"), bounds=bounds)
    assert_allclose(sorted_points(survey), wanted_within(bounds), rtol=0, atol=1e-9)


def test_only_the_nodes_that_meet_the_bounds_are_unpacked(copc, monkeypatch):
    unpacked = []

    def watch(header, nodes):
        unpacked.extend(nodes)
        return read_runs(header, nodes)

    monkeypatch.setattr(las_points, "read_runs", watch)
    bounds = (503, 803, 508, 808)
    survey = read_cloud(Cloud((copc,), "m", ground=False), bounds=bounds)

    # the root, one of 4 nodes at the level below, one of 16 at the next
    assert len(unpacked) == 3
    assert survey.read == sum(node.count for node in unpacked)
    assert 0.3 * N < survey.count < 0.6 * N
    (note,) = [note for note in survey.notes if note.code == "cloud-part"]
    assert note.text.startswith(
        f"Of {N:,} points of a cloud-optimised file only the {survey.read:,}"
    )


def test_without_bounds_it_is_read_as_any_laz(copc):
    survey = read_cloud(Cloud((copc,), "m"))
    assert_allclose(sorted_points(survey), wanted_within((0, 0, 1e4, 1e4)), rtol=0, atol=1e-9)
    assert survey.read == N


def test_bounds_are_metres_whatever_the_unit_of_the_file(copc):
    bounds = np.array((510, 810, 520, 825)) * 0.3048
    survey = read_cloud(Cloud((copc,), "ft"), bounds=tuple(bounds))
    wanted = wanted_within((510, 810, 520, 825)) * 0.3048
    assert_allclose(sorted_points(survey), wanted, rtol=0, atol=1e-9)


def test_every_chunk_is_one_node(copc):
    nodes = find_nodes(read_las_header(copc))
    assert sum(node.count for node in nodes) == N
    assert len(nodes) == len({node.at for node in nodes}) > 10


INFO = 375 + 54


def test_a_list_that_leaves_a_node_out_is_refused(copc):
    length = struct.unpack_from("<Q", copc.read_bytes(), INFO + 48)[0]
    patch(copc, INFO + 48, "<Q", length - 32)
    with pytest.raises(
        InputError, match=r"list of nodes .* does not fit its \d+ chunks with 4,000"
    ):
        read_cloud(Cloud((copc,), "m"), bounds=(510, 810, 520, 820))


@pytest.mark.parametrize(
    ("at", "form", "values", "match"),
    [
        (INFO + 24, "<d", (0.0,), "an octree about .* is none"),
        (INFO + 24, "<d", (float("nan"),), "an octree about .* is none"),
        (INFO, "<d", (float("inf"),), "an octree about .* is none"),
        (INFO + 40, "<Q", (2**63,), "can't be"),
        (INFO + 48, "<Q", (2**40,), "can't be"),
        (INFO + 48, "<Q", (33,), "can't be"),
    ],
)
def test_an_info_record_that_lies_is_refused(copc, at, form, values, match):
    patch(copc, at, form, *values)
    with pytest.raises(InputError, match=match):
        read_cloud(Cloud((copc,), "m"), bounds=(510, 810, 520, 820))


def test_a_page_that_names_itself_is_refused(copc):
    first, length = struct.unpack_from("<2Q", copc.read_bytes(), INFO + 40)
    patch(copc, first + length - 16, "<Qi", first, length)
    with pytest.raises(InputError, match="can't be"):
        read_cloud(Cloud((copc,), "m"), bounds=(510, 810, 520, 820))


def test_a_node_of_another_count_is_refused(copc):
    first = struct.unpack_from("<Q", copc.read_bytes(), INFO + 40)[0]
    patch(copc, first + 28, "<i", 7)
    with pytest.raises(InputError, match="does not fit"):
        read_cloud(Cloud((copc,), "m"), bounds=(510, 810, 520, 820))


@pytest.mark.parametrize("lost", [1, 32, 500, 20_000])
def test_one_that_was_cut_short_is_refused(copc, lost):
    copc.write_bytes(copc.read_bytes()[:-lost])
    with pytest.raises(InputError):
        read_cloud(Cloud((copc,), "m"), bounds=(510, 810, 520, 820))


def test_one_that_lies_elsewhere_is_refused_with_both_extents(copc):
    with pytest.raises(InputError, match=r"does not meet the slab.*E 500\.\d+ to .*E 0.00 to 9.00"):
        read_cloud(Cloud((copc,), "m"), bounds=(0, 0, 9, 9))


def test_a_file_of_another_program_is_read():
    """
    Points of an invented plane, written by copclib 2.6: its nodes of levels 0 to 2, with pages.

    It was made once, by another hand than the reader's, so that both can't share a mistake.
    """
    header = read_las_header(OTHERS)
    assert header.octree
    assert sum(node.count for node in find_nodes(header)) == header.count
    whole = read_cloud(Cloud((OTHERS,), "m", ground=False))
    bounds = (1010.0, 2010.0, 1022.0, 2018.0)
    part = read_cloud(Cloud((OTHERS,), "m", ground=False), bounds=bounds)
    assert len(whole.points) == header.count
    assert part.count < 0.8 * header.count
    points = whole.points + whole.origin
    assert_allclose(sorted_points(part), wanted_within(bounds, points), rtol=0, atol=1e-9)
    # what each point says of itself: its elevation is a plane of its place
    east, north, z = points.T
    assert_array_equal(np.abs(z - (50 + 0.02 * (east - 1000) - 0.01 * (north - 2000))) < 1e-3, True)
