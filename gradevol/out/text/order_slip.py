"""``gradevol order``: the slip to read aloud or send, then what it is made of."""

from collections.abc import Sequence

from gradevol.answer.statement import Statement, Topic, Weight, join
from gradevol.ground.words import plain
from gradevol.out.text.wrapping import hang, join_blocks, wrap

_MARGIN = 12


def compose_order(topics: Sequence[Topic]) -> str:
    """
    Write orders as text.

    Parameters
    ----------
    topics : sequence of Topic
        Those of an answer: ``need`` and ``order`` of each pour, and ``before_order``.

    Returns
    -------
    str
        For each pour that is called on its own, or for the whole slab, its text message, and below
        it what it is made of and rests on; what no order must be read without after all.

    Raises
    ------
    ValueError
        If nothing is ordered.
    """
    orders = [topic for topic in topics if topic.key == "order"]
    if not orders:
        raise ValueError("an answer without an order")
    blocks = []
    for order in orders:
        needs = [topic for topic in topics if (topic.key, topic.group) == ("need", order.group)]
        slip = order.find("order.slip")
        lines = [plain(order.group), ""] if order.group else []
        lines += [*wrap(str(slip.full)), ""] if slip else []
        blocks.append([*lines, *_lay_out([*needs, order])])
    blocks.append(
        _lay_out([topic for topic in topics if topic.key == "before_order"], Weight.SPARE)
    )
    return join_blocks(blocks)


def _lay_out(topics: Sequence[Topic], least: Weight = Weight.DETAILS) -> list[str]:
    """Lay statements out beside a margin, in which a label stands once for all that it heads."""
    lines: list[str] = []
    for topic in topics:
        label = ""
        for one in topic.at_least(least):
            heading = one.label if one.label and not one.cells else topic.label
            shown = "" if heading == label or (label and not one.label) else heading
            label = heading or label
            lines += hang(shown, _say(one), _MARGIN)
    return lines


def _say(one: Statement) -> str:
    """Say a row of a table, a figure with what goes with it, or words."""
    if one.cells:
        return str(join(", ", [f"{one.figure} {one.label}", *one.details]))
    if one.figure is not None:
        return str(join("; ", [one.figure, *one.details]))
    return str(one.full)
