"""The page as a phone and a desk show it, against kept pictures."""

import os
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.golden.compare import assert_looks_like, keep

from .conftest import DESKTOP, PHONE

PICTURES = Path(__file__).parents[1] / "golden" / "pictures"
#: Letters are the browser's own, and differ from machine to machine: only the mean is held, of 255.
WORST, MEAN = 256, 2.5

pytestmark = [pytest.mark.browser, pytest.mark.golden]


def take(page, path):
    """The plan of a page, as it is first seen, whatever height the words above it have."""
    page.add_style_tag(content="main > :not(#plan) { display: none; }")
    page.locator("#map").screenshot(path=path, animations="disabled", scale="css")


@pytest.mark.parametrize(("name", "size"), [("page_phone", PHONE), ("page_desk", DESKTOP)])
def test_the_plan_of_the_page_looks_as_it_did(apron, show, tmp_path, name, size):
    picture = tmp_path / f"{name}.png"
    take(show(apron, **size), picture)
    if os.environ.get("GRADEVOL_KEEP_PICTURES"):
        keep(picture, PICTURES / f"{name}.png")
    assert_looks_like(picture, PICTURES / f"{name}.png", worst=WORST, mean=MEAN)


def test_a_plan_without_its_thin_spot_is_found_to_differ(apron, show, tmp_path):
    picture = tmp_path / "page_phone.png"
    take(show(apron, **PHONE), picture)
    with Image.open(picture) as drawn:
        spoilt = drawn.convert("RGB")
    wide, high = spoilt.size
    box = (0.5 * wide, 0.2 * high, 0.8 * wide, 0.4 * high)
    ImageDraw.Draw(spoilt).rectangle(box, fill="white")
    spoilt.save(picture)
    with pytest.raises(AssertionError, match=r"page_phone-difference\.png"):
        assert_looks_like(picture, PICTURES / "page_phone.png", worst=WORST, mean=MEAN)
