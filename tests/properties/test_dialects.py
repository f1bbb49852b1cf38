"""The same points read the same however a program wrote them."""

import csv
import io
import tempfile
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import Shots
from gradevol.ground.errors import InputError

thousandths = st.integers(-9_999_999, 9_999_999)
points = st.lists(st.tuples(*[thousandths] * 3), min_size=3, max_size=12)
dialects = st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ",")])
encodings = st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])
ends = st.sampled_from(["\n", "\r\n", "\r"])
words = st.sampled_from(["BASE", "form top", "EDGE, wet", 'say "so"', "A;B", "½ Höhe", ""])


def written(rows, *, delimiter, decimal, encoding, end, header):
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=delimiter, lineterminator=end)
    if header:
        writer.writerow(header)
    for point, n, e, z, word in rows:
        numbers = [f"{value / 1000:.3f}".replace(".", decimal) for value in (n, e, z)]
        writer.writerow([point, *numbers, word])
    return stream.getvalue().encode(encoding)


def read(data, unit="m"):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shots.csv"
        path.write_bytes(data)
        return read_delimited(Shots((path,), unit))


@given(points, dialects, st.tuples(encodings, ends), st.booleans(), st.data())
def test_the_dialect_does_not_change_the_points(shots, dialect, form, headed, data):
    rows = [(f"P{i}", *shot, data.draw(words)) for i, shot in enumerate(shots)]
    header = ["Point", "Northing", "Easting", "Elevation", "Description"] if headed else None
    (delimiter, decimal), (encoding, end) = dialect, form
    survey = read(
        written(
            rows, delimiter=delimiter, decimal=decimal, encoding=encoding, end=end, header=header
        )
    )
    expected = [[e / 1000, n / 1000, z / 1000] for _, n, e, z, _ in rows]
    assert_allclose(survey.points + survey.origin, expected, rtol=0, atol=1e-9)
    assert survey.ids == tuple(row[0] for row in rows)
    assert (survey.codes or ("",) * len(rows)) == tuple(row[4] for row in rows)


@given(points)
def test_blanks_that_align_columns_change_nothing(shots):
    lines = [
        f"{i:>6}{n / 1000:>14.3f}{e / 1000:>14.3f}{z / 1000:>12.3f}   BASE"
        for i, (n, e, z) in enumerate(shots)
    ]
    survey = read("\n".join(lines).encode())
    commas = read("\n".join(",".join(line.split()) for line in lines).encode())
    assert_array_equal(survey.points, commas.points)
    assert survey.ids == commas.ids


@given(points, st.permutations(["point", "northing", "easting", "elevation"]))
def test_the_order_of_columns_is_the_headers(shots, order):
    rows = [dict(zip(("northing", "easting", "elevation"), shot, strict=True)) for shot in shots]
    text = ",".join(order) + "\n"
    for i, row in enumerate(rows):
        text += ",".join(
            f"P{i}" if name == "point" else f"{row[name] / 1000:.3f}" for name in order
        )
        text += "\n"
    survey = read(text.encode())
    expected = [[row["easting"], row["northing"], row["elevation"]] for row in rows]
    assert_allclose((survey.points + survey.origin) * 1000, expected, rtol=0, atol=1e-6)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused_in_words(data):
    said = ""
    count = 0
    try:
        count = len(read(data).points)
    except InputError as error:
        said = str(error)
    assert count >= 3 or "shots.csv" in said
