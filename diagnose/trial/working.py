"""A callout being worked: its steps and what they cost, and a policy that works it to its end."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Protocol

from diagnose.callout import Ending, State, apply
from diagnose.events import Event, Kind
from diagnose.trial.policies import Desk, Policy
from diagnose.walk import limits_of
from knowledge.words import HOLDS, hold_rank

MOST_STEPS: Final = 2000
"""A policy that takes more is caught in a circle."""


class Subject(Protocol):
    """A unit with its faults that answers what it is asked; mending them is all that changes it."""

    @property
    def faults(self) -> frozenset[str]:
        """The causes that are there now."""

    def shows(self, question: str, epoch: int, look: int = 0) -> tuple[str, str]:
        """(Answer, reading as it is typed or nothing) to a check or a fact; the same within an epoch, and
        another only at another look."""

    def mend(self, cause: str) -> str:
        """Put a cause right; says what the hand answers: ``done`` or ``in_order``."""

    def complains(self, first: str, epoch: int) -> str:
        """What is complained of now; "" when it is cured."""

    def draw(self, *key: object) -> float:
        """A number from 0 to 1, always the same for the same key."""

    def repairs_to_cure(self) -> list[list[str]]:
        """Every least set of repairs that cures it; empty when no repair of the book does."""


@dataclass
class Bill:
    """What one policy made of one callout."""

    minutes: float = 0.0
    risk: float = 0.0
    """Price of the risk of moving a live valve, as minutes; not in ``minutes``."""
    checks: int = 0
    wrong: int = 0
    """Repairs of what was sound."""
    wrong_open: int = 0
    """Those of them that opened the vessel."""
    opened: int = 0
    """How often the vessel was opened."""
    ended: Ending | None = None
    first_guess: str = ""
    """The cause with most of the blame when the first repair was made."""
    log: list[tuple[str, str, str, float]] = field(default_factory=list)
    """(kind, id, answer, minutes) of every step."""


class Job:
    """A callout as it is being worked: each step changes its state and stands on its bill."""

    def __init__(
        self,
        desk: Desk,
        subject: Subject,
        complaint: str,
        quantities: Mapping[str, float] | None = None,
    ) -> None:
        """``quantities``: those of the unit sheet that readings are judged against."""
        self.desk, self.book, self.subject, self.complaint = desk, desk.book, subject, complaint
        self.bill = Bill()
        self.state = State("trial", desk.facts, quantities or {})
        self.take("complaint", "complaint", complaint, 0.0)

    def take(self, kind: Kind, name: str, answer: str, minutes: float, text: str = "") -> None:
        """One event, and what it costs."""
        event = Event(at="", kind=kind, id=name, answer=answer, text=text)
        self.state = apply(self.book, self.state, event)
        self.bill.minutes += minutes
        self.bill.log.append((kind, name, text or answer, minutes))
        self.bill.ended = self.state.ended

    def move(self, target: str) -> None:
        """Take the unit to the next hold up or down, its cautions read."""
        start = self.state.hold
        up = hold_rank(target) > hold_rank(start)
        for caution in self.book.holds[target].cautions if up else ():
            event = Event(at="", kind="caution", id=target, answer=caution)
            self.state = apply(self.book, self.state, event)
        self.take("hold", target, "done", self.desk.costs.move(start, target))
        self.bill.opened += up and target == HOLDS[-1]

    def look(self, question: str) -> None:
        """Have a check made, or a fact looked up, in the hold that it needs."""
        place = limits_of(self.book, self.state).place
        minutes = self.desk.asking(question, self.state.hold, place)
        self.bill.checks += 1
        self.bill.risk += self.desk.costs.risk(question)
        answer, text = self.subject.shows(question, self.state.epoch, int(question in self.state.findings))
        self.take("check", question, answer, minutes, text)

    def repair(self, cause: str) -> None:
        """Have a cause put right, in the hold that it needs."""
        self.bill.first_guess = self.bill.first_guess or cause
        repair, before = self.book.causes[cause].repair, self.subject.faults
        answer = self.subject.mend(cause)
        wrong = cause not in before and self.subject.faults == before
        self.bill.wrong += wrong
        self.bill.wrong_open += wrong and repair.hold == HOLDS[-1]
        self.take("repair", cause, answer, repair.minutes)

    def prove(self) -> None:
        """Watch two full cycles back in service; what is complained of when it is not cured."""
        now = self.subject.complains(self.complaint, self.state.epoch)
        answer = "not_cured" if now else "cured"
        self.take("prove", self.state.to_prove, answer, self.book.prices.proof)
        if now:
            self.take("complaint", "complaint", now, 0.0)


def worked_by(job: Job, policy: Policy) -> Bill:
    """Work a job to its end. Raises `RuntimeError` for a policy that does not come to one."""
    while not job.state.ended:
        if len(job.bill.log) > MOST_STEPS:
            raise RuntimeError(f"no end after {MOST_STEPS} steps: {sorted(job.subject.faults)}")
        if job.state.to_prove:
            _go(job, HOLDS[0])
            job.prove()
            continue
        act = policy(job.desk, job.state, job.subject)
        match act.kind:
            case "hold":
                _go(job, act.id)
            case "check":
                _go(job, job.desk.costs.place_for(act.id, job.state.hold))
                job.look(act.id)
            case "repair":
                _go(job, job.desk.costs.place_for_repair(act.id, job.state.hold))
                job.repair(act.id)
            case "help":
                job.take("help", "help", "called", job.book.prices.help)
    return job.bill


def _go(job: Job, target: str) -> None:
    """Take the unit to a hold, through every hold between."""
    while job.state.hold != target:
        up = hold_rank(target) > hold_rank(job.state.hold)
        job.move(HOLDS[hold_rank(job.state.hold) + (1 if up else -1)])
