"""Topics of a few words, and a summary as one line."""

from gradevol.answer.statement import Statement, Topic, Weight, words


def works(count, *, weight=Weight.TELLS, text="Shave: up to 5 mm"):
    """A fix list of so many rows."""
    lines = tuple(
        Statement(f"fix.{n}", weight, short=words(text), mark=f"{n}", cells=(f"{n}",))
        for n in range(1, count + 1)
    )
    return Topic("work", "Fix list", "Fix list", lines, ("place",))


def topic(key, *sentences, label="Label", weight=Weight.TELLS):
    said = (Statement(f"{key}.{n}", weight, short=words(s)) for n, s in enumerate(sentences))
    return Topic(key, key.capitalize(), label, tuple(said))
