"""The state of a callout: what its events, replayed in order, add up to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from diagnose.events import ALSO, CANNOT, COULD_NOT_TELL, Event, opening_of, standing
from diagnose.evidence import Earlier, Evidence
from diagnose.readings import judge
from diagnose.sheet import quantities_of
from diagnose.units import NotAQuantity
from diagnose.unsure import doubted
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank, strength

Ending = Literal["cured", "not_proved", "help", "closed"]


@dataclass(frozen=True)
class Finding:
    """What a check, or a fact looked up on the spot, showed."""

    answer: str
    text: str = ""
    epoch: int = 0
    weights: Mapping[str, float] = field(default_factory=dict)
    """For a reading, by the gauge's grade, and for what is not sure: the weight of each outcome."""
    sure: bool = True


@dataclass(frozen=True)
class State:
    """Where a callout stands. Every field follows from the events."""

    unit: str
    facts: Mapping[str, str]
    quantities: Mapping[str, float]
    sheet: Mapping[str, float | str] = field(default_factory=dict)
    """The known fields of the unit's sheet by path, in SI."""
    triage: Mapping[str, str] = field(default_factory=dict)
    told: frozenset[str] = frozenset()
    """Triage questions whose notice was acknowledged."""
    complaint: str = ""
    """What is wrong in this epoch; empty until it is said."""
    also: tuple[str, ...] = ()
    """What else is wrong in this epoch."""
    findings: Mapping[str, Finding] = field(default_factory=dict)
    set_aside: tuple[tuple[str, Finding], ...] = ()
    """Findings that a repair could have changed, from before it; they can be asked again."""
    earlier: tuple[Earlier, ...] = ()
    """The repairs that did not cure it, with what they put in doubt."""
    in_order: frozenset[str] = frozenset()
    cannot_repair: frozenset[str] = frozenset()
    remains: Mapping[str, float] = field(default_factory=dict)
    repaired: tuple[str, ...] = ()
    hold: str = "running"
    highest: str = "open"
    """The last hold that the people on the spot can reach."""
    cautions_read: frozenset[str] = frozenset()
    """Cautions of the hold that comes next."""
    to_prove: str = ""
    """The cause that was put right and not yet proved."""
    ticks: Mapping[str, frozenset[int]] = field(default_factory=dict)
    """Numbers of the steps that are done, by page (`diagnose.events.page_of`), until the page is answered."""
    epoch: int = 0
    again: frozenset[str] = frozenset()
    """Checks and facts that were answered more than once in this epoch; the last answer stands."""
    ended: Ending | None = None
    """How it ended; reopened, what is `not_proved` can be proved later."""

    @property
    def complaints(self) -> tuple[str, ...]:
        """Everything that is complained of in this epoch, the first complaint first."""
        return (self.complaint, *self.also) if self.complaint else ()

    @property
    def evidence(self) -> Evidence:
        """What the reasoning may use."""
        now = evidence_of(self.findings, self.complaints, self.in_order)
        return replace(now, remains=self.remains, earlier=self.earlier)

    @property
    def not_told(self) -> list[str]:
        """Checks and facts that nobody could tell."""
        return [name for name, finding in self.findings.items() if finding.answer == COULD_NOT_TELL]


def evidence_of(
    findings: Mapping[str, Finding],
    complaints: tuple[str, ...] = (),
    in_order: frozenset[str] = frozenset(),
) -> Evidence:
    """Findings as the reasoning takes them; what nobody could tell says nothing."""
    told = {name: found.answer for name, found in findings.items() if found.answer != COULD_NOT_TELL}
    soft = {name: found.weights for name, found in findings.items() if found.weights}
    return Evidence(complaints, told, in_order, soft=soft)


class BadEvent(ValueError):
    """An event that cannot follow what went before; the message says why."""


def replay(book: Book, events: Iterable[Event]) -> State:
    """The state after these events. `BadEvent` when one of them cannot follow those before it."""
    kept = standing(events)
    try:
        opening = opening_of(kept)
    except ValueError as error:
        raise BadEvent(str(error)) from error
    state = State(opening.unit, opening.facts, opening.quantities, opening.sheet)
    for event in kept[1:]:
        state = apply(book, state, event)
    return state


def apply(book: Book, state: State, event: Event) -> State:
    """The state after one more event."""
    if event.kind == "reopened":
        return _reopened(state)
    if state.ended:
        raise BadEvent("the callout has ended")
    if not event.sure and (event.kind != "check" or event.answer == COULD_NOT_TELL):
        raise BadEvent(f"{event.kind} {event.answer!r} cannot be not sure")
    match event.kind:
        case "triage":
            _known(event.answer, book.triage[_known(event.id, book.triage)].outcomes)
            return replace(
                state, triage={**state.triage, event.id: event.answer}, told=state.told - {event.id}
            )
        case "notice":
            return replace(state, told=state.told | {_known(event.id, book.triage)})
        case "complaint":
            return _complained(book, state, event)
        case "check":
            return _checked(book, state, event)
        case "caution" if event.answer == CANNOT:
            return replace(state, highest=state.hold, cautions_read=frozenset())
        case "caution":
            return replace(state, cautions_read=state.cautions_read | {_known(event.answer, book.cautions)})
        case "hold":
            return _held(book, state, event)
        case "repair":
            return _repaired(book, state, event)
        case "prove":
            return _proved(book, state, event)
        case "help":
            return replace(state, ended="help")
        case "closed":
            return replace(state, ended="closed")
        case "tick":
            return _ticked(state, event)
        case _:
            raise BadEvent(f"{event.kind} cannot stand here")


def _reopened(state: State) -> State:
    """Going on after the end: what was put right last is to be proved again."""
    if not state.ended:
        raise BadEvent("the callout has not ended")
    again = state.repaired[-1] if state.ended in ("cured", "not_proved") and state.repaired else ""
    return replace(state, ended=None, to_prove=again or state.to_prove)


def _complained(book: Book, state: State, event: Event) -> State:
    """The complaint, and what it tells of the unit where nobody knew it.

    One that is told beside the first adds to it; another first one takes the place of all before, and what
    those told goes with them.
    """
    complaint = _known(event.answer, book.complaints)
    if event.id == ALSO and state.complaint:
        also = tuple(dict.fromkeys((*state.also, complaint)))
        findings, state = dict(state.findings), replace(state, also=also)
    else:
        before = {name: says for old in state.complaints for name, says in book.complaints[old].says.items()}
        findings = {
            name: finding
            for name, finding in state.findings.items()
            if name not in before or finding != Finding(before[name], epoch=state.epoch)
        }
        state = replace(state, complaint=complaint, also=())
    for fact, value in book.complaints[complaint].says.items():
        if fact not in state.facts:
            findings.setdefault(fact, Finding(value, epoch=state.epoch))
    return replace(state, findings=findings)


def _ticked(state: State, event: Event) -> State:
    """A step of the page is done; the page itself is answered apart from that."""
    if not event.answer.isdecimal():
        raise BadEvent(f"a tick names the number of a step, not {event.answer!r}")
    done = state.ticks.get(event.id, frozenset()) | {int(event.answer)}
    return replace(state, ticks={**state.ticks, event.id: done})


def _known(name: str, names: Iterable[str]) -> str:
    if name not in names:
        raise BadEvent(f"the book does not hold {name!r}")
    return name


def _checked(book: Book, state: State, event: Event) -> State:
    if event.id in book.checks:
        answers: Iterable[str] = book.checks[event.id].outcomes
    else:
        answers = book.facts[_known(event.id, book.facts)].values
    _known(event.answer, [*answers, COULD_NOT_TELL])
    weights = _weights(book, state, event)
    if not event.sure:
        weights = doubted(weights or {event.answer: 1.0}, answers)
    finding = Finding(event.answer, event.text, state.epoch, weights, event.sure)
    again = state.again | {event.id} if event.id in state.findings else state.again
    return replace(state, findings={**state.findings, event.id: finding}, again=again)


def _weights(book: Book, state: State, event: Event) -> Mapping[str, float]:
    """What a reading gives each outcome by its gauge's grade; empty for an answer that was picked."""
    check = book.checks.get(event.id)
    if not event.text or check is None or check.reading is None:
        return {}
    try:
        return judge(check.reading, event.text, quantities_of(book, state.quantities)).weights
    except NotAQuantity as error:
        raise BadEvent(str(error)) from error


def _held(book: Book, state: State, event: Event) -> State:
    target = _known(event.id, HOLDS)
    rank = hold_rank(target) - hold_rank(state.hold)
    if abs(rank) != 1:
        raise BadEvent(f"from {state.hold!r} the unit cannot go straight to {target!r}")
    if event.answer == CANNOT:
        if rank < 0:
            raise BadEvent("the way back to service cannot be refused")
        return replace(state, highest=state.hold, cautions_read=frozenset())
    if rank > 0 and not state.cautions_read.issuperset(book.holds[target].cautions):
        raise BadEvent(f"the cautions of {target!r} have not all been read")
    highest = max(state.highest, target, key=hold_rank)
    return replace(state, hold=target, highest=highest, cautions_read=frozenset(), ticks={})


def _repaired(book: Book, state: State, event: Event) -> State:
    cause = _known(event.id, book.causes)
    if state.to_prove:
        raise BadEvent(f"the repair of {state.to_prove!r} is not proved yet")
    state = replace(state, ticks={})
    if event.answer == "in_order":
        return replace(state, in_order=state.in_order | {cause})
    if event.answer == CANNOT:
        return replace(state, cannot_repair=state.cannot_repair | {cause})
    if event.answer != "done":
        raise BadEvent(f"a repair is done, in order or cannot be done, not {event.answer!r}")
    if hold_rank(state.hold) < hold_rank(book.causes[cause].repair.hold):
        raise BadEvent(f"the repair of {cause!r} needs the unit {book.causes[cause].repair.hold}")
    return replace(state, to_prove=cause, repaired=(*state.repaired, cause))


def _proved(book: Book, state: State, event: Event) -> State:
    if not state.to_prove or state.hold != "running":
        raise BadEvent("there is nothing to prove, or the unit is not back in service")
    if event.answer == "cured":
        return replace(state, ended="cured", to_prove="", ticks={})
    if event.answer == COULD_NOT_TELL:
        return replace(state, ended="not_proved", to_prove="", ticks={})
    return _new_epoch(book, state)


def _new_epoch(book: Book, state: State) -> State:
    """After a repair that did not cure it: what it could have changed is in doubt and may be asked again."""
    cause = state.to_prove
    changes = shown_by(book, cause)
    stale = {name: finding for name, finding in state.findings.items() if name in changes}
    kept = {name: finding for name, finding in state.findings.items() if name not in changes}
    takes = strength(book.causes[cause].repair.takes)
    earlier = Earlier(
        cause,
        takes,
        doubted=evidence_of(stale, state.complaints),
        beside=evidence_of(kept, in_order=state.in_order),
        changes=frozenset(changes),
    )
    return replace(
        state,
        epoch=state.epoch + 1,
        complaint="",
        also=(),
        to_prove="",
        ticks={},
        findings=kept,
        again=frozenset(),
        set_aside=(*state.set_aside, *stale.items()),
        earlier=(*state.earlier, earlier),
        remains={**state.remains, cause: state.remains.get(cause, 1.0) * (1 - takes)},
    )


def shown_by(book: Book, cause: str) -> set[str]:
    """The checks and complaints that a cause can reach: what looks at it or at anything that it leads to."""
    import networkx as nx  # slow to load, and needed only after a repair that did not cure

    reached = {cause} | nx.descendants(nx.DiGraph(book.links), cause)
    checks = {
        name
        for name, check in book.checks.items()
        if any(given in reached for row in check.shows for given in row.given)
    }
    return checks | {name for name, complaint in book.complaints.items() if complaint.of in reached}
