"""Weaving: one markup of what is said in several notations of lengths, for a key to turn."""

import re
from collections.abc import Mapping
from html import escape

from gradevol.ground.units import Notation

#: Tags of elements that hold others; what stands between them is a line of words.
_FRAME = re.compile(
    r"(</?(?:section|h\d|p|[uod]l|li|d[itd]\w*|table|caption|thead|tbody|t[rhd]|details|summary|nav)\b[^>]*>)"
)


def weave(written: Mapping[Notation, str]) -> str:
    """
    Weave what is the same but for its lengths into one markup.

    Parameters
    ----------
    written : mapping of str to str
        Markup by notation; the first is what is shown where no script runs.

    Returns
    -------
    str
        The first. Lines that another says otherwise are spans that carry that as an attribute,
        named for its notation. A notation that is laid out otherwise is left out.
    """
    (_, first), *others = ((name, _FRAME.split(markup)) for name, markup in written.items())
    others = [(name, lines) for name, lines in others if len(lines) == len(first)]
    woven = []
    for number, line in enumerate(first):
        is_frame = number % 2 == 1
        said = {name: lines[number] for name, lines in others}
        if is_frame or all(other == line for other in said.values()):
            woven.append(line)
        else:
            held = "".join(f' data-{name}="{escape(other)}"' for name, other in said.items())
            woven.append(f'<span class="turns"{held}>{line}</span>')
    return "".join(woven)
