"""The head of the page: what to do first, how much concrete, how sure, what to order, how thick."""

from collections.abc import Sequence

from gradevol.answer.statement import FIRST, Statement, Topic, Weight
from gradevol.ground.words import end_sentence
from gradevol.out.pages.markup import Marker, halve, paragraph, say
from gradevol.out.pages.sections import name_target

#: Topics whose names and values stand in large figures.
_LARGE = ("thickness", "thin")
_RESTS_ON = ("volume", "survey")
#: What comes before the volume: it rests on it.
_BEFORE = "suspects"
#: Topics whose lists stand open below the head.
_BELOW = (_BEFORE, "work")
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
    volume, survey = (next(topic for topic in topics if topic.key == key) for key in _RESTS_ON)
    total, *rest = volume.statements
    beside = [said for said in rest if said.weight >= Weight.TELLS]
    below = [survey.statements[0], *(said for said in rest if said.weight == Weight.DETAILS)]
    return (
        '<section id="answer" aria-labelledby="title">'
        '<p class="kind">Base check before the pour</p>'
        f'<h1 id="title">{say(title) or "Base check"}</h1>'
        f"{_before(topics, marker)}"
        f'<p class="big">{_big(total, marker)}</p>'
        f"{_orders([topic for topic in topics if topic.key == 'order'], marker)}"
        f"{paragraph(_run_on(beside, marker), 'margin')}"
        f"{_first(topics, marker)}{_then(topics, marker)}{_large(topics, marker)}"
        f"{paragraph(_run_on(below, marker), 'soft')}</section>"
    )


def _before(topics: Sequence[Topic], marker: Marker) -> str:
    """Say what to do before the volume is believed."""
    return "".join(
        f'<p class="before"><a href="#{name_target(topic)}">{marker.mark(said.short)}</a></p>'
        for key in FIRST
        for topic in topics
        if (said := topic.find(key))
    )


def _big(total: Statement, marker: Marker) -> str:
    """Set the unit of a figure smaller than its digits."""
    marked = marker.mark(total.figure or total.short)
    digits, _, unit = marked.removesuffix("</data>").rpartition("\u00a0")
    return (
        f'{digits}<span class="unit">\u00a0{unit}</span></data> <span class="of">of concrete</span>'
    )


def _run_on(told: Sequence[Statement], marker: Marker) -> str:
    """Say statements one after another; of one with a name what it says is in ink."""
    return " ".join(
        f"{say(said.label)}: <b>{marker.mark(said.short)}</b>."
        if said.label
        else f"{marker.mark(said.full)}."
        for said in told
    )


def _orders(topics: Sequence[Topic], marker: Marker) -> str:
    """Say what to order large, and what comes of it below; of many what they come to."""
    told = [(topic, said) for topic in topics if (said := topic.find("order.volume"))]
    told = [(topic, said) for topic in topics if (said := topic.find("order.all"))] or told
    return "".join(_order(topic.group, said, marker) for topic, said in told)


def _order(name: str, said: Statement, marker: Marker) -> str:
    lead = f"{say(name)}: order" if name else "Order"
    order, rest = (marker.mark(half) for half in halve(said.full, "; "))
    return paragraph(f'<a href="#order">{lead} {order}</a><small>{rest}</small>', "order")


def _large(topics: Sequence[Topic], marker: Marker) -> str:
    told = [
        said
        for topic in topics
        if topic.key in _LARGE
        for said in topic.statements
        if said.figure is not None and said.label and said.weight >= Weight.TELLS
    ]
    large = []
    for said in told:
        value = marker.mark(said.figure or "")
        value = value.replace(">less than ", '><span class="lead">less than</span> ')
        small = "; ".join(marker.mark(words) for words in said.details if words)
        alert = "alert" if said.is_alert else ""
        more = f"<small>{small}</small>" if small else ""
        name = say(said.label)
        large.append(f'<div><dt>{name}</dt><dd><b class="{alert}">{value}</b>{more}</dd></div>')
    return f'<dl class="stats">{"".join(large)}</dl>'


def _first(topics: Sequence[Topic], marker: Marker) -> str:
    """Say what else to do before the pour, in the order of the topics."""
    lines = []
    for topic in topics:
        if topic.key in _BELOW:
            continue
        acts = [said for said in topic.statements if said.weight == Weight.ACTS]
        lines += [_act(said, topic, marker) for said in acts[:_MOST]]
        if len(acts) > _MOST:
            title = say(topic.title[:1].lower() + topic.title[1:])
            lines.append(_link(topic, f"<b>{len(acts) - _MOST} more</b>: {title}."))
    items = "".join(f"<li>{line}</li>" for line in lines)
    return f'<h2 class="small">First</h2><ol class="first">{items}</ol>' if lines else ""


def _act(said: Statement, topic: Topic, marker: Marker) -> str:
    """Say what to do, as a link to the section that tells all of it."""
    text = marker.mark_capital(said.short)
    word, gap, rest = text.partition(" ")
    if "<" not in word:
        text = f"<b>{word}</b>{gap}{rest}"
    where = say(said.where) if said.where and said.where not in str(said.short) else ""
    return _link(topic, f"{'; '.join(filter(None, (text, where)))}.")


def _link(topic: Topic, words: str) -> str:
    """Link all of some words to a topic's section: as wide as a thumb needs."""
    return f'<a href="#{name_target(topic)}">{words}</a>'


def _then(topics: Sequence[Topic], marker: Marker) -> str:
    """Say the concrete once that is done; what is conditional stands with the fix list."""
    told = [
        marker.mark_capital(said.short)
        for topic in topics
        if topic.key == "after_work"
        for said in topic.statements
        if said.weight >= Weight.TELLS and said.short
    ]
    return paragraph(" ".join(map(end_sentence, told)), "then") if told else ""
