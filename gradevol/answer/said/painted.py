"""Painted: what the marks of the base mean, in words."""

from gradevol.answer.grade import Grade


def say_sense(grade: Grade) -> tuple[str, str]:
    """Say what the marks mean: in a sentence for each letter, then by an example."""
    high, low = (grade.say_steps(limit / grade.step) for limit in (grade.high, grade.low))
    within = f"no more than {high} {grade.unit} high or low"
    if high != low:
        within = f"no more than {high} {grade.unit} high, {low} {grade.unit} low"
    examples = {
        "mm": "C25 = 25 mm",
        "in": "C 1/2 = 1/2 in (inches and eighths)",
        "ft": "C.10 = 0.10 ft (tenths and hundredths)",
    }
    return (
        "C = base high, take down. F = base low, fill or pour. G = on grade.",
        f"{examples[grade.unit]}. G: {within}{say_basis(grade)}.",
    )


def say_basis(grade: Grade) -> str:
    """Say that the job gives no tolerance, or only one; empty where it gives both."""
    if grade.is_high_given and grade.is_low_given:
        return ""
    which = "tolerance"
    if grade.is_high_given or grade.is_low_given:
        which = f"{'low' if grade.is_high_given else 'high'} tolerance"
    return f" (no {which} given: the shots' own accuracy)"
