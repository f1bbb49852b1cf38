"""An inventory as text for a screen, and as JSON."""

import json
import textwrap

from gradevol.doubts.described.facts import Fact, Group, Inventory
from gradevol.ground.words import show

#: Columns of text.
_WIDTH = 80
#: Groups that are listed; the rest are counted.
_MOST_GROUPS = 12


def compose_inventory(inventory: Inventory) -> str:
    """Compose the text: facts, groups, and what looks wrong, about one screen."""
    told = [fact for fact in inventory.facts if fact.text]
    width = max(len(fact.label) for fact in told) + 2
    lines = [f"{show(inventory.name)}: {inventory.title}", ""]
    for fact in told:
        lines += _wrap(fact, width)
    if inventory.groups:
        lines += ["", *_list_groups(inventory)]
    lines.append("")
    if not inventory.findings:
        text = f"Nothing looks wrong (looked at: {inventory.looked_at})."
        lines += textwrap.wrap(text, _WIDTH, break_on_hyphens=False)
        return "\n".join(lines) + "\n"
    lines.append("What looks wrong")
    for number, finding in enumerate(inventory.findings, start=1):
        mark = f"  {number}. "
        lines += textwrap.wrap(
            finding.text,
            _WIDTH,
            initial_indent=mark,
            subsequent_indent=" " * len(mark),
            break_long_words=False,
            break_on_hyphens=False,
        )
    return "\n".join(lines) + "\n"


def _wrap(fact: Fact, width: int) -> list[str]:
    label = f"  {fact.label:{width}}"
    if len(label) + len(fact.text) <= _WIDTH:
        return [label + fact.text]
    return textwrap.wrap(
        fact.text,
        _WIDTH,
        initial_indent=label,
        subsequent_indent=" " * len(label),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _list_groups(inventory: Inventory) -> list[str]:
    head = {"codes": "Code", "classes": "Class", "setups": "Setup"}[inventory.grouped_by]
    shown = inventory.groups[:_MOST_GROUPS]
    names = [show(group.name) or "(none)" for group in shown]
    wide = max(map(len, [head, *names])) + 2
    counts = max(map(len, ["Points", *(f"{group.count:,}" for group in shown)]))
    digits = inventory.digits
    values = [v for group in shown for v in (group.low, group.high) if v is not None]
    level = max((len(f"{value:.{digits}f}") for value in values), default=0)

    def row(name: str, group: Group) -> str:
        line = f"  {name:{wide}}{group.count:{counts},}"
        if group.low is None or group.high is None:
            return line
        return f"{line}   {group.low:{level}.{digits}f} to {group.high:{level}.{digits}f}"

    lines = [f"  {head:{wide}}{'Points':>{counts}}   Lowest to highest".rstrip()]
    lines += [row(name, group) for name, group in zip(names, shown, strict=True)]
    if rest := inventory.groups[_MOST_GROUPS:]:
        lines.append(f"  and {len(rest):,} more, {sum(group.count for group in rest):,} points")
    return lines


def compose_inventory_json(inventory: Inventory) -> str:
    """Compose one JSON object with the same facts, groups and findings."""
    view = {
        "schema": 1,
        "file": inventory.name,
        "kind": inventory.kind,
        "title": inventory.title,
        "looked_at": inventory.looked_at,
        **{fact.key: fact.value for fact in inventory.facts},
    }
    if inventory.groups:
        view[inventory.grouped_by] = [
            {"name": group.name, "count": group.count, "low": group.low, "high": group.high}
            for group in inventory.groups
        ]
    view["wrong"] = [
        {
            "code": finding.code,
            "text": finding.text,
            "lines": list(finding.lines),
            "points": list(finding.points),
        }
        for finding in inventory.findings
    ]
    return json.dumps(view, indent=2, allow_nan=False) + "\n"
