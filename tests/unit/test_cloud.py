"""Point clouds: every version, honest counts, units by the file, and files that lie."""

import struct
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import laspy
import lazrs
import numpy as np
import pytest
from laspy.vlrs.vlr import VLR
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.check import check_job
from gradevol.files.cloud import read_cloud
from gradevol.files.las_header import read_las_header
from gradevol.files.sources import Cloud
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Measure
from gradevol.ground.units import METRES
from gradevol.job import read_job

SAMPLES = Path(__file__).parents[2] / "sample_surveys"
FOOT, SURVEY_FOOT = METRES["ft"], METRES["us-ft"]
N = 400


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


VERSIONS = [
    *[("1.1", kind) for kind in (0, 1)],
    *[("1.2", kind) for kind in (0, 1, 2, 3)],
    *[("1.3", kind) for kind in (0, 4, 5)],
    *[("1.4", kind) for kind in range(11)],
]


@pytest.mark.parametrize("suffix", ["las", "laz"])
@pytest.mark.parametrize(("version", "kind"), VERSIONS)
def test_every_version_and_format_gives_its_points(tmp_path, version, kind, suffix):
    points = points_of()
    classes, withheld = np.full(N, 2), np.zeros(N, bool)
    classes[:5], withheld[-7:] = 7, True
    path = write(
        tmp_path / f"a.{suffix}",
        points,
        kind=kind,
        version=version,
        classes=classes,
        withheld=withheld,
    )

    survey = read(path)

    assert_allclose(absolute(survey), points[5:-7], rtol=0, atol=1e-9)
    assert survey.method == "point cloud"
    assert survey.ids == ()
    (left_out,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert left_out.text == (
        "12 of 400 points of the cloud were left out: 7 withheld, 5 noise (classes 7 and 18)."
    )


@pytest.mark.parametrize("suffix", ["las", "laz"])
def test_version_1_0_is_read(tmp_path, suffix):
    # laspy writes none; the header of 1.0 has the layout of 1.1
    path = patch(write(tmp_path / f"a.{suffix}", kind=1, version="1.1"), 25, "<B", 0)
    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)


def test_high_noise_is_left_out_too(tmp_path):
    classes = np.where(np.arange(N) < 11, 18, 2)
    assert len(read(write(tmp_path / "a.laz", classes=classes)).points) == N - 11


def test_only_the_classes_named_are_kept(tmp_path):
    classes = np.arange(N) % 4 + 1
    classes[:10] = 7
    path = write(tmp_path / "a.laz", classes=classes)
    survey = read(path, classes=(2, 3))
    assert_allclose(absolute(survey), points_of()[np.isin(classes, [2, 3])], rtol=0, atol=1e-9)
    (note,) = [note for note in survey.notes if note.code == "cloud-left-out"]
    assert "10 noise" in note.text
    assert "of other classes (1, 4)" in note.text


def test_noise_is_kept_where_it_is_named(tmp_path):
    path = write(tmp_path / "a.laz", classes=np.full(N, 7))
    assert len(read(path, classes=(7,)).points) == N


def test_a_cloud_of_which_nothing_is_kept_is_refused(tmp_path):
    refused(write(tmp_path / "a.laz", classes=np.full(N, 5)), "of other classes", classes=(2,))
    refused(write(tmp_path / "b.laz", classes=np.full(N, 7)), "400 noise")


def test_a_stray_reading_of_nothing_left_out_leaves_no_note(tmp_path):
    survey = read(write(tmp_path / "a.laz"))
    assert [note.code for note in survey.notes] == ["cloud-bins"]
    assert "Each of the 400 points" in survey.notes[0].text


# Bins


def test_bins_are_the_means_of_their_points(tmp_path):
    points = points_of()
    survey = read(write(tmp_path / "a.laz", points), cell=1.0)
    square = np.floor(points[:, :2] + 1e-8)
    wanted = [
        points[(square == each).all(axis=1)].mean(axis=0) for each in np.unique(square, axis=0)
    ]
    assert_allclose(absolute(survey), wanted, rtol=0, atol=1e-9)
    (note,) = survey.notes
    assert note.code == "cloud-bins"
    assert note.text.startswith("The 400 points of the cloud were gathered in 36 squares of {}")
    assert [measure.value for measure in note.measures] == [1.0]
    assert isinstance(note.measures[0], Measure)


def test_bins_do_not_depend_on_the_order_of_points_or_files(tmp_path):
    points = points_of(3000)
    shuffled = np.random.default_rng(2).permutation(points)
    whole = read(write(tmp_path / "a.laz", points), cell=0.5)
    tiles = [
        write(tmp_path / f"{index}.las", part, kind=3, version="1.2")
        for index, part in enumerate(np.array_split(shuffled, 4))
    ]
    for order in (tiles, tiles[::-1]):
        assert_allclose(absolute(read(*order, cell=0.5)), absolute(whole), rtol=0, atol=1e-9)


def test_a_plane_is_kept_exactly_at_state_plane_size(tmp_path):
    east, north = np.meshgrid(np.arange(40) * 0.1, np.arange(30) * 0.1)
    z = 0.04 * east + 0.02 * north
    points = np.stack([east + 1_912_345, north + 651_234, z + 512], axis=-1).reshape(-1, 3)
    found = absolute(read(write(tmp_path / "a.laz", points), cell=0.7))
    plane = 512 + 0.04 * (found[:, 0] - 1_912_345) + 0.02 * (found[:, 1] - 651_234)
    assert_allclose(found[:, 2], plane, rtol=0, atol=1e-9)


def test_progress_runs_to_one(tmp_path):
    paths = (write(tmp_path / "a.laz"), write(tmp_path / "b.las"))
    told = []
    read_cloud(Cloud(paths, "m"), progress=lambda label, share: told.append((label, share)))
    shares = [share for _, share in told]
    assert told[0][0] == "reading a.laz"
    assert told[-1] == ("reading b.las", 1.0)
    assert all(earlier < later for earlier, later in pairwise([0.0, *shares]))


# Units

CRS = '"NAD83", GEOGCS["NAD83",DATUM["x",SPHEROID["y",6378137,298.2]],UNIT["degree",0.01745]]'
FT_WKT = f'PROJCS[{CRS},PROJECTION["T"],UNIT["US survey foot",0.304800609601219]]'
WKT2 = """COMPOUNDCRS["a [b]",PROJCRS["p",BASEGEOGCRS["g",DATUM["d",ELLIPSOID["e",6378137,298.2,
 LENGTHUNIT["metre",1]]]],CONVERSION["c",PARAMETER["f",1,LENGTHUNIT["metre",1]]],CS[Cartesian,2],
 AXIS["e",east,LENGTHUNIT["foot",0.3048]],AXIS["n",north,LENGTHUNIT["foot",0.3048]]],
 VERTCRS["v",VDATUM["w"],CS[vertical,1],AXIS["up",up],LENGTHUNIT["metre",1.0]]]"""


@pytest.mark.parametrize(
    ("record", "unit", "plan", "elevation"),
    [
        (None, "ft", FOOT, FOOT),
        (None, "mm", 0.001, 0.001),
        (keys((1024, 1), (3076, 9001)), "m", 1, 1),
        (keys((1024, 1), (3076, 9002)), "ft", FOOT, FOOT),
        (keys((1024, 1), (3076, 9003)), "us-ft", SURVEY_FOOT, SURVEY_FOOT),
        (keys((1024, 1), (3076, 9003), (4099, 9001)), "us-ft", SURVEY_FOOT, 1),
        (keys((1024, 1), (4099, 9002)), "m", 1, FOOT),
        (text(FT_WKT), "us-ft", SURVEY_FOOT, SURVEY_FOOT),
        (
            text(f'COMPD_CS["a",{FT_WKT},VERT_CS["v",VERT_DATUM["d",2005],UNIT["m",1.0]]]'),
            "us-ft",
            SURVEY_FOOT,
            1,
        ),
        (text(WKT2), "ft", FOOT, 1),
        (text('LOCAL_CS["site",UNIT["metre",1]]'), "m", 1, 1),
        (text('PROJCS["cut short",UNIT["foot",0.3048'), "m", 1, 1),
        (text("not a system at all"), "m", 1, 1),
    ],
)
def test_units_are_the_files_own_or_the_jobs(tmp_path, record, unit, plan, elevation):
    path = write(tmp_path / "a.laz", records=[record] if record else [])
    survey = read(path, unit=unit)
    wanted = points_of() * [plan, plan, elevation]
    assert_allclose(absolute(survey), wanted, rtol=0, atol=1e-9)


def test_a_note_says_that_plan_and_elevation_differ_in_unit(tmp_path):
    path = write(tmp_path / "a.laz", records=[keys((1024, 1), (3076, 9003), (4099, 9001))])
    (note,) = [note for note in read(path, unit="us-ft").notes if note.code == "cloud-units"]
    assert note.text == "The cloud says that it is in us-ft in plan and m in elevation."


def test_a_unit_of_its_own_size_is_known_by_its_size(tmp_path):
    shorts = (1, 1, 0, 2, 3076, 0, 1, 32767, 3077, 34736, 1, 0)
    records = [(34735, struct.pack("<12H", *shorts)), (34736, struct.pack("<d", 0.3048))]
    path = write(tmp_path / "a.laz", records=records)
    refused(path, "are in ft, the job that they are in m")
    assert_allclose(absolute(read(path, unit="ft")), points_of() * FOOT, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("record", "match"),
    [
        (keys((1024, 1), (3076, 9003)), "are in us-ft, the job that they are in m"),
        (text(FT_WKT), 'write units = "us-ft" under'),
        (keys((1024, 1), (3076, 9036)), "EPSG code 9036"),
        (text('PROJCS["p",UNIT["fathom",1.8288]]'), "are in fathom, which is none of"),
        (keys((1024, 2)), "degrees"),
        (keys((1024, 3)), "geocentric"),
        (text(f"GEOGCS[{CRS}]"), "geographic or geocentric"),
        (text(f'COMPD_CS["a",GEOGCS[{CRS}],VERT_CS["v",UNIT["m",1]]]'), "geographic"),
    ],
)
def test_a_unit_that_cannot_be_is_refused(tmp_path, record, match):
    refused(write(tmp_path / "a.laz", records=[record]), match)


def test_the_text_stands_where_the_header_says_so(tmp_path):
    records = [keys((1024, 1), (3076, 9001)), text(FT_WKT)]
    path = write(tmp_path / "a.las", records=records, kind=1, version="1.2")
    assert read_las_header(path).units.plan == "m"
    assert read_las_header(patch(path, 6, "<H", 16)).units.plan == "us-ft"


def test_a_system_after_the_points_is_found(tmp_path):
    path = write(tmp_path / "a.las")
    content = path.read_bytes()
    wkt = FT_WKT.encode()
    record = struct.pack("<2x16sHQ32x", b"LASF_Projection", 2112, len(wkt)) + wkt
    path.write_bytes(content + record)
    patch(path, 235, "<QI", len(content), 1)
    assert read_las_header(path).units.plan == "us-ft"


def test_degrees_are_refused_where_nothing_is_declared(tmp_path):
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = [1e-7, 1e-7, 0.001], [-93.0, 44.0, 0.0]
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = (points_of() * [1e-5, 1e-5, 1] - [93.005, -44.1, 0]).T
    cloud.write(tmp_path / "a.laz")
    refused(tmp_path / "a.laz", "look like degrees")


# Files that lie

HEADER_FAULTS = {
    "signature": (0, "<4s", (b"LASX",), "it begins with b'LASX'"),
    "version": (25, "<B", (7,), "LAS version 1.7"),
    "header too short": (94, "<H", (227,), "at least 375 in version 1.4"),
    "header past the points": (94, "<H", (60000,), "do not fit"),
    "points past the end": (96, "<I", (2**32 - 1,), "do not fit"),
    "records without end": (100, "<I", (2**32 - 1,), "4,294,967,295 records"),
    "one record too many": (100, "<I", (2,), "run past|runs past|do not fit"),
    "format": (104, "<B", (11,), "point format 11"),
    "both packing bits": (104, "<B", (0xC6,), "point format 198"),
    "points too short": (105, "<H", (29,), "29 bytes are too short for format 6, which has 30"),
    "huge points": (105, "<H", (65535,), "declares 400 points, but the file has room for 0"),
    "two counts": (107, "<I", (1065,), "1,065 points in one place and 400 in another"),
    "more points": (247, "<Q", (401,), "400 points in one place and 401|declares 401"),
    "absurd count": (247, "<Q", (2**63,), "9,223,372,036,854,775,808"),
    "no points": (247, "<Q", (0,), "0 in another|no points"),
    "scale of nought": (131, "<d", (0.0,), r"scales of X, Y, Z \(0, 0.001, 0.001\)"),
    "scale of no number": (139, "<d", (float("nan"),), "scales"),
    "endless offset": (171, "<d", (float("inf"),), "offsets"),
    "offset off the Earth": (155, "<d", (5e9,), "off the Earth"),
    "records after the points": (235, "<QI", (10**12, 1), "do not fit"),
    "many records after": (235, "<QI", (400, 2**32 - 1), "4,294,967,295 records"),
}


@pytest.mark.parametrize("fault", HEADER_FAULTS)
def test_a_header_that_lies_is_refused(tmp_path, fault):
    at, form, values, match = HEADER_FAULTS[fault]
    refused(patch(write(tmp_path / "a.las"), at, form, *values), match)


def test_a_legacy_count_of_nought_is_allowed_in_1_4(tmp_path):
    path = patch(write(tmp_path / "a.las"), 107, "<I", 0)
    assert len(read(path).points) == N


@pytest.mark.parametrize("length", [0, 3, 4, 100, 226, 227, 374])
def test_a_header_cut_short_is_refused(tmp_path, length):
    path = write(tmp_path / "a.las")
    path.write_bytes(path.read_bytes()[:length])
    refused(path, "begins with|too few|do not fit|it is empty")


def test_a_las_cut_short_is_refused_with_both_numbers(tmp_path):
    path = write(tmp_path / "a.las")
    path.write_bytes(path.read_bytes()[:-45])
    refused(path, "declares 400 points, but the file has room for 398")


def test_a_las_with_more_points_than_it_declares_is_refused_with_both_numbers(tmp_path):
    path = write(tmp_path / "a.las", kind=3, version="1.2")
    refused(patch(path, 107, "<I", 367), "declares 367 points, but the file has room for 400")


def test_a_layer_that_asks_for_gigabytes_is_refused(tmp_path):
    path = write(tmp_path / "a.laz")
    start = struct.unpack_from("<I", path.read_bytes(), 96)[0]
    refused(patch(path, start + 8 + 30 + 8, "<I", 2**32 - 1), "layers of .* do not fit a chunk")


def test_a_laz_with_more_points_than_it_declares_is_refused_with_both_numbers(tmp_path):
    path = patch(write(tmp_path / "a.laz"), 107, "<I", 0)
    refused(patch(path, 247, "<Q", 367), "declares 367 points, but the chunks hold 400")


def test_points_packed_as_another_format_are_refused(tmp_path):
    path = write(tmp_path / "a.laz", kind=6)
    refused(patch(path, 104, "<B", 0x80), "packed otherwise than in format 0")


@pytest.mark.parametrize("lost", [1, 8, 60, 500])
@pytest.mark.parametrize("kind", [1, 6])
def test_a_laz_cut_short_is_refused(tmp_path, kind, lost):
    path = write(tmp_path / "a.laz", kind=kind)
    path.write_bytes(path.read_bytes()[:-lost])
    refused(path, "table of chunks|cannot be read")


def test_a_laz_that_declares_another_count_is_refused(tmp_path):
    path = write(tmp_path / "a.laz", kind=1, version="1.2")
    refused(patch(path, 107, "<I", 400_000), "400,000 points do not make 1 chunks")
    with pytest.raises(InputError):
        read(patch(path, 107, "<I", 401))


def laszip_at(path):
    """Where the content of the record begins that says how points are packed."""
    return path.read_bytes().index(b"laszip encoded") - 2 + 54


def test_an_old_packing_is_refused_with_a_remedy(tmp_path):
    path = write(tmp_path / "a.laz", kind=1)
    refused(patch(path, laszip_at(path), "<H", 1), "compressor 1, .*Unpack it to LAS")


def test_packed_points_of_another_size_are_refused(tmp_path):
    path = write(tmp_path / "a.laz")
    refused(patch(path, laszip_at(path) + 36, "<H", 34), "34 bytes, but the header says 30")


def test_a_table_of_too_many_chunks_is_refused(tmp_path):
    path = write(tmp_path / "a.laz")
    start = struct.unpack_from("<I", path.read_bytes(), 96)[0]
    table = struct.unpack_from("<q", path.read_bytes(), start)[0]
    refused(patch(path, table + 4, "<I", 2**32 - 1), "4,294,967,295 chunks")


def test_a_chunk_too_large_to_unpack_is_refused(tmp_path):
    path = write(tmp_path / "a.laz")
    refused(patch(path, laszip_at(path) + 12, "<I", 2**31), "too large to unpack")


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    refused(tmp_path / "none.laz", "no such file")
    refused(tmp_path, "it is a folder")


@pytest.mark.parametrize("suffix", ["las", "laz"])
def test_no_flipped_byte_gives_a_traceback_or_fewer_points(tmp_path, suffix):
    whole = write(tmp_path / f"a.{suffix}", records=[text(FT_WKT)])
    content = whole.read_bytes()
    start = struct.unpack_from("<I", content, 96)[0]
    path = tmp_path / f"b.{suffix}"
    random = np.random.default_rng(8)
    refusals = 0
    for at in [*random.choice(start + 150, 150), *random.choice(len(content), 50)]:
        damaged = bytearray(content)
        damaged[at] ^= int(random.integers(1, 256))
        path.write_bytes(damaged)
        try:
            survey = read(path, unit="us-ft", classes=tuple(range(256)))
        except InputError:
            refusals += 1
        else:
            said = " ".join(note.text for note in survey.notes)
            missing = N - len(survey.points)
            assert missing == 0 or f"{missing} withheld" in said
    assert 0 < refusals < 200


def test_arrays_of_a_survey_cannot_be_changed(tmp_path):
    survey = read(write(tmp_path / "a.laz"))
    assert not survey.points.flags.writeable
    assert_array_equal(survey.origin, np.floor(points_of().min(axis=0)))


def test_chunks_of_varying_size_are_read_and_counted(tmp_path):
    # as cloud-optimised files have them
    path = write(tmp_path / "a.laz")
    content = bytearray(path.read_bytes())
    start = struct.unpack_from("<I", content, 96)[0]
    raw = np.frombuffer(laspy.read(path).points.array.tobytes(), np.uint8)
    vlr = lazrs.LazVlr.new_for_compression(6, 0, True)
    at = laszip_at(path)
    content[at : at + 40] = vlr.record_data()
    with path.open("wb+") as file:
        file.write(content[:start])
        compressor = lazrs.LasZipCompressor(file, vlr)
        for part in (raw[: 30 * 150], raw[30 * 150 :]):
            compressor.compress_many(part)
            if len(part) == 30 * 150:
                compressor.finish_current_chunk()
        compressor.done()

    assert_allclose(absolute(read(path)), points_of(), rtol=0, atol=1e-9)
    patch(path, 107, "<I", 0)
    refused(patch(path, 247, "<Q", 399), "declares 399 points, but the chunks hold 400")


# Parts of a cloud


def tiles_of(folder, points):
    """Write tiles of 3 m by 3 m, and say which of the points each holds."""
    square = np.floor(points[:, :2] / 3).astype(int)
    written = {}
    for key in np.unique(square, axis=0):
        is_in = (square == key).all(axis=1)
        path = folder / f"{key[0]}_{key[1]}.laz"
        written[write(path, points[is_in])] = is_in
    return written


def test_tiles_off_the_slab_are_not_read_and_named(tmp_path, monkeypatch):
    points = points_of(3000)
    tiles = tiles_of(tmp_path, points)
    opened = []
    plain = laspy.open

    def watch(path, *rest, **named):
        opened.append(path)
        return plain(path, *rest, **named)

    monkeypatch.setattr(laspy, "open", watch)
    bounds = (500.5, 800.5, 502.9, 802.9)
    survey = read_cloud(Cloud(tuple(tiles), "m", ground=False), bounds=bounds)

    near = [path for path in tiles if path.stem in {"166_266", "167_266", "166_267", "167_267"}]
    assert 0 < len(near) < len(tiles)
    assert set(opened) == set(near)
    e, n, _ = points.T
    inside = (e >= 500.5) & (e <= 502.9) & (n >= 800.5) & (n <= 802.9)
    assert len(survey.points) == inside.sum()
    assert survey.count == sum(tiles[path].sum() for path in near)
    (note,) = [note for note in survey.notes if note.code == "cloud-files-off"]
    assert note.text.startswith(f"{len(tiles) - len(near)} of {len(tiles)} files lie off the slab")


def test_a_tile_whose_header_says_nothing_of_its_ends_is_read(tmp_path):
    path = patch(write(tmp_path / "a.las"), 179, "<6d", *[0.0] * 6)
    assert read_las_header(path).extent is None
    survey = read_cloud(Cloud((path,), "m"), bounds=(500, 800, 503, 806))
    assert len(survey.points) == (points_of()[:, 0] <= 503).sum()


def test_whole_and_tiled_clouds_have_the_same_bins_within_bounds(tmp_path):
    points = points_of(3000)
    bounds = (501.2, 801.3, 504.9, 805.1)
    whole = read_cloud(Cloud((write(tmp_path / "a.las", points),), "m", 0.5), bounds=bounds)
    tiles = tuple(reversed(tiles_of(tmp_path, points)))
    tiled = read_cloud(Cloud(tiles, "m", 0.5), bounds=bounds)
    assert_allclose(absolute(tiled), absolute(whole), rtol=0, atol=1e-9)
    assert whole.count == 3000


def test_one_far_stray_matters_to_nothing_within_bounds(tmp_path):
    points = points_of(3000)
    stray = np.vstack([points, [[900_500.0, 700_800.0, 300.0]]])
    bounds = (499, 799, 507, 807)
    with_it = read_cloud(Cloud((write(tmp_path / "a.las", stray),), "m"), bounds=bounds)
    assert_allclose(absolute(with_it), points, rtol=0, atol=1e-9)
    (note,) = [note for note in with_it.notes if note.code == "cloud-left-out"]
    assert note.text == (
        "1 of 3,001 points of the cloud were left out: 1 off the slab and the margin around it."
    )


@pytest.mark.parametrize(
    ("bounds", "unit", "remedy"),
    [
        ((10, 10, 20, 20), "m", "one coordinate system"),
        ((799, 499, 807, 507), "m", "look swapped"),
        ((499 * FOOT, 799 * FOOT, 507 * FOOT, 807 * FOOT), "m", "It would fit in ft"),
    ],
)
def test_a_cloud_off_the_slab_is_refused_with_a_likely_cause(tmp_path, bounds, unit, remedy):
    path = write(tmp_path / "a.laz")
    with pytest.raises(InputError, match=f"does not meet the slab.*{remedy}"):
        read_cloud(Cloud((path,), unit), bounds=bounds)


def test_a_job_reads_a_folder_of_tiles_over_its_slab_alone(tmp_path):
    (tmp_path / "tiles").mkdir()
    tiles = tiles_of(tmp_path / "tiles", points_of(4000))
    job = tmp_path / "job.toml"
    job.write_text(
        """units = "m"
        [base]
        cloud = "tiles"
        [slab]
        edge = [[500.2, 800.2], [500.8, 800.2], [500.8, 800.8], [500.2, 800.8]]
        thickness = 0.15
        [top]
        level = 20.15
        """
    )
    result = check_job(read_job(job))
    east, north = (result.survey.points + result.survey.origin)[:, :2].T
    assert east.max() <= 502.8  # 2 m around the slab
    assert north.max() <= 802.8
    assert result.survey.count < 4000
    assert "cloud-files-off" in [note.code for note in result.notes]
    assert result.coverage == 1
    # the invented slope over 0.6 m by 0.6 m about E 500.5, N 800.5
    assert result.concrete.slab == pytest.approx(0.36 * (0.15 - 0.02 * 0.5 + 0.01 * 0.5), abs=2e-4)
    assert len(tiles) == 9


# The invented sample


def test_the_sample_is_what_its_script_makes(tmp_path):
    kept = SAMPLES / "cloud_pad" / "base.laz"
    for name in ("a.laz", "b.laz"):
        subprocess.run([sys.executable, SAMPLES / "make_cloud.py", tmp_path / name], check=True)
    assert (tmp_path / "a.laz").read_bytes() == (tmp_path / "b.laz").read_bytes()
    survey = read(kept)
    # a step of the file: another version of numpy may draw the last bit otherwise
    assert_allclose(absolute(survey), absolute(read(tmp_path / "a.laz")), rtol=0, atol=1.1e-3)
    assert "24 withheld, 25 noise" in survey.notes[1].text


def test_the_sample_lies_about_its_design_base():
    east, north, z = absolute(read(SAMPLES / "cloud_pad" / "base.laz")).T
    departure = z - (20.30 - 0.015 * (east - 500) - 0.15)
    assert 0.040 < departure.max() < 0.060
    assert -0.045 < departure.min() < -0.025
    assert abs(np.median(departure)) < 0.002
    assert_allclose([east.min(), east.max()], [499.5, 508.5], atol=0.06)
    assert_allclose([north.min(), north.max()], [799.5, 812.5], atol=0.06)
