"""Lines that are said otherwise in another notation carry that beside them."""

import re
from html import unescape

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.out.pages.page import compose_page
from gradevol.out.pages.weaving import weave


def turn(woven, notation):
    """Do what the page's key does."""
    line = re.compile(rf'<span class="turns"[^>]*data-{notation}="([^"]*)"[^>]*>.*?</span>')
    return line.sub(lambda found: unescape(found[1]), woven)


def test_only_lines_that_differ_are_woven():
    first, other = (
        f'<section id="a"><p class="soft">Least <data value="0.4">{length}</data></p>'
        "<ul><li>72.7 yd³ &amp; more</li></ul></section>"
        for length in ("4 3/4 in", "0.40 ft")
    )
    woven = weave({"": first, "hundredths": other})
    assert woven.count('class="turns"') == 1
    assert turn(woven, "hundredths") == other
    assert re.sub(r'<span class="turns"[^>]*>(.*?)</span>', r"\1", woven) == first


def test_quotes_and_tags_of_the_other_are_safe():
    woven = weave({"": "<p>12 ft 4 in</p>", "inches": "<p>5'-6 1/2\" <b>&lt;x&gt;</b></p>"})
    (held,) = re.findall(r'data-inches="([^"]*)"', woven)
    assert unescape(held) == "5'-6 1/2\" <b>&lt;x&gt;</b>"
    assert woven.count("<b>") == 0


def test_what_is_laid_out_otherwise_is_left_out():
    assert weave({"": "<p>a</p>", "inches": "<p>a</p><p>b</p>"}) == "<p>a</p>"


def test_one_notation_alone_is_as_it_is():
    assert weave({"": "<p>3.76 m</p>"}) == "<p>3.76 m</p>"


@pytest.mark.parametrize("notation", ["inches", "hundredths"])
def test_every_part_of_a_page_is_said_in_each_notation(apron, notation):
    """No part is laid out otherwise: each has lines that turn."""
    page = compose_page(compose_answer(apron))
    for part in ("answer", "work", "thickness"):  # of the head, the lists, what is folded up
        section = page.split(f'<section id="{part}"')[1].split("</section>")[0]
        assert f"data-{notation}=" in section, part
