"""Shots of an invented lattice, and what is told of a file of them."""

import pytest

from gradevol.doubts.described import take_inventory

HEADER = "point,northing_ft,easting_ft,elevation_ft,code"


def shots():
    """A lattice of 9 ft by 10 ft on a gentle slope, a hundredth or so uneven, as rows of text."""
    return [
        [
            str(101 + 6 * j + i),
            f"{2000 + 10 * j:.3f}",
            f"{5000 + 9 * i:.3f}",
            f"{100.3 + 0.01 * i - 0.02 * j + ((5 * i + 7 * j + 3 * i * j) % 11 - 5) / 300:.2f}",
            "BASE",
        ]
        for j in range(9)
        for i in range(6)
    ]


@pytest.fixture
def take(tmp_path):
    """Take the inventory of rows or text, with or without a header."""

    def take(rows, header=HEADER, name="shots.csv", **asked):
        text = rows if isinstance(rows, str) else "\n".join(map(",".join, rows))
        path = tmp_path / name
        path.write_text(f"{header}\n{text}\n" if header else f"{text}\n", encoding="utf-8")
        return take_inventory(path, **asked)

    return take


def fact(inventory, key):
    (found,) = [each for each in inventory.facts if each.key == key]
    return found.value


def codes(inventory):
    return [finding.code for finding in inventory.findings]


def only(inventory, code):
    assert codes(inventory) == [code]
    return inventory.findings[0]
