"""What every page stands in: its head with styles, its cautions, its scripts."""

from collections.abc import Sequence
from html import escape
from pathlib import Path
from string import Template

from gradevol.answer.cautions import CAUTIONS
from gradevol.out.pages.markup import paragraph, say


def fill_page(
    name: str,
    *,
    title: str,
    kind: str,
    styles: Sequence[str],
    scripts: Sequence[str],
    **gaps: str,
) -> str:
    """
    Fill a page.

    Parameters
    ----------
    name : str
        Of the file that holds its body.
    title : str
        Of the job, plain text.
    kind : str
        What the page is: stands behind that in its title.
    styles, scripts : sequence of str
        Names of files, in their order.
    **gaps : str
        Markup for the gaps of the body, beside ``title``, ``cautions`` and ``script``.

    Returns
    -------
    str
        HTML that asks nothing of a network.
    """
    title = escape(title)
    body = Template(_read(name)).substitute(
        gaps,
        title=title,
        cautions="".join(paragraph(say(caution)) for caution in CAUTIONS),
        script=_join(scripts),
    )
    return Template(_read("shell.html")).substitute(
        title=title, kind=kind, style=_join(styles), body=body.removesuffix("\n")
    )


def _join(names: Sequence[str]) -> str:
    return "\n".join(map(_read, names))


def _read(name: str) -> str:
    return Path(__file__).with_name(name).read_text(encoding="utf-8")
