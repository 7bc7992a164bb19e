"""The line mode of a walk: what is typed, and what it does."""

from collections.abc import Iterable, Iterator

from diagnose.callout import BadEvent
from diagnose.summary import summary_of
from diagnose.typed import NotAnAnswer
from diagnose.unsure import told
from diagnose.walk import Walk
from diagnose.walk_view import Overtaken, View
from tui.handover_file import write_handover
from tui.lines import answers_so_far, news_text, no_offers, texts_of
from tui.plain_pages import (
    say_card,
    say_fault,
    say_help,
    say_job,
    say_picture,
    say_view,
    say_why,
)
from tui.summary_lines import save_text, summary_text
from tui.texts.kinds import LineTexts
from tui.voice import Out, Voice, ask_line


def walk_plain(walk: Walk, lines_in: Iterable[str], out: Out, record: str, ahead: bool = False) -> int:
    """Go through a walk line by line until it ends, `q`, or the end of the input. Returns the exit code.

    ``ahead``: whether each question waits for a look further ahead.
    """
    voice, typed, texts = Voice(out), iter(lines_in), texts_of(walk).line
    show = True
    while True:
        view = walk.view()
        better = walk.looked_ahead() if ahead and show else None
        if better and walk.show(better, view):
            view = better
        if show:
            say_view(voice, walk, view, record)
        line = ask_line(voice, typed, texts.answer if view.step else texts.ended_prompt)
        if line is None or line == "q" or (view.step is None and line == ""):
            voice.say(texts.left if view.step else texts.closed)
            return 0
        show = take_line(voice, walk, view, line, typed)


def take_line(voice: Voice, walk: Walk, view: View, line: str, typed: Iterator[str]) -> bool:
    """Do what was typed; whether there is something new to show."""
    texts = texts_of(walk)
    try:
        match line:
            case "":
                return _told_news(voice, walk)
            case "?":
                say_help(voice, texts.help)
                return False
            case "u":
                if walk.undo():
                    return True
                voice.say(texts.message.nothing_before)
                return False
            case "c" if view.step:
                return _change(voice, walk, typed)
            case "v" | "v words" if view.step:
                say_card(voice, view.step, walk.book.language, drawn=line == "v")
                return False
            case "p":
                voice.say(write_handover(walk))
                return False
            case _ if line == "g" or line.startswith("g "):
                say_picture(voice, walk, view, line[2:].strip() or "0")
                return False
            case _ if line == "f" or line.startswith("f "):
                say_fault(voice, walk, view, line[2:].strip() or "0")
                return False
            case "w":
                say_why(voice, walk, view)
                return False
            case _ if (line == "x" or line.startswith("x ")) and view.step:
                return _tick(voice, walk, line[2:].strip() or "0")
            case "o":
                say_job(voice, walk)
                return False
            case "s":
                summary = summary_of(walk.book, walk.events, walk.possible())
                text = summary_text(summary, texts.language)
                voice.draw([*text.splitlines(), save_text(walk, text)])
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
        voice.say(texts.message.other_book.format(trouble=error))
    except NotAnAnswer as error:
        voice.say(str(error))
        if view.step and view.step.reading:
            voice.say(texts.line.number_or.format(reading=view.step.reading))
    except OSError as error:
        voice.say(texts.message.not_saved.format(trouble=error.strerror))
    return False


def _told_news(voice: Voice, walk: Walk) -> bool:
    """Say what somebody else has answered meanwhile; whether there was anything."""
    news = walk.news()
    if news is None:
        return False
    voice.say(news_text(walk, walk.take_in(news)))
    return True


def _change(voice: Voice, walk: Walk, typed: Iterator[str]) -> bool:
    given, texts = answers_so_far(walk), texts_of(walk)
    if not given:
        voice.say(texts.message.no_findings)
        return False
    voice.say(texts.line.so_far)
    for number, item in enumerate(given, 1):
        voice.say(f"{item.question} {item.answer}", f"{number}. ")
    line = ask_line(voice, typed, texts.line.which_change)
    index = _index(voice, line, len(given), texts.line)
    if index is not None:
        walk.ask(given[index].id)
    return index is not None


def _volunteer(voice: Voice, walk: Walk, typed: Iterator[str], text: str) -> bool:
    """Take what was said without being asked, picked from what the words may mean."""
    offers = walk.offers(text)
    if not offers:
        voice.say(no_offers(text, walk.book.language))
        return False
    texts = texts_of(walk).line
    voice.say(texts.may_be)
    for number, offer in enumerate(offers, 1):
        voice.say(offer.label, f"{number}. ")
    line = ask_line(voice, typed, texts.which_said)
    picked, sure = told(line or "")
    index = _index(voice, picked, len(offers), texts)
    if index is not None:
        walk.volunteer(offers[index].question, offers[index].answer, sure)
    return index is not None


def _index(voice: Voice, line: str | None, count: int, texts: LineTexts) -> int | None:
    """The index that was picked from a list of so many; None when none was, and it says so."""
    if not line:
        return None
    if not line.isascii() or not line.isdigit() or not 1 <= int(line) <= count:
        voice.say(texts.not_in_list.format(typed=repr(line)))
        return None
    return int(line) - 1


def _tick(voice: Voice, walk: Walk, number: str) -> bool:
    """Tick a step, the next one when no number is given; there is no new question to show."""
    texts = texts_of(walk).line
    if not number.isascii() or not number.isdigit():
        raise NotAnAnswer(texts.no_step.format(typed=repr(number)))
    walk.tick(int(number))
    step = walk.view().step
    if step:
        left = len(step.steps) - len(step.ticked)
        voice.say(texts.ticked.format(number=left) if left else texts.all_ticked)
    return False
