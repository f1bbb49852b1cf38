"""The order as a text message, to read aloud or send, of letters that any telephone takes."""

import math
import unicodedata
from collections.abc import Iterator
from itertools import groupby, product

from gradevol.answer.said.day_words import say_clock
from gradevol.answer.said.step_words import StepWords, say_given, say_hours, say_short
from gradevol.ground.look_alikes import LOOK_ALIKES
from gradevol.ground.units import Units
from gradevol.ground.words import capital, count_of, first_of, noun_of
from gradevol.job.terms import Terms
from gradevol.plan.order import Order, Taker
from gradevol.plan.order.loads import Staged

#: A text message of two parts has 306 characters; one of ours no more than this.
LONGEST = 300
#: What parts one thing that is done first from the next.
_PARTS = "; "
#: The basic set of GSM, 3GPP TS 23.038, without breaks of lines: of these a message takes 160, or
#: 306 in two parts; one character beyond them makes it 70.
BASIC = frozenset(
    "@£$¥èéùìòÇØøÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡"
    "ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
#: Brackets and the like count twice in GSM.
_PLAIN = str.maketrans(
    LOOK_ALIKES
    | {"~": "-", "^": "'", "`": "'", "\\": "/", "|": "/", "[": "(", "]": ")", "{": "(", "}": ")"}
)


def compose_slip(order: Order, units: Units, *, title: str, part: str = "", first: str = "") -> str:
    """
    Compose the order as a text message.

    Parameters
    ----------
    order : Order
    units : Units
    title : str
    part : str
        Of the slab, that is ordered by itself; empty: all of it.
    first : str
        What is done before it is believed: ``reshoot 41 first``.

    Returns
    -------
    str
        `LONGEST` characters at most, all of them of plain text messages: where it would be longer,
        the title is left out, the name of the part last of all, or the last of what can take the
        extra, or both; then the last of what is done first, and it is said of how much.
    """
    words = StepWords(order, units)
    named = [folded for name in (title, part) if (folded := fold_text(name))]
    heads = [*(f"{', '.join(named[at:])}: " for at in range(len(named))), ""]
    body = [_say_need(order, words), _say_order(order, words), *_say_stages(order, words)]
    most = len(order.takers)
    shortest = heads[max(len(named) - 1, 0)]
    fewer = [(count, shortest) for count in reversed(range(most))]
    shown = [*((most, head) for head in heads), *fewer, (0, "")]
    told = ""
    for before, (count, head) in product(_shorten(fold_text(first)), shown):
        said = [
            *([f"{before}."] if before else []),
            *body,
            *_say_takers(order.takers, words, count),
        ]
        chance = order.choice.chance_short
        if chance is not None:
            stands = "as it stands, " if before else ""
            said.append(capital(f"{stands}{say_short(chance, order)} chance short."))
        said[0] = said[0][0].lower() + said[0][1:] if head else capital(said[0])
        told = head + " ".join(said)
        if len(told) <= LONGEST:
            break
    return told[:LONGEST]


def _shorten(first: str) -> Iterator[str]:
    """What is done first, then less and less of it, the least that much is to be looked up."""
    parts = first.split(_PARTS)
    yield first
    for count in range(len(parts) - 1, 0, -1):
        yield _PARTS.join([*parts[:count], f"look up {len(parts) - count} more in the check first"])
    yield "look up in the check what to do first" if first else ""


def _say_need(order: Order, words: StepWords) -> str:
    need = order.need
    said = f"Need {words.need(need.mean)} {words.units.volume}"
    found = need.find_range(order.level)
    if found is None:
        return f"{said}, margin not known."
    jobs = f", by {count_of(need.jobs, 'earlier job')}" if need.jobs else ""
    return f"{said} ({words.range(*found)} at {say_given(order.level)}{jobs})."


def _say_order(order: Order, words: StepWords) -> str:
    said = f"Order {words.say(order.choice.volume)}"
    if order.staged is not None:
        return f"{said}: go {list_loads(order.staged.go, words)}, hold."
    if order.loads:
        return f"{said}: {say_loads_of(order, words)}."
    return f"{said}."


def _say_stages(order: Order, words: StepWords) -> list[str]:
    staged = order.staged
    if staged is None:
        return []
    first, count = len(staged.go) + 1, len(staged.balance)
    last = "" if count == 1 else f" {'and' if count == 2 else 'to'} {first + count - 1}"
    return [
        f"Call {noun_of(count, 'load')} {first}{last} {say_call(staged, order.terms)}.",
        f"Expect {say_balance(staged, words)} for {'it' if count == 1 else 'them'}.",
    ]


def say_balance(staged: Staged, words: StepWords) -> str:
    """Say between what the balance will be, in whole steps: ``2.5 to 6.75``."""
    most = max(staged.high, sum(staged.balance))
    return f"{words.down(staged.low)} to {words.up(most)}"


def say_call(staged: Staged, terms: Terms) -> str:
    """Say when to call the balance: ``once load 6 is on site, by 8:50``."""
    when = f"once load {staged.call_after} is on site"
    by = say_call_time(staged, terms)
    return f"{when}, {by}" if by else when


def say_call_time(staged: Staged, terms: Terms) -> str:
    """Say by when to call the balance; empty where nothing is known of it."""
    if staged.call_at is None:
        return "" if terms.notice is None else f"{say_hours(terms.notice)} ahead"
    if terms.start is None:
        minutes = math.floor(staged.call_at * 60 + 1e-6)  # never later than it is
        return f"by {say_hours(minutes / 60)} after load 1"
    return f"by {say_clock(terms.start + staged.call_at)}"


def _say_takers(takers: tuple[Taker, ...], words: StepWords, most: int) -> list[str]:
    """Say the first so many that can take the extra, and how many more there are."""
    if not takers or most == 0:
        return []
    named = [
        f"{fold_text(taker.pour.name) or f'small pour {number}'} "
        f"{f'{taker.pour.count} x ' if taker.pour.count > 1 else ''}"
        f"{words.small(taker.pour.volume)}"
        for number, taker in enumerate(takers, start=1)
    ]
    return [f"Extra goes to: {first_of(named, most)}."]


def list_loads(loads: tuple[float, ...], words: StepWords) -> str:
    """Loads in a row, those alike counted: ``7 x 10 + 6.5``."""
    runs = [(said, len(list(run))) for said, run in groupby(map(words.say, loads))]
    return " + ".join(said if count == 1 else f"{count} x {said}" for said, count in runs)


def say_loads_of(order: Order, words: StepWords) -> str:
    """Say the loads of an order: ``7 x 10 + 6.5``, ``one load``."""
    return "one load" if len(order.loads) == 1 else list_loads(order.loads, words)


def fold_text(text: str) -> str:
    """
    Fold text into characters of a plain text message.

    Returns
    -------
    str
        In one line: accents that the set lacks are taken off, what has no plain form is left out.
        Empty where no letter or digit remains.
    """
    said = []
    for letter in unicodedata.normalize("NFC", text):
        if letter in BASIC:
            said.append(letter)
        elif letter.isspace() or not letter.isprintable():
            said.append(" ")
        else:
            plain = unicodedata.normalize("NFKD", letter.translate(_PLAIN)).translate(_PLAIN)
            said.append("".join(part for part in plain if part in BASIC))
    folded = " ".join("".join(said).split())
    return folded if any(letter.isalnum() for letter in folded) else ""
