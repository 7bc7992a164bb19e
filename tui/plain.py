"""The line mode of a walk: everything in reading order, nothing drawn, for pipes and screen readers."""

import textwrap
from collections.abc import Iterable, Iterator
from typing import Protocol

from diagnose.callout import BadEvent
from diagnose.steps import Step
from diagnose.summary import summary_of
from diagnose.typed import NotAnAnswer
from diagnose.unsure import told
from diagnose.walk import Overtaken, View, Walk
from diagnose.words import odds_text, percent_text
from tui.card_lines import names_text, sentences, words_in
from tui.handover_file import write_handover
from tui.help_text import ABOUT, PLAIN_KEYS
from tui.lines import (
    ALL_TICKED,
    COMING,
    NO_FINDINGS,
    NO_JOB,
    NOTHING_BEFORE,
    NOTHING_SAVED,
    OTHER_BOOK,
    WAY_BACK,
    answers_so_far,
    ending,
    fit_text,
    needs_text,
    news_text,
    no_offers,
    place_text,
    points,
)
from tui.procedure_lines import head_lines, line_text
from tui.procedure_lines import words_in as words_of_job
from tui.summary_lines import SAVED_AS, save_text, summary_text
from tui.text import clean, for_encoding
from tui.trip_lines import trip_short, trip_warning

WIDTH = 78
LEAST_SHARE = 0.01
"""A section with less blame than this is not worth a line to listen to."""


class Out(Protocol):
    """Where lines go: a text stream."""

    @property
    def encoding(self) -> str | None:
        """The character set that it takes."""
        ...

    def write(self, text: str, /) -> object:
        """Take a text."""
        ...

    def flush(self) -> None:
        """Let it be seen now."""
        ...


class Voice:
    """Writes wrapped lines in characters that the stream can take."""

    def __init__(self, out: Out) -> None:
        self._out = out

    def say(self, text: str = "", indent: str = "") -> None:
        """One paragraph; lines after the first are indented as far as ``indent``."""
        line = for_encoding(clean(text), self._out.encoding)
        # A file name or a number with its sign stays whole, so that it can be copied and heard as one.
        wrapped = textwrap.wrap(
            line,
            WIDTH,
            initial_indent=indent,
            subsequent_indent=" " * len(indent),
            break_on_hyphens=False,
            break_long_words=False,
        )
        self._out.write("\n".join(wrapped or [""]) + "\n")

    def draw(self, rows: Iterable[str]) -> None:
        """Lines of a drawing, as they are."""
        self._out.write("".join(f"{for_encoding(row, self._out.encoding)}\n" for row in rows))

    def prompt(self, text: str) -> None:
        """Ask for a line."""
        self._out.write(text)
        self._out.flush()


def walk_plain(walk: Walk, lines_in: Iterable[str], out: Out, record: str, ahead: bool = False) -> int:
    """Go through a walk line by line until it ends, `q`, or the end of the input. Returns the exit code.

    ``ahead``: whether each question waits for a look further ahead.
    """
    voice, typed = Voice(out), iter(lines_in)
    show = True
    while True:
        view = walk.view()
        better = walk.looked_ahead() if ahead and show else None
        if better and walk.show(better, view):
            view = better
        if show:
            say_view(voice, walk, view, record)
        line = ask_line(voice, typed, "Answer: " if view.step else "Enter to leave, u to take it back: ")
        if line is None or line == "q" or (view.step is None and line == ""):
            voice.say("Left. Everything is saved." if view.step else "Closed.")
            return 0
        show = take_line(voice, walk, view, line, typed)


def ask_line(voice: Voice, typed: Iterator[str], prompt: str) -> str | None:
    """The next line without its ends; None at the end of the input or on Ctrl+C."""
    voice.prompt(prompt)
    try:
        line = next(typed, None)
    except KeyboardInterrupt:
        line = None
    if line is None:
        voice.say()
        return None
    return line.strip()


def take_line(voice: Voice, walk: Walk, view: View, line: str, typed: Iterator[str]) -> bool:
    """Do what was typed; whether there is something new to show."""
    try:
        match line:
            case "":
                return _told_news(voice, walk)
            case "?":
                _say_help(voice)
                return False
            case "u":
                if walk.undo():
                    return True
                voice.say(NOTHING_BEFORE)
                return False
            case "c" if view.step:
                return _change(voice, walk, typed)
            case "v" | "v words" if view.step:
                _say_card(voice, view.step, walk.book.language, drawn=line == "v")
                return False
            case "p":
                voice.say(write_handover(walk))
                return False
            case _ if line == "g" or line.startswith("g "):
                _say_picture(voice, walk, view, line[2:].strip() or "0")
                return False
            case _ if line == "f" or line.startswith("f "):
                _say_fault(voice, walk, view, line[2:].strip() or "0")
                return False
            case "w":
                from tui.fault_lines import why_page  # with the screen's wrapping, as pictures are

                voice.draw(why_page(walk, view)(WIDTH))
                return False
            case _ if (line == "x" or line.startswith("x ")) and view.step:
                return _tick(voice, walk, line[2:].strip() or "0")
            case "o":
                _say_job(voice, walk)
                return False
            case "s":
                text = summary_text(summary_of(walk.book, walk.events, walk.possible()))
                name, wrong = save_text(walk, text)
                voice.draw([*text.splitlines(), wrong or f"{SAVED_AS} {name}"])
                return False
            case "y" if view.step is None:
                walk.prove_now()
                return True
            case _ if line.startswith("/") and view.step:
                return _volunteer(voice, walk, typed, line[1:])
            case _:
                walk.answer(line)
                return True
    except Overtaken as error:
        voice.say(news_text(walk, error.events, mine_lost=True))
        return True
    except BadEvent as error:
        voice.say(f"{OTHER_BOOK} ({error}).")
    except NotAnAnswer as error:
        voice.say(str(error))
        if view.step and view.step.reading:
            voice.say(f"A number from the list, {view.step.reading}.")
    except OSError as error:
        voice.say(f"{NOTHING_SAVED} ({error.strerror}).")
    return False


def _told_news(voice: Voice, walk: Walk) -> bool:
    """Say what somebody else has answered meanwhile; whether there was anything."""
    news = walk.news()
    if news is None:
        return False
    voice.say(news_text(walk, walk.take_in(news)))
    return True


def _change(voice: Voice, walk: Walk, typed: Iterator[str]) -> bool:
    given = answers_so_far(walk)
    if not given:
        voice.say(NO_FINDINGS)
        return False
    voice.say("The answers so far:")
    for number, item in enumerate(given, 1):
        voice.say(f"{item.question} {item.answer}", f"{number}. ")
    line = ask_line(voice, typed, "Which one to change? Enter for none: ")
    index = _index(voice, line, len(given))
    if index is not None:
        walk.ask(given[index].id)
    return index is not None


def _volunteer(voice: Voice, walk: Walk, typed: Iterator[str], text: str) -> bool:
    """Take what was said without being asked, picked from what the words may mean."""
    offers = walk.offers(text)
    if not offers:
        voice.say(no_offers(text))
        return False
    voice.say("That may be:")
    for number, offer in enumerate(offers, 1):
        voice.say(offer.label, f"{number}. ")
    line = ask_line(voice, typed, "Which one? Enter for none, ? behind it when not sure: ")
    picked, sure = told(line or "")
    index = _index(voice, picked, len(offers))
    if index is not None:
        walk.volunteer(offers[index].question, offers[index].answer, sure)
    return index is not None


def _index(voice: Voice, line: str | None, count: int) -> int | None:
    """The index that was picked from a list of so many; None when none was, and it says so."""
    if not line:
        return None
    if not line.isascii() or not line.isdigit() or not 1 <= int(line) <= count:
        voice.say(f"There is no answer {line!r} in the list. Nothing is changed.")
        return None
    return int(line) - 1


def say_view(voice: Voice, walk: Walk, view: View, record: str) -> None:
    """Everything that stands on the page."""
    voice.say()
    if view.step is None:
        voice.say(f"Unit: {view.unit}. The callout has ended.")
        for about, line in ending(walk, record):
            voice.say(f"{about}: {line}")
        return
    voice.say(f"Unit: {view.unit}. It is now: {view.state.hold}. {place_text(walk, view).capitalize()}.")
    left = walk.trip()
    if left:
        voice.say(f"{trip_short(left).capitalize()}. {trip_warning(left)}".strip())
    fit = fit_text(walk, view)
    if fit:
        voice.say(f"{fit} (c changes an answer)")
    _say_step(voice, view.step, view.state.hold)
    _say_beliefs(voice, view)


def _say_step(voice: Voice, step: Step, hold: str) -> None:
    voice.say(step.heading)
    voice.say(f"CAUTION: {step.say}" if step.kind == "caution" else step.say)
    if step.why:
        voice.say(f"Why: {step.why}")
    needs = needs_text(step, hold)
    if needs:
        voice.say(f"Needs: {needs}.")
    for caution in step.cautions:
        voice.say(f"CAUTION: {caution}")
    for number, line in enumerate(step.steps, 1):
        done = "done: " if number in step.ticked else ""
        voice.say(line, f"Step {number}: {done}")
    if step.right:
        voice.say(f"Right is: {step.right}")
    voice.say("Answers:")
    for choice in step.choices:
        voice.say(choice.label, f"{choice.key}. ")
    if step.reading:
        voice.say(step.reading[:1].upper() + step.reading[1:])
    if step.back:
        voice.say(f"{WAY_BACK}{' '.join(step.back)}")
    if step.judged_by:
        voice.say(step.judged_by)
    if step.coming:
        voice.say(f"{COMING}{step.coming}")


def _say_card(voice: Voice, step: Step, language: str, drawn: bool) -> None:
    """What the thing looks like: in words, then as a drawing, which a screen reader can leave out."""
    words, card = words_in(language), step.card
    if card is None:
        voice.say(words.no_card)
        return
    voice.say(card.title)
    for label, text in sentences(card, language):
        voice.say(f"{label}: {text}")
    if card.rows and drawn:
        voice.say(f"{words.drawing}: {names_text(card)}.")
        voice.draw(card.rows)


def _say_picture(voice: Voice, walk: Walk, view: View, number: str) -> None:
    from tui.picture_lines import NO_SUCH, picture

    if number not in [str(n) for n in range(len(view.leaders) + 1)]:
        voice.say(NO_SUCH)
        return
    voice.draw(picture(walk, view, int(number))(WIDTH))


def _say_fault(voice: Voice, walk: Walk, view: View, number: str) -> None:
    from tui.fault_lines import NO_SUCH_FAULT, page_of_fault

    if number not in [str(n) for n in range(len(view.leaders) + 1)]:
        voice.say(NO_SUCH_FAULT)
        return
    voice.draw(page_of_fault(walk, view, int(number), drawn=False)(WIDTH))


def _say_job(voice: Voice, walk: Walk) -> None:
    """The whole job of the present repair, with the numbers of this unit."""
    job = walk.whole_job()
    if job is None:
        voice.say(NO_JOB)
        return
    for line in [*head_lines(job), *(line_text(line, words_of_job(job).caution) for line in job.lines)]:
        voice.say(line)


def _tick(voice: Voice, walk: Walk, number: str) -> bool:
    """Tick a step, the next one when no number is given; there is no new question to show."""
    if not number.isascii() or not number.isdigit():
        raise NotAnAnswer(f"{number!r} is no number of a step.")
    walk.tick(int(number))
    step = walk.view().step
    if step:
        left = len(step.steps) - len(step.ticked)
        voice.say(f"Ticked. {left} to go." if left else ALL_TICKED)
    return False


def _say_beliefs(voice: Voice, view: View) -> None:
    if not view.leaders:
        return
    voice.say("Likely faults:")
    for leader in view.leaders:
        change = points(leader)
        moved = f" ({change} by the last answer)" if change else ""
        rests = f", {leader.rests_on}" if leader.rests_on else ""
        share = leader.probability
        voice.say(f"{percent_text(share)}, {odds_text(share)}: {leader.title}{rests}{moved}")
    blamed = [(name, share) for name, share in view.sections if share >= LEAST_SHARE]
    if blamed:
        places = ", ".join(f"{name} {percent_text(share)}" for name, share in blamed)
        voice.say(f"Where in the loop: {places}.")


def _say_help(voice: Voice) -> None:
    for line in ABOUT:
        voice.say(line)
    for key, what in PLAIN_KEYS:
        voice.say(f"{key}: {what}.")
