"""What the fuzz does not weigh: damage that makes another file, which nothing can tell of."""

import pytest

from docs.studies.fuzz_oracle import is_another

TEXT = b"id,e,n,z,code\n" + b"".join(b"%d,1.5,2.5,99.25,BASE\n" % at for at in range(9))


@pytest.mark.parametrize(
    ("cut", "expected"),
    [(b"BASE\n", False), (b"ASE\n", True), (b"\n", True), (b"25,BASE\n", False), (b"", True)],
)
def test_a_text_is_another_only_where_nothing_tells_of_the_cut(cut, expected):
    assert is_another(TEXT.removesuffix(cut), TEXT, "cut_short") == expected


def test_half_an_end_of_a_line_is_none():
    good = TEXT.decode().encode("utf-16")
    lost = good.replace("\n".encode("utf-16-le"), b"\n\x59", 1)
    assert good.count(b"\n") == lost.count(b"\n")
    assert is_another(lost, good, "blank_block")


def test_a_line_that_is_gone_makes_another_text_and_one_that_is_changed_does_not():
    assert is_another(TEXT.replace(b"3,1.5,2.5,99.25,BASE", b""), TEXT, "cut_out")
    wide = TEXT.decode().encode("utf-16")
    emptied = wide.replace("3,1.5,2.5,99.25,BASE".encode("utf-16-le"), b"")
    assert is_another(emptied, wide, "cut_out")
    assert not is_another(TEXT.replace(b"3,1.5,2.5,99.25", b"3,1.5,9.25"), TEXT, "cut_out")
