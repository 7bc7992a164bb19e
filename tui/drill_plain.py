"""A drill line by line: everything in reading order, nothing drawn."""

from collections.abc import Callable, Iterable, Iterator, Sequence

from diagnose.trial.drill import Drill, Page, Refused
from diagnose.trial.drill_outcome import Outcome, Side, outcome
from diagnose.trial.drill_search import Found
from diagnose.trial.drill_vessel import Vessel
from diagnose.volunteer import counted
from knowledge.book import Book
from tui.drill_lines import (
    ABOUT,
    COMPARING,
    FAULT,
    LEFT,
    LIST,
    MENU,
    NEXT,
    NO_CHECK,
    NO_FAULT,
    PLAIN_KEYS,
    SEARCH,
    TYPE_CHECK,
    TYPE_FAULT,
    WHICH_CHECK,
    WHICH_FAULT,
    WHICH_SECTION,
    beside_lines,
    ending_lines,
    main_lines,
    minutes,
    needs_line,
    news_lines,
    opening_lines,
    price_line,
    watch_blocks,
    watched_lines,
)
from tui.voice import WIDTH, Out, Voice, ask_line


class PlainDrill:
    """One drill in lines."""

    def __init__(self, drill: Drill, typed: Iterable[str], out: Out) -> None:
        self.drill, self.book = drill, drill.book
        self._typed: Iterator[str] = iter(typed)
        self._voice = Voice(out)

    def play(self) -> Outcome | None:
        """Play until it ends; None when it was left before."""
        say = self._voice.say
        for text in opening_lines(self.book, self.drill.vessel):
            say(text)
        say("? tells what can be typed.")
        show = True
        while not self.drill.state.ended:
            page = self.drill.page()
            if show:
                self._say_page(page)
            line = ask_line(self._voice, self._typed, "Your choice: ")
            if line is None or line == "q":
                say(LEFT)
                return None
            try:
                show = self._take(page, line)
            except Refused as error:
                say(str(error))
                show = False
        return self._end()

    def _end(self) -> Outcome:
        say = self._voice.say
        for line in news_lines(self.book, self.drill.page()):
            say(line)
        say(COMPARING)
        came = outcome(self.drill)
        say()
        for line in ending_lines(self.book, came):
            say(line)
        say()
        for line in beside_lines(self.book, came, WIDTH):
            say(line)
        return came

    def _take(self, page: Page, line: str) -> bool:
        """Do what was typed; whether there is something new to show."""
        word, _, rest = line.partition(" ")
        match word.lower():
            case "":
                return False
            case "?":
                return self._say_help()
            case "seen":
                return self._say_seen(page)
            case "give" if rest.strip().lower() == "up":
                self.drill.give_up()
                return True
        if page.step:
            self.drill.answer(line)
            return True
        match word.lower():
            case "list":
                return self._list()
            case "fault":
                return self._fault(rest)
        if line in dict(MENU):
            return self._menu(line)
        if line.isdigit():
            self.drill.answer(line)
            return True
        return self._check(line.removeprefix("/"))

    def _menu(self, key: str) -> bool:
        if key == SEARCH:
            return self._check(ask_line(self._voice, self._typed, f"{TYPE_CHECK} "))
        if key == LIST:
            return self._list()
        if key == FAULT:
            return self._fault("")
        self.drill.give_up()
        return True

    def _check(self, text: str | None) -> bool:
        return self._pick(self.drill.find_check, text, NO_CHECK, TYPE_CHECK, WHICH_CHECK, self.drill.look)

    def _fault(self, text: str) -> bool:
        words: str | None = text.strip() or ask_line(self._voice, self._typed, f"{TYPE_FAULT} ")
        return self._pick(self.drill.find_fault, words, NO_FAULT, TYPE_FAULT, WHICH_FAULT, self.drill.name)

    def _pick(
        self,
        find: Callable[[str], Sequence[Found]],
        text: str | None,
        none: str,
        how: str,
        which: str,
        take: Callable[[str], None],
    ) -> bool:
        """Search, let one be picked, and take it."""
        if not text:
            return False
        found = find(text)
        if not found:
            self._voice.say(none.format(text) if counted(text) else how)
            return False
        number = self._which(which, [item.label for item in found])
        if number is not None:
            take(found[number].id)
        return number is not None

    def _list(self) -> bool:
        places = self.drill.by_section()
        number = self._which(WHICH_SECTION, [f"{name} ({len(found)} checks)" for name, found in places])
        if number is None:
            return False
        found = places[number][1]
        check = self._which(WHICH_CHECK, [item.label for item in found])
        if check is not None:
            self.drill.look(found[check].id)
        return check is not None

    def _which(self, title: str, rows: Sequence[str]) -> int | None:
        """The index of the row that is picked; None when none is, and it says so."""
        self._voice.say(title)
        for number, row in enumerate(rows, 1):
            self._voice.say(row, f"{number}. ")
        line = ask_line(self._voice, self._typed, "Its number, or Enter for none: ")
        if not line:
            return None
        if not line.isascii() or not line.isdigit() or not 1 <= int(line) <= len(rows):
            self._voice.say(f"There is no {line!r} in the list. Nothing is changed.")
            return None
        return int(line) - 1

    def _say_page(self, page: Page) -> None:
        say = self._voice.say
        say()
        for line in news_lines(self.book, page):
            say(line)
        say(f"The unit is {page.state.hold}. {minutes(page.minutes)} so far.")
        if page.step:
            self._say_step(page)
            return
        say(NEXT)
        for number, found in enumerate(page.offers, 1):
            say(found.label, f"{number}. ")
        for key, what in MENU:
            say(what, f"{key}. ")

    def _say_step(self, page: Page) -> None:
        say, step = self._voice.say, page.step
        assert step
        for line in dict.fromkeys((step.heading, step.say)):
            say(line)
        if step.why:
            say(f"Why: {step.why}")
        for line in filter(None, (needs_line(page), price_line(page))):
            say(line)
        for caution in step.cautions:
            say(f"CAUTION: {caution}")
        for number, text in enumerate(step.steps, 1):
            say(text, f"Step {number}: ")
        if step.right:
            say(f"Right is: {step.right}")
        if step.judged_by:
            say(step.judged_by)
        for choice in step.choices:
            say(choice.label, f"{choice.key}. ")

    def _say_help(self) -> bool:
        for line in ABOUT:
            self._voice.say(line)
        for key, what in PLAIN_KEYS:
            self._voice.say(f"{key}: {what}.")
        return False

    def _say_seen(self, page: Page) -> bool:
        for line in [*news_lines(self.book, page), *main_lines(self.drill, page)]:
            self._voice.say(line)
        return False


def watch_plain(book: Book, vessel: Vessel, side: Side, out: Out) -> None:
    """The tool's walk, each step with its reason."""
    voice = Voice(out)
    for line in opening_lines(book, vessel):
        voice.say(line)
    for number, block in enumerate(watch_blocks(book, side), 1):
        voice.say()
        front = f"{number}. "
        voice.say(block[0], front)
        for line in block[1:]:
            voice.say(" " * len(front) + line, " " * len(front))
    voice.say()
    for line in watched_lines(book, vessel, side):
        voice.say(line)
