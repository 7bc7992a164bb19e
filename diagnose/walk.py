"""A walk: a callout in progress. Both faces hold one, show its `View` and hand it answers."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, Final

from diagnose.advice import Advice, Adviser, Limits
from diagnose.callout import State, apply, replay
from diagnose.events import ALSO, Event, page_of, standing
from diagnose.fit import fit_of
from diagnose.help_step import help_step
from diagnose.history.record import Behind, Seen, added
from diagnose.learned import learned_book
from diagnose.lookahead import Stopped
from diagnose.own_words import own
from diagnose.procedures import Fitted, fitted
from diagnose.proof_step import back_step, prove_step
from diagnose.question import COMPLAINT
from diagnose.reasoner import Reasoner
from diagnose.spoken import ENGLISH, spoken
from diagnose.steps import (
    Step,
    advice_step,
    check_step,
    complaint_step,
    not_now,
    triage_question,
    triage_step,
)
from diagnose.timeline import Timeline, timeline_of
from diagnose.trees import Shapes
from diagnose.trip import Left, trip_of
from diagnose.typed import NotAnAnswer, understand
from diagnose.volunteer import MOST, Findings, Offer, complaints_meant
from diagnose.walk_view import Leader, Others, Overtaken, View
from diagnose.wording import coming_text, section_shares, titles_of, why_of
from knowledge.book import Book
from knowledge.words import UNLISTED

LEADERS = 5
TICKED: Final = ("notice", "hold", "repair", "prove")
"""The kinds of page whose steps are ticked one by one."""


class Walk:
    """One callout. ``save`` is called with each event, and must have made it durable when it returns."""

    def __init__(
        self,
        book: Book,
        events: Iterable[Event],
        save: Callable[[Event], None],
        clock: Callable[[], str],
        shapes: Shapes | None = None,
        language: str = ENGLISH,
        others: Others | None = None,
    ) -> None:
        """``events``: those saved so far, the opening first. ``shapes``: where compiled shapes are kept.
        ``language``: what is spoken on the phone. ``others``: who else may answer.

        Raises `diagnose.callout.BadEvent`, and `InputProblems` for a book that is too dense.
        """
        self.events = list(events)
        opening = self.events[0].opening if self.events else None
        self._learned = opening.learned if opening else None
        self.book = book = learned_book(book, self._learned)
        self.language = language
        self._save = save
        self._others = others
        self._clock = clock
        self._titles = titles_of(book)
        self.state = replay(book, self.events)
        self._reasoner = Reasoner(book, self.state.facts, shapes)
        self._adviser: Adviser | None = None
        self._asked_for = ""
        self._before: dict[str, float] = {}
        self._now: dict[str, float] = {}
        self._view: View | None = None
        self._explained: tuple[View, dict[str, Any]] | None = None
        self._findings: Findings | None = None

    def view(self) -> View:
        """The present moment; computed once for each answer."""
        if self._view is None:
            view = self._look()
            self._view = self._said(view, view.step) if view.step else view
        return self._view

    def looked_ahead(self) -> View | None:
        """The present view with a better step that looking further ahead has found; None when there is none.

        Slow, and changes nothing: for a thread beside the one that answers keys. See `show`.
        """
        view, adviser = self.view(), self._adviser
        if adviser is None or view.advice is None:
            return None
        try:
            advice = adviser.best_ahead(limits_of(self.book, view.state), lambda: self._view is not view)
        except Stopped:
            return None
        if (advice.kind, advice.id) == (view.advice.kind, view.advice.id):
            return None
        return self._said(replace(view, advice=advice), self._step_of(advice, view.state, view.leaders))

    def speak(self, language: str, book: Book) -> None:
        """Speak another language from now on; ``book``: the same one, in that language.

        Nothing is worked out anew.
        """
        self.language, self.book = language, learned_book(book, self._learned)
        self._titles, self._explained, self._findings = titles_of(book), None, None
        view = self._view
        if view is None or view.step is None:
            return
        leaders = tuple(
            replace(leader, title=self._titles[leader.id], rests_on=self._rests_on(leader.id))
            for leader in view.leaders
        )
        step = self._before_advice(self.state)
        if step is None and view.advice:
            step = self._step_of(view.advice, self.state, leaders)
        if step:
            self._view = self._said(replace(view, leaders=leaders), step)

    def _said(self, view: View, step: Step) -> View:
        """The view with this step, what is ticked of it, and its line in the language that is spoken."""
        step = replace(step, ticked=self.state.ticks.get(page_of(step.kind, step.id), frozenset()))
        again = self.state.epoch > 0
        return replace(view, step=spoken(self.book, step, self.language, again=again))

    def show(self, better: View, instead_of: View) -> bool:
        """Show a better view of the same moment; False when the moment has passed."""
        if self._view is not instead_of:
            return False
        self._view = better
        return True

    def answer(self, typed: str) -> None:
        """Take a choice's key, its answer's name, or a reading with its unit; a `?` behind it: not sure.

        Raises `NotAnAnswer` when it is none of these; nothing has changed then. This and all that saves an
        event raises `Overtaken` when somebody else has answered first.
        """
        self._take(self.understood(typed))

    def understood(self, typed: str) -> Event:
        """The event that an answer as it is typed would be; changes nothing. Raises as `answer`."""
        step = self.view().step
        if step is None:
            raise NotAnAnswer(own(self.book, "The callout has ended."))
        answer, text, sure = understand(self.book, self.state, step, typed)
        return Event(at=self._clock(), kind=step.kind, id=step.id, answer=answer, text=text, sure=sure)

    def offers(self, text: str) -> tuple[Offer, ...]:
        """The findings that the words may mean, the likeliest first; none on what the sheet gives.

        The first time it takes a tenth of a second: for a thread beside the keys.
        """
        wrong = complaints_meant(self.book, text, self.state.complaints) if self.state.complaint else ()
        if self._findings is None:
            self._findings = Findings(self.book)
        return (*self._findings.search(text, self.state.facts)[: MOST - len(wrong)], *wrong)

    def volunteer(self, question: str, answer: str, sure: bool = True) -> None:
        """Take a finding that nobody asked for, whatever hold it needs: it has been seen.

        ``question``: a check or a fact, or `complaint` for what else is wrong. Danger and the complaint,
        while they are open, are asked on. Raises `diagnose.callout.BadEvent` for what the book does not
        hold, and when the callout has ended.
        """
        if question == COMPLAINT:
            self._take(Event(at=self._clock(), kind="complaint", id=ALSO, answer=answer))
        else:
            self._take(Event(at=self._clock(), kind="check", id=question, answer=answer, sure=sure))

    def tick(self, number: int = 0) -> None:
        """Tick a step of the present page as done: the one of that number, or else the next one.

        Raises `NotAnAnswer` when the page has no such step, or all are ticked.
        """
        step = self.view().step
        if step is None or step.kind not in TICKED or not step.steps:
            raise NotAnAnswer(own(self.book, "There are no steps to tick here."))
        open_steps = [n for n in range(1, len(step.steps) + 1) if n not in step.ticked]
        if not number and not open_steps:
            raise NotAnAnswer(own(self.book, "All steps are ticked."))
        number = number or open_steps[0]
        if not 1 <= number <= len(step.steps):
            raise NotAnAnswer(own(self.book, "There is no step {number} here.", number=number))
        view = self.view()
        self._take(Event(at=self._clock(), kind="tick", id=page_of(step.kind, step.id), answer=str(number)))
        # A tick says nothing of what is wrong: what was worked out stands.
        self._view = self._said(replace(view, state=self.state), step)

    def trip(self) -> Left | None:
        """The minutes that are left to the vessel's trip now; None when nobody knows."""
        known = trip_of(self.book, self.state, self.events)
        return known.left(self._clock()) if known else None

    def undo(self) -> bool:
        """Take the last answer back, or drop a wish to change one; False when there is neither."""
        if self._asked_for:
            self._asked_for = ""
            self._view = None
            return True
        if len(standing(self.events)) < 2:
            return False
        event = Event(at=self._clock(), kind="undo")
        self._keep(event)
        self._moved(replay(self.book, self.events))
        return True

    def news(self) -> Seen | None:
        """The callout as it is when somebody else has answered; None when nobody has. Changes nothing."""
        return self._others.news() if self._others else None

    def take_in(self, seen: Seen) -> tuple[Event, ...]:
        """Go on from where somebody else has brought the callout to; returns the events that were added.

        Raises `diagnose.callout.BadEvent`, and changes nothing, when this book does not hold their answers.
        """
        state = replay(self.book, seen.events)
        new = added(self.events, seen.events)
        if self._others and not self._others.accept(seen):
            return ()
        self.events = list(seen.events)
        self._moved(state)
        return new

    def ask(self, question: str) -> None:
        """Show one question next: to change its answer, or to give one that was not asked for.

        ``question``: a check, a fact, a triage question or `complaint`; `NotAnAnswer` for anything else.
        """
        known = (self.book.checks, self.book.facts, self.book.triage, [COMPLAINT])
        if not any(question in names for names in known):
            raise NotAnAnswer(own(self.book, "There is no question named {name}.", name=repr(question)))
        self._asked_for = question
        self._view = None

    def prove_now(self) -> None:
        """Go on with what ended without its proof, and ask for it; `NotAnAnswer` when there is none."""
        if self.state.ended != "not_proved":
            raise NotAnAnswer(own(self.book, "There is nothing left to prove."))
        self._take(Event(at=self._clock(), kind="reopened"))

    def answered(self) -> list[str]:
        """What has been answered and can be changed, in order: triage, complaint, checks and facts."""
        complaint = [COMPLAINT] if self.state.complaint else []
        return [*self.state.triage, *complaint, *self.state.findings]

    def timeline(self) -> Timeline:
        """How the answers moved the leaders. Slow, and changes nothing: for a thread beside the keys."""
        return timeline_of(self.book, self.events, self._reasoner)

    def explained(self) -> dict[str, Any]:
        """Why the leaders lead, and what would change that (`diagnose.explain_report.explanation`).

        Slow, and changes nothing: for a thread beside the keys. `NotAnAnswer` before there is a complaint.
        """
        from diagnose.explain_report import explanation  # much code, which a walk without it does not need

        view, adviser = self.view(), self._adviser
        if adviser is None or not view.leaders:
            raise NotAnAnswer(own(self.book, "Nothing has been complained of yet."))
        if self._explained is None or self._explained[0] is not view:
            what_ifs = adviser.what_ifs(limits_of(self.book, view.state))
            advice = view.advice or Advice("help", "", 0.0, 0.0)
            told = explanation(adviser, self._titles, view.fit, advice, what_ifs, self.book)
            self._explained = view, told
        return self._explained[1]

    def possible(self) -> list[tuple[str, float]]:
        """Title and probability of the leaders, while nobody knows what it was."""
        return [(leader.title, leader.probability) for leader in self.view().leaders]

    def whole_job(self) -> Fitted | None:
        """The procedure of the present repair, with the numbers of this unit; None when there is none."""
        step = self.view().step
        if step is None or not step.procedure:
            return None
        return fitted(self.book, step.procedure, self.state.facts, self.state.sheet)

    def title(self, name: str) -> str:
        """The title of a cause, a check (its question) or a fact."""
        return self._titles[name]

    def _take(self, event: Event) -> None:
        after = apply(self.book, self.state, event)
        self._keep(event)
        self._moved(after)

    def _keep(self, event: Event) -> None:
        try:
            self._save(event)
        except Behind as behind:
            raise Overtaken(self.take_in(behind.seen)) from behind
        self.events.append(event)

    def _moved(self, state: State) -> None:
        if state.evidence != self.state.evidence:
            self._before = self._now
        self.state = state
        self._asked_for = ""
        self._view = None

    def _look(self) -> View:
        state = self.state
        if state.ended:
            return View(state.unit, None, state)
        step = self._before_advice(state)
        if not state.complaint:
            return View(state.unit, step, state)
        adviser = self._adviser
        if adviser is None or adviser.evidence != state.evidence:
            self._adviser = adviser = Adviser(self._reasoner, state.evidence)
        self._now = adviser.beliefs.causes
        blame = adviser.present_culprits()
        ranked = sorted(adviser.beliefs.causes.items(), key=lambda item: -item[1])[:LEADERS]
        leaders = tuple(
            Leader(name, self._titles[name], chance, self._before.get(name, chance), self._rests_on(name))
            for name, chance in ranked
        )
        advice = None if step else adviser.best(limits_of(self.book, state))
        return View(
            state.unit,
            step or (self._step_of(advice, state, leaders) if advice else None),
            state,
            leaders,
            section_shares(self.book, blame),
            sum(share for name, share in blame.items() if name.startswith(UNLISTED)),
            fit_of(self._reasoner, state.evidence),
            advice,
        )

    def _rests_on(self, cause: str) -> str:
        return self._learned.rests_on(cause, self.book.language) if self._learned else ""

    def _before_advice(self, state: State) -> Step | None:
        """What comes before any advice: an answer to change, danger, a repair to prove, the complaint."""
        if self._asked_for:
            return self._wanted(self._asked_for)
        first = triage_step(self.book, state)
        if first:
            return first
        if state.to_prove and state.hold != "running":
            return back_step(self.book, state)
        if state.to_prove:
            return prove_step(self.book, state.to_prove)
        return None if state.complaint else complaint_step(self.book, state.epoch)

    def _wanted(self, question: str) -> Step:
        if question == COMPLAINT:
            return complaint_step(self.book, self.state.epoch)
        if question in self.book.triage:
            return triage_question(self.book, question, self.state.sheet)
        again = question in self.state.findings
        why = own(self.book, "You asked to change this answer." if again else "You asked for it.")
        return not_now(
            self.book, check_step(self.book, question, why, self.state.quantities), self.state.hold
        )

    def _step_of(self, advice: Advice, state: State, leaders: tuple[Leader, ...]) -> Step:
        why = why_of(self.book, advice, self._titles)
        step = advice_step(self.book, advice, state.hold, state.cautions_read, why, state.quantities)
        if step and step.kind in ("check", "repair"):
            return replace(step, coming=coming_text(self.book, advice, self._titles))
        return step or help_step(self.book, state, [(leader.title, leader.probability) for leader in leaders])


def limits_of(book: Book, state: State) -> Limits:
    """What the adviser may still suggest."""
    looked = [book.sections[name] for name in state.findings if name in book.checks and name in book.sections]
    return Limits(
        state.hold,
        state.highest,
        frozenset(state.findings),
        state.cannot_repair | state.in_order,
        state.repaired,
        looked[-1] if looked else "",
        state.again,
    )
