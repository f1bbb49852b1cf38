"""The screen of the day of the pour: what gives way where not all finds room."""

from gradevol.answer.statement import Statement, Topic, Weight, words
from gradevol.out.text.day import LINES, compose_day_text


def topic(label, weight, *texts):
    said = (Statement("x", weight, short=words("{}", text)) for text in texts)
    return Topic(label.lower(), label, label, tuple(said))


def test_what_a_call_rests_on_gives_way_to_what_may_be_wrong_with_the_tickets():
    text = compose_day_text(
        "Pad",
        [
            topic("", Weight.DECIDES, *["Call 4 yd³."] * 4),
            topic("Alert", Weight.DECIDES, *["Load 3 is out of line."] * 8),
            topic("Call", Weight.TELLS, *(f"It rests on {number}." for number in range(9))),
            topic("Note", Weight.ACTS, "Load 3 is ticketed as two trucks.", "Load 4 went back."),
        ],
    )
    lines = text.splitlines()
    assert len(lines) == LINES
    assert [line[10:] for line in lines if "Load 3 is tick" in line or "Load 4" in line] == [
        "Load 3 is ticketed as two trucks.",
        "Load 4 went back.",
    ]
    assert "It rests on 5." in text
    assert "It rests on 6." not in text
    assert "and 3 more: see --json" in text
