"""The forecast: what a slab will have taken, after each load, and which loads are out of line."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from gradevol.after.joint import Joint, Noise, Prior
from gradevol.after.steps import Step
from gradevol.files.tickets.loads import Load

#: A front that is further off than this many standard deviations is out of line: 1 of 370 sound
#: ones is.
LIMIT = 3.0
#: So much of an excess is held for one of its two causes before that is said.
CLEAR = 0.75
#: A front that is misread stands on the slab, or off it by as much as the model may be, a share of
#: all concrete. A judgement, no source.
OFF_SLAB = 0.1


@dataclass(frozen=True, slots=True)
class Alert:
    """
    A load whose front is out of line with the others.

    Attributes
    ----------
    excess : float
        Ticketed beyond what was expected behind its front, m³; negative: less.
    ahead : float or None
        How much farther the front would stand if it alone were misread, m; None where no tape
        decides.
    as_step, as_front : float
        How much of the excess is now held for concrete or its ticket, and for an error of that
        front, m³.
    total_if_step, total_if_ticket, total_if_front : float
        What the slab will have taken: if it really took that much more or less there, if only the
        ticket says so, if the front was misread; m³.
    has_later : bool
        Whether later loads have a say in it.
    may_be_misread : bool
        Whether the front would stand on the slab if it alone were off.
    """

    step: Step
    excess: float
    ahead: float | None
    as_step: float
    as_front: float
    total_if_step: float
    total_if_ticket: float
    total_if_front: float
    has_later: bool
    may_be_misread: bool = True

    @property
    def verdict(self) -> Literal["front", "concrete", "open"]:
        """Which of the two the later loads say it is, where they do, or its mere size."""
        if not self.may_be_misread:
            return "concrete"
        # held the other way, it is for what came after: it says nothing of this one
        front, step = (held / self.excess for held in (self.as_front, self.as_step))
        if self.has_later and front > CLEAR:
            return "front"
        return "concrete" if self.has_later and step > CLEAR else "open"


#: What may be off where a load is out of line: what its ticket says of it, the tape to its front,
#: or neither: the slab itself took more or less there.
Case: TypeAlias = Literal["ticket", "front", "slab"]


@dataclass(frozen=True, slots=True)
class Way:
    """
    How a pour stands if one case holds of all loads that are out of line, and not settled.

    Attributes
    ----------
    total, total_sd : float
        What the slab will have taken, m³.
    off : tuple of (Load, float)
        How much more such a load's ticket says than came, m³; negative: less. Only of tickets.
    """

    case: Case
    total: float
    total_sd: float
    off: tuple[tuple[Load, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Forecast:
    """
    What a slab will have taken, m³.

    Attributes
    ----------
    total, total_sd : float
    alerts : tuple of Alert
    ways : tuple of Way
        None where the later loads have settled each alert: its front was misread.
    """

    total: float
    total_sd: float
    alerts: tuple[Alert, ...] = ()
    ways: tuple[Way, ...] = ()


def forecast(steps: Sequence[Step], prior: Prior, noise: Noise) -> Forecast:
    """
    Forecast what a slab will have taken.

    Parameters
    ----------
    steps : sequence of Step
        In order; none: what is expected before the pour.
    prior : Prior
    noise : Noise
    """
    cases = _Cases(steps, prior, noise)
    cases.screen()
    joint = cases.join({})
    total, variance = joint.find_total()

    def judge(number: int) -> Alert:
        at, excess = cases.found[number]
        step, ticket, front = (cases.join({number: case}) for case in _CASES)
        return Alert(
            step=steps[at],
            excess=excess,
            ahead=excess / (prior.factor * steps[at].grip) if steps[at].grip > 0 else None,
            as_step=joint.condition(0.0, excess**2, excess**2 * joint.since(at))[0],
            as_front=joint.condition(0.0, excess**2, excess**2 * joint.only(at))[0],
            total_if_step=step.find_total()[0],
            total_if_ticket=ticket.find_total()[0],
            total_if_front=front.find_total()[0],
            has_later=at < len(steps) - 1,
            may_be_misread="front" in cases.list_slips(number),
        )

    alerts = tuple(judge(number) for number in range(len(cases.found)))
    return Forecast(total, math.sqrt(variance), alerts, tuple(cases.list_ways(alerts)))


class _Cases:
    """The joint distribution under one case or another of what is out of line."""

    def __init__(self, steps: Sequence[Step], prior: Prior, noise: Noise) -> None:
        self.steps, self.prior, self.noise = steps, prior, noise
        self.found: list[tuple[int, float]] = []

    def screen(self) -> None:
        """Find steps out of line with those before them, whatever the last of those was."""
        options = [self.join({})]
        for at in range(len(self.steps)):
            off, excess = min((joint.look_at(at) for joint in options), key=lambda seen: seen[0])
            if off > LIMIT:
                self.found.append((at, excess))
                last = len(self.found) - 1
                options = [self.join({last: case}) for case in self.list_slips(last)]

    def list_slips(self, number: int) -> tuple[Case, ...]:
        """A ticket or the slab, and a misread front where that would then stand on the slab."""
        at, excess = self.found[number]
        behind = self.steps[at].behind + excess / self.prior.factor
        is_on = -OFF_SLAB <= behind / self.prior.volume <= 1 + OFF_SLAB
        return ("slab", "front") if is_on else ("slab",)

    def join(self, cases: Mapping[int, Case]) -> Joint:
        """Widen it by what was found: by a case alone where one is given, else by all it may be."""
        joint = Joint(self.steps, self.prior, self.noise)
        for number, (at, excess) in enumerate(self.found):
            case = cases.get(number)
            if case != "front":
                joint.add_step(at, excess**2, is_real=case != "ticket")
            if case == "front" or (case is None and "front" in self.list_slips(number)):
                joint.add_misread(at, excess**2)
        return joint

    def list_ways(self, alerts: Sequence[Alert]) -> Iterator[Way]:
        """What holds if all alerts that are not settled are of one case."""
        verdicts = {at: alert.verdict for at, alert in enumerate(alerts)}
        unsettled = {number: verdict for number, verdict in verdicts.items() if verdict != "front"}
        for case in _CASES if unsettled else ():
            if case == "front" and "open" not in unsettled.values():
                continue
            # what the later loads bear out is no misread front, whatever the others are
            joint = self.join(
                {
                    number: "slab" if case == "front" and verdict == "concrete" else case
                    for number, verdict in unsettled.items()
                }
            )
            total, variance = joint.find_total()
            off = tuple(self._find_off(joint, number) for number in unsettled)
            yield Way(case, total, math.sqrt(variance), off if case == "ticket" else ())

    def _find_off(self, joint: Joint, number: int) -> tuple[Load, float]:
        at, excess = self.found[number]
        off, _ = joint.condition(0.0, excess**2, excess**2 * joint.since(at))
        return self.steps[at].load, off


_CASES: tuple[Case, ...] = ("slab", "ticket", "front")
