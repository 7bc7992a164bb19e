"""One page of a walk: what a person is asked, with everything that a face has to show.

A step is made here once, so that the screen and the line mode cannot tell two stories. Cautions stand
before steps in the order of the fields.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Final

from diagnose.advice import Advice
from diagnose.callout import State
from diagnose.events import CANNOT, COULD_NOT_TELL, Kind
from diagnose.own_words import own
from diagnose.trip import how_to_type
from diagnose.words import DEFER, SAFETY, SKILLS, minutes_text, reading_hint
from knowledge.book import Book
from knowledge.schema import Check, Reading, Repair
from knowledge.schema_card import NO_CARD, Card
from knowledge.words import hold_rank


@dataclass(frozen=True)
class Choice:
    """One numbered answer."""

    key: str
    answer: str
    label: str


@dataclass(frozen=True)
class Step:
    """What to show, and what can be answered."""

    kind: Kind
    id: str
    heading: str
    say: str
    choices: tuple[Choice, ...]
    why: str = ""
    hold: str = ""
    minutes: float = 0.0
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    skill: str = ""
    """Who must do it; empty when any hand can."""
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    ticked: frozenset[int] = frozenset()
    """Numbers of the steps that are ticked as done, from 1."""
    read: tuple[str, ...] = ()
    """Cautions of the hold ahead that are ticked as read."""
    unread: tuple[str, ...] = ()
    """Cautions of the hold ahead that come after this one."""
    back: tuple[str, ...] = ()
    """The way back out of the hold ahead."""
    right: str = ""
    """What a right one looks like."""
    reading: str = ""
    """How to type a reading, when one can be typed instead of a choice; empty when not."""
    coming: str = ""
    """What most likely comes after this step, and what to bring for it."""
    procedure: str = ""
    """The procedure of the book that is the whole job; empty when there is none."""
    judged_by: str = ""
    """What a reading is judged against when the unit's own number is not known; empty when it is."""
    defer: str = ""
    """What comes before this page, where something is done to the unit; empty where it is only looked at."""
    card: Card | None = None
    """What it looks like: the thing that is to be found, or worked on."""


NOTHING: Final[Mapping[str, float | str]] = {}
"""The sheet of a unit of which nothing is known."""
KEYS: Final = "123456789jkl"
"""The keys of the answers, in order: one key each."""


def choices(answers: dict[str, str]) -> tuple[Choice, ...]:
    """Answers numbered from 1, with letters from the tenth on; `could_not_tell` always has 0."""
    named = [(answer, label) for answer, label in answers.items() if answer != COULD_NOT_TELL]
    numbered = [Choice(key, answer, label) for key, (answer, label) in zip(KEYS, named, strict=False)]
    if COULD_NOT_TELL in answers:
        numbered.append(Choice("0", COULD_NOT_TELL, answers[COULD_NOT_TELL]))
    return tuple(numbered)


def triage_question(book: Book, name: str, sheet: Mapping[str, float | str] = NOTHING) -> Step:
    """A question about danger; ``sheet``: the unit's fields, which tell what can be typed."""
    question = book.triage[name]
    labels = {key: outcome.title for key, outcome in question.outcomes.items()}
    hint = how_to_type(question, sheet)
    reading = own(book, hint) if hint else ""
    return Step(
        "triage", name, question.ask, question.say, choices(labels), why=own(book, SAFETY), reading=reading
    )


def triage_step(book: Book, state: State) -> Step | None:
    """The next question about danger, or what must be done before going on; None when all is said."""
    for name, question in book.triage.items():
        if name not in state.triage:
            return triage_question(book, name, state.sheet)
        outcome = question.outcomes[state.triage[name]]
        if outcome.do and name not in state.told:
            return Step(
                "notice",
                name,
                own(book, "Do this first"),
                own(book, "You said: {answer}. Do this before anything else.", answer=outcome.title),
                choices({"done": own(book, "Done. Go on")}),
                why=own(book, SAFETY),
                steps=tuple(outcome.do),
            )
    return None


def complaint_step(book: Book, epoch: int) -> Step:
    """What is wrong? Asked anew in each epoch."""
    labels = {name: entry.title for name, entry in book.complaints.items()}
    if epoch:
        heading = own(book, "What is wrong now?")
        say = own(book, "What does it do now, after the repair?")
        why = own(book, "What the repair could have changed counts less now, and may be asked again.")
    else:
        heading, why = own(book, "What is wrong?"), ""
        say = own(book, "Tell me what it does, or does not do.")
    return Step("complaint", "complaint", heading, say, choices(labels), why=why)


def check_step(book: Book, name: str, why: str, known: Collection[str]) -> Step:
    """A check to make, or a fact of the unit to look up.

    ``known``: the quantities that the unit's sheet gives; a reading says when it is judged by a usual one.
    """
    asked = book.question(name)
    answers = asked.outcomes if isinstance(asked, Check) else asked.values
    reading = asked.reading if isinstance(asked, Check) else None
    return Step(
        "check",
        name,
        asked.ask,
        asked.say,
        choices({**answers, COULD_NOT_TELL: own(book, "Could not tell")}),
        why,
        asked.hold,
        asked.minutes,
        tools=tuple(asked.tools),
        cautions=cautions_of(book, asked.cautions),
        steps=tuple(asked.steps),
        right=asked.right if isinstance(asked, Check) else "",
        reading=own(book, reading_hint("{unit}"), unit=reading.unit) if reading else "",
        judged_by=judged_by(book, reading, known) if reading else "",
        card=card_of(book, asked.card),
    )


def not_now(book: Book, step: Step, hold: str) -> Step:
    """A check whose answer is to be changed: the page tells how to make it only where its hold is reached."""
    if hold_rank(step.hold) <= hold_rank(hold):
        return step
    text = "{why} Do not make this check now: it needs the unit to be {hold}."
    return replace(step, why=own(book, text, why=step.why, hold=own(book, step.hold)), steps=(), tools=())


def hold_step(book: Book, hold: str, target: str, read: Collection[str], sake: str) -> Step:
    """The way into the next hold, one caution at a time and then its steps; or one hold back.

    ``read``: cautions of the target hold that were acknowledged.
    """
    here, there = own(book, hold), own(book, target)
    if hold_rank(target) < hold_rank(hold):
        leaving = book.holds[hold]
        return Step(
            "hold",
            target,
            own(book, "Go back from “{hold}” to “{target}”", hold=here, target=there),
            own(book, "Take it back one step: from {hold} to {target}.", hold=here, target=there),
            choices({"done": own(book, "Done: it is {target} again", target=there)}),
            sake,
            target,
            leaving.back_minutes,
            cautions=cautions_of(book, leaving.cautions),
            steps=tuple(leaving.back),
            defer=own(book, DEFER),
            card=card_of(book, leaving.card),
        )
    entry = book.holds[target]
    refuse = {CANNOT: own(book, "It cannot be done now")}
    unread = [name for name in entry.cautions if name not in read]
    if unread:
        more = own(book, " ({number} more after this)", number=len(unread) - 1) if len(unread) > 1 else ""
        return Step(
            "caution",
            target,
            own(book, "Before it is {target}: read this{more}", target=there, more=more),
            book.cautions[unread[0]],
            choices({unread[0]: own(book, "Read, and it is so"), **refuse}),
            sake,
            hold,
            read=tuple(book.cautions[name] for name in entry.cautions if name in read),
            unread=tuple(book.cautions[name] for name in unread[1:]),
            back=tuple(entry.back),
            defer=own(book, DEFER),
        )
    return Step(
        "hold",
        target,
        entry.title,
        entry.title + ".",
        choices({"done": entry.done, **refuse}),
        sake,
        target,
        entry.minutes,
        cautions=cautions_of(book, entry.cautions),
        steps=tuple(entry.steps),
        card=card_of(book, entry.card),
        read=cautions_of(book, entry.cautions),
        back=tuple(entry.back),
        defer=own(book, DEFER),
    )


def repair_step(book: Book, cause: str, why: str) -> Step:
    """A cause to put right."""
    entry = book.causes[cause]
    repair = entry.repair
    return Step(
        "repair",
        cause,
        own(book, "Put right: {title}", title=entry.title),
        own(book, "Suspected: {plain}.", plain=entry.plain[:1].lower() + entry.plain[1:]),
        choices(
            {
                "done": own(book, "Done: put right"),
                "in_order": own(book, "I looked: it is in order, not the fault"),
                CANNOT: own(book, "It cannot be put right now"),
            }
        ),
        why,
        repair.hold,
        repair.minutes,
        tools=tuple(repair.tools),
        parts=tuple(repair.parts),
        skill="" if repair.skill == "hand" else own(book, SKILLS[repair.skill]),
        cautions=cautions_of(book, repair.cautions),
        steps=(*repair.do, *_whole_job(book, repair)),
        procedure=repair.procedure or "",
        defer=own(book, DEFER),
        card=card_of(book, repair.card),
    )


def _whole_job(book: Book, repair: Repair) -> tuple[str, ...]:
    """Where the job stands step by step."""
    if not repair.procedure:
        return ()
    job = book.procedures[repair.procedure]
    minutes = own(book, minutes_text(job.minutes))
    return (own(book, "Step by step: {title}, about {minutes}.", title=job.title, minutes=minutes),)


def judged_by(book: Book, reading: Reading, known: Collection[str]) -> str:
    """A sentence for each usual number that stands in for one that the sheet does not give."""
    names = dict.fromkeys(part.of for part in reading.bins if part.of and part.of not in known)
    usual = (book.quantities[name] for name in names)
    numbers = ", ".join(f"{entry.title.lower()} {entry.usual:g} {entry.unit}" for entry in usual)
    text = "The sheet does not give it, so a reading is judged by the usual: {numbers}."
    return own(book, text, numbers=numbers) if numbers else ""


def advice_step(
    book: Book, advice: Advice, hold: str, read: Collection[str], why: str, known: Collection[str]
) -> Step | None:
    """The page of an advised check, repair or change of hold; None for the advice to call for help."""
    match advice.kind:
        case "check":
            return check_step(book, advice.id, why, known)
        case "repair":
            return repair_step(book, advice.id, why)
        case "hold":
            return hold_step(book, hold, advice.id, read, why)
        case _:
            return None


def cautions_of(book: Book, names: list[str]) -> tuple[str, ...]:
    """The words of cautions, by their names."""
    return tuple(book.cautions[name] for name in names)


def card_of(book: Book, name: str | None) -> Card | None:
    """The help card of that name, if there is one."""
    return book.cards.get(name or NO_CARD)
