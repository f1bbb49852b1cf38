"""The head of the page: how much concrete, how sure, what to order, how thick, what to do first."""

from collections.abc import Sequence

from gradevol.answer.statement import Statement, Topic, Weight
from gradevol.out.pages.markup import Marker, facts, paragraph, say

#: Topics whose names and values stand in large figures.
_LARGE = ("thickness", "thin")
#: Things to do that are told of one topic, at most.
_MOST = 2


def compose_head(title: str, topics: Sequence[Topic], marker: Marker) -> str:
    """
    Compose the head of the page.

    Parameters
    ----------
    title : str
    topics : sequence of Topic
        In their order; what decides and what acts is taken out of them by its weight.
    marker : Marker
    """
    volume = next(topic for topic in topics if topic.key == "volume")
    total, *rest = volume.statements
    return (
        '<section id="answer" aria-labelledby="title">'
        '<p class="kind">Base check before the pour</p>'
        f'<h1 id="title">{say(title) or "Base check"}</h1>'
        f'<p class="big">{_big(total, marker)}</p>'
        f"{''.join(_beside(one, marker) for one in rest)}"
        f"{''.join(_order(topic) for topic in topics if topic.key == 'order')}"
        f"{_large(topics, marker)}{_first(topics, marker)}{_then(topics, marker)}</section>"
    )


def _big(total: Statement, marker: Marker) -> str:
    """Set the unit of a figure smaller than its digits."""
    marked = marker.mark(total.figure or total.short)
    digits, _, unit = marked.removesuffix("</data>").rpartition("\u00a0")
    return (
        f'{digits}<span class="unit">\u00a0{unit}</span></data> <span class="of">of concrete</span>'
    )


def _beside(said: Statement, marker: Marker) -> str:
    """Say what goes with the volume: what decides in ink, the rest softer."""
    if said.weight < Weight.DETAILS:
        return ""
    text = marker.mark(said.full)
    if said.label:
        text = f"{say(said.label)}: <b>{marker.mark(said.short)}</b>"
    return paragraph(text, "margin" if said.weight == Weight.DECIDES else "soft")


def _order(topic: Topic) -> str:
    """Say what to order large, and what comes of it below."""
    said = topic.find("order.volume")
    if said is None:
        return ""
    lead = f"{say(topic.group)}: order" if topic.group else "Order"
    order, _, rest = str(said.short).partition("; ")
    return paragraph(f'<a href="#order">{lead} {say(order)}</a><small>{say(rest)}</small>', "order")


def _large(topics: Sequence[Topic], marker: Marker) -> str:
    told = [
        said
        for topic in topics
        if topic.key in _LARGE
        for said in topic.statements
        if said.figure is not None and said.label and said.weight >= Weight.TELLS
    ]
    pairs = []
    for said in told:
        value = marker.mark(said.figure or "")
        value = value.replace(">less than ", '><span class="lead">less than</span> ')
        small = "; ".join(marker.mark(words) for words in said.details if words)
        alert = "alert" if said.is_alert else ""
        more = f"<small>{small}</small>" if small else ""
        pairs.append((say(said.label), f'<b class="{alert}">{value}</b>{more}'))
    return facts(pairs, "stats")


def _first(topics: Sequence[Topic], marker: Marker) -> str:
    """Say what to do before the pour, in the order of the topics."""
    lines = []
    for topic in topics:
        acts = [said for said in topic.statements if said.weight == Weight.ACTS]
        lines += [_act(said, topic, marker) for said in acts[:_MOST]]
        if len(acts) > _MOST:
            link = _link(topic, f"{len(acts) - _MOST} more")
            lines.append(f"{link}: {say(topic.title[:1].lower() + topic.title[1:])}.")
    items = "".join(f"<li>{line}</li>" for line in lines)
    return f'<h2 class="small">First</h2><ol class="first">{items}</ol>' if lines else ""


def _act(said: Statement, topic: Topic, marker: Marker) -> str:
    """Say what to do: its first word is a link to the section that tells all of it."""
    text = marker.mark_capital(said.short)
    word, gap, rest = text.partition(" ")
    if "<" not in word:
        text = f"{_link(topic, word, said)}{gap}{rest}"
    where = f"; {say(said.where)}" if said.where and said.where not in str(said.short) else ""
    return f"{text}{where}."


def _link(topic: Topic, words: str, said: Statement | None = None) -> str:
    is_row = said is not None and said.mark and topic.key == "work"
    target = f"spot-{said.mark}" if is_row and said else topic.key.replace("_", "-")
    return f'<a href="#{target}">{words}</a>'


def _then(topics: Sequence[Topic], marker: Marker) -> str:
    """Say the concrete once that is done; what is conditional stands with the work list."""
    told = [
        marker.mark_capital(said.short)
        for topic in topics
        if topic.key == "after_work"
        for said in topic.statements
        if said.weight >= Weight.TELLS and said.short
    ]
    return paragraph(" ".join(told), "then") if told else ""
