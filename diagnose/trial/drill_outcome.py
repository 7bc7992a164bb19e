"""How a drill ended, and the tool's own walk on the same vessel beside it."""

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.callout import Ending, State
from diagnose.trial.drill import Drill, unit_for
from diagnose.trial.drill_vessel import Vessel
from diagnose.trial.policies import Act, Desk
from diagnose.trial.working import Bill, Job, Subject, worked_by
from diagnose.walk import limits_of
from diagnose.wording import titles_of, why_of


@dataclass(frozen=True)
class Did:
    """One step of a walk."""

    kind: str
    id: str
    answer: str
    """The answer's id, or the reading as it is told."""
    minutes: float
    why: str = ""
    """Why the tool took it; empty for a person's step, and for what follows of itself."""


@dataclass(frozen=True)
class Side:
    """One walk through the vessel."""

    ended: Ending | None
    """None for one that was left before its end."""
    minutes: float
    checks: int
    wrong: int
    """Repairs of what was sound."""
    steps: tuple[Did, ...]


@dataclass(frozen=True)
class Outcome:
    """Both walks."""

    vessel: Vessel
    own: Side
    tool: Side

    @property
    def minutes_more(self) -> float | None:
        """Minutes that the person took more than the tool; None unless both cured it."""
        both = self.own.ended == self.tool.ended == "cured"
        return self.own.minutes - self.tool.minutes if both else None


def outcome(drill: Drill) -> Outcome:
    """How a drill stands, with the tool's walk beside it."""
    return Outcome(drill.vessel, own_side(drill), tools_walk(drill.desk, drill.vessel))


def own_side(drill: Drill) -> Side:
    """What the person has done so far."""
    return _side(drill.bill)


def tools_walk(desk: Desk, vessel: Vessel) -> Side:
    """The vessel worked by the tool's own advice, each step with its reason."""
    titles = titles_of(desk.book)
    reasons: list[tuple[Act, str]] = []

    def telling(desk: Desk, state: State, _: Subject) -> Act:
        """Does what `policies.halfsplit` does, and keeps why."""
        advice = desk.adviser(state).best(limits_of(desk.book, state))
        assert advice.kind != "complaint"
        act = Act(advice.kind, advice.id)
        reasons.append((act, why_of(desk.book, advice, titles)))
        return act

    unit = unit_for(desk.book, vessel)
    bill = worked_by(Job(desk, unit, vessel.complaint, vessel.ready.unit.quantities), telling)
    return _side(bill, reasons)


def _side(bill: Bill, reasons: Sequence[tuple[Act, str]] = ()) -> Side:
    """A bill's steps, each with the reason of the act that led to it."""
    waiting = list(reasons)
    steps = []
    for kind, name, answer, minutes in bill.log:
        why = ""
        if waiting and (kind, name) == (waiting[0][0].kind, waiting[0][0].id or kind):
            why = waiting.pop(0)[1]
        steps.append(Did(kind, name, answer, minutes, why))
    return Side(bill.ended, bill.minutes, bill.checks, bill.wrong, tuple(steps))
