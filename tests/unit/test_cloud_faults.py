"""Point clouds that lie: they are refused, and no point is lost in silence."""

import struct

import laspy
import lazrs
import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.ground.errors import InputError
from tests.clouds import FT_WKT, N, absolute, patch, points_of, read, refused, text, write

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


@pytest.mark.parametrize("off", [0.003, -0.003, 0.0])
def test_points_beyond_the_box_of_their_header_are_told(tmp_path, off):
    path = write(tmp_path / "a.las")
    level = struct.unpack_from("<d", path.read_bytes(), 171)[0]
    notes = read(patch(path, 171, "<d", level + off)).notes
    told = [note for note in notes if note.code == "cloud-beyond-box"]
    assert len(told) == bool(off)
    if told:
        assert told[0].measures[0].value == pytest.approx(0.003, abs=1e-6)


def test_a_box_that_is_off_the_earth_is_passed_over(tmp_path):
    path = patch(write(tmp_path / "a.las"), 211, "<dd", -1e300, 1e300)
    assert "cloud-beyond-box" not in [note.code for note in read(path).notes]


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


def test_an_unknown_packing_is_refused_with_a_remedy(tmp_path):
    path = write(tmp_path / "a.laz", kind=1)
    refused(patch(path, laszip_at(path), "<H", 4), "compressor 4, .*Unpack it to LAS")


def unchunk(path, cut=0):
    """Make of a LAZ of one chunk what the first LASzip wrote: the same run, and nothing else.

    No writer at hand makes such files. What differs is the number before the run, the table behind
    it, and two fields of the record.
    """
    content = path.read_bytes()
    start = struct.unpack_from("<I", content, 96)[0]
    table = struct.unpack_from("<q", content, start)[0]
    path.write_bytes((content[:start] + content[start + 8 : table])[: table - 8 - cut])
    at = laszip_at(path)
    return patch(patch(path, at, "<H", 1), at + 12, "<I", 0)


@pytest.mark.parametrize("kind", [0, 1, 2, 3])
def test_points_packed_without_chunks_are_read(tmp_path, kind, monkeypatch):
    monkeypatch.setattr("gradevol.files.clouds.las_runs._AT_ONCE", 150)
    path = unchunk(write(tmp_path / "a.laz", kind=kind, version="1.2"))
    assert_allclose(absolute(read(path, cell=0)), points_of(), rtol=0, atol=1e-9)


@pytest.mark.parametrize("cut", [1, 2, 3, 4, 5, 8, 50, 1000])
def test_points_packed_without_chunks_are_never_fewer_in_silence(tmp_path, cut):
    path = unchunk(write(tmp_path / "a.laz", kind=1, version="1.2"), cut)
    refused(path, "damaged or was cut short")


def test_more_points_than_were_packed_without_chunks_are_refused(tmp_path):
    path = unchunk(write(tmp_path / "a.laz", kind=1, version="1.2"))
    refused(patch(path, 107, "<I", N + 1), "damaged or was cut short")
    refused(patch(path, 107, "<I", 2**32 - 1), "4,294,967,295 points cannot be in")


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
            survey = read(path, unit="us-ft", classes=tuple(range(256)), cell=0)
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
