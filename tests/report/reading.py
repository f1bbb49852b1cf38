"""What the page says, and what it must say of a place by the field itself."""

import math
import re
from collections.abc import Sequence
from typing import Any

import numpy as np
from axe_playwright_python.sync_playwright import Axe

from gradevol.answer.said.places import say_where
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.units import METRES
from gradevol.ground.words import with_minus
from gradevol.site.locating import locate

from .conftest import Report

#: All that the panel tells of a place, by the elements' ids.
TOLD = """() => Object.fromEntries(["about", "thick", "move", "where", "more", "flags"].map((id) =>
  [id, document.getElementById(id).innerText.replace(/\\s+/g, " ").trim()]))"""

#: Words under 7 to 1, borders under 3 to 1 of what is behind them (WCAG 2.2, 1.4.6 and 1.4.11).
TOO_FAINT = """() => {
  const part = (x) => (x / 255 <= 0.03928 ? x / 255 / 12.92 : ((x / 255 + 0.055) / 1.055) ** 2.4);
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const read = (text) => text.match(/[\\d.]+/g).map(Number);
  const behind = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const colour = read(getComputedStyle(at).backgroundColor);
      if (colour[3] !== 0) return colour;
    }
    return [255, 255, 255];
  };
  const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const faint = [];
  let seen = 0;
  for (const one of document.querySelectorAll("main *, footer *, body > button")) {
    if (!one.checkVisibility() || one.closest("#map, svg, .unseen")) continue;
    const style = getComputedStyle(one);
    const shown = one.outerHTML.slice(0, 80);
    const tell = (what, ratio) => faint.push(`${what} ${ratio.toFixed(2)} ${shown}`);
    if ([...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim())) {
      const ratio = contrast(read(style.color), behind(one));
      seen += 1;
      if (ratio < 7) tell("words", ratio);
    }
    for (const side of ["top", "right", "bottom", "left"]) {
      if (!parseFloat(style[`border-${side}-width`])) continue;
      const ground = behind(one.parentElement);
      // a filled button is seen by its filling
      const either = [style[`border-${side}-color`], style.backgroundColor].map(read);
      const ratio = Math.max(...either.map((colour) => contrast(colour, ground)));
      if (ratio < 3) tell(side, ratio);
    }
  }
  return [seen, faint];
}"""


def words(page: Any, selector: str) -> str:
    """What an element says, on one line."""
    return " ".join(page.locator(selector).inner_text().replace("\u00a0", " ").split())


def level_at(report: Report, levels: Any, places: Any) -> Any:
    """Levels of the field's corners, such as its thickness, at places (..., 2), m."""
    corners, at = np.dstack([report.result.field.corners, levels]), np.asarray(places, float)
    return nearest_level(corners, at.reshape(-1, 2)).reshape(at.shape[:-1])


def thickness_at(report: Report, places: Any) -> Any:
    """Thickness of the field itself at places (..., 2), m."""
    return level_at(report, report.result.field.thickness, places)


def around(report: Report, place: Any, reach: float) -> set[str]:
    """All thicknesses that may be read within a reach of a place, m, as they are said."""
    off = reach * np.array([(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)], float)
    found = thickness_at(report, np.asarray(place) + off)
    say = report.result.units.say_thickness
    return {say(x, down=True) for x in np.linspace(found.min() - 1e-4, found.max() + 1e-4, 50)}


def where_at(report: Report, place: Any) -> str:
    """Say how to tape a place, as the lists do."""
    slab = report.result.slab
    taping = locate((float(place[0]), float(place[1])), slab)
    return say_where(taping, report.result.units, slab.side_names)


def unfold(page: Any) -> None:
    """Open all that is folded up."""
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")


def say_mark(move: float, result: Any) -> str:
    """Say a mark: what is beyond the tolerance is never said as within it."""
    units, (low, high) = result.units, (result.slab.base_low, result.slab.base_high)
    step = 0.001 if units.is_metric else 0.01 * METRES[units.length]
    if -low <= move <= high:
        return "G"
    limit = high if move > 0 else low
    steps = max(math.floor((abs(move) + 3e-6) / step + 0.5), round(limit / step) + 1)
    said = f"{steps}" if units.is_metric else f"{steps / 100:.2f}".removeprefix("0")
    return f"{'C' if move > 0 else 'F'}{said}"


def say_move(cut: float, result: Any) -> str:
    """Say the same in words: hundredths of a foot or millimetres."""
    mark = say_mark(cut, result)
    if mark == "G":
        return "On grade"
    much = f"{mark[1:]} mm" if result.units.is_metric else f"{float(mark[1:]):.2f} ft"
    return f"{'Cut' if cut > 0 else 'Fill'} {much}"


def assert_reads(report: Report, read: Sequence[tuple[dict[str, str], Any]]) -> None:
    """The panel tells of each place just what the field and the lists do."""
    result, units = report.result, report.result.units
    places = [place for _, place in read]
    thick = thickness_at(report, places)
    bases = level_at(report, result.field.base, places) + result.survey.origin[2]
    near = np.array([-4e-6, 4e-6])  # what packing may turn
    for (told, place), thickness, base in zip(read, thick, bases, strict=True):
        cut = result.slab.thickness - thickness
        assert told["thick"] in {
            with_minus(units.say_thickness(thickness + x, down=True)) for x in near
        }
        assert told["move"] in {say_move(cut + x, result) for x in near}
        assert told["where"] == where_at(report, place)
        levels = re.search(r"Design base (.*?) Base here (.*? (?:ft|m))", told["more"])
        assert levels
        assert levels[1] in {with_minus(units.say_level(base - cut + x)) for x in near}
        assert levels[2] in {with_minus(units.say_level(base + x)) for x in near}
        assert ("Thinner than" in told["flags"]) == (thickness < result.slab.least_thickness)


def ground_of(page: Any, report: Report) -> tuple[Any, float]:
    """How places of the ground, m, lie on the screen: by the corners of the slab as drawn."""
    path = page.locator("#map path.border").last.get_attribute("d")
    drawn = np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path), float)
    edge = report.result.slab.edge
    frame = page.locator("#map").bounding_box()
    scale = float(np.ptp(drawn[:, 0]) / np.ptp(edge[:, 0]))
    west, north = edge[:, 0].min(), edge[:, 1].max()

    def to_screen(place: Any) -> tuple[float, float]:
        east = frame["x"] + drawn[:, 0].min() + (place[0] - west) * scale
        return float(east), float(frame["y"] + drawn[:, 1].min() + (north - place[1]) * scale)

    return to_screen, scale


def colours_at(page: Any, places: Any) -> Any:
    """Colours of the plan's canvas at places of the screen, (n, 3)."""
    return np.array(
        page.evaluate(
            """(places) => {
              const canvas = document.querySelector("#map canvas");
              const frame = canvas.getBoundingClientRect();
              const scale = canvas.width / frame.width;
              const { data } =
                canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
              return places.map(([x, y]) => {
                const [column, row] =
                  [(x - frame.left) * scale, (y - frame.top) * scale].map(Math.floor);
                const at = 4 * (row * canvas.width + column);
                return [...data.slice(at, at + 3)];
              });
            }""",
            [list(place) for place in places],
        )
    )


def find_faint(page: Any) -> list[str]:
    """Words and borders that are too faint for the sun, but for those of the plan."""
    seen, faint = page.evaluate(TOO_FAINT)
    assert seen > 100
    return list(faint)


def look_for_barriers(
    page: Any, within: str | None = None, *, contrast: bool = True
) -> dict[str, Any]:
    """
    Look with axe, at all of the page or a part; all nodes are told only of what is wrong.

    Contrast takes four fifths of its time: it is looked for once on each kind of page and colours,
    and elsewhere by `find_faint`, which asks for more of it.
    """
    rules = {} if contrast else {"rules": {"color-contrast": {"enabled": False}}}
    return Axe().run(page, within, {"resultTypes": ["violations"], **rules}).response


def find_barriers(
    page: Any, within: str | None = None, least: int = 20, *, contrast: bool = True
) -> list[tuple[str, str, str]]:
    """What seriously bars some from the page: the rule, the element, and what is wrong."""
    unfold(page)
    found = look_for_barriers(page, within, contrast=contrast)
    assert len(found["passes"]) > least
    return [
        (one["id"], node["html"], node["failureSummary"])
        for one in found["violations"]
        if one["impact"] in {"serious", "critical"}
        for node in one["nodes"]
    ]
