"""The line mode of the desk: several callouts by lines, for pipes and screen readers."""

import shlex
from collections.abc import Callable, Iterator
from pathlib import Path

from diagnose.message import messages_of
from diagnose.phone import phone_lines
from diagnose.sheet import read_unit
from diagnose.spoken import known_language
from diagnose.walk import Walk
from knowledge.problems import InputProblems
from tui.desk import Desk, Place
from tui.desk_handover import hand_out, take_in
from tui.desk_help import line_words
from tui.desk_lines import place_lines, sound_lines, title_line
from tui.desk_message import message_file, write_message
from tui.desk_text import DeskWords, desk_words, filled
from tui.plain import take_line
from tui.plain_pages import say_view
from tui.voice import Out, Voice, ask_line


class DeskTalk:
    """One desk and the lines that are typed at it."""

    def __init__(self, desk: Desk, typed: Iterator[str], out: Out, folder: Path) -> None:
        """``folder``: where messages are written."""
        self.desk = desk
        self._typed = typed
        self._voice = Voice(out)
        self._folder = folder
        self._taken: Place | None = None
        """The callout that is being answered; None while the list is."""

    @property
    def _words(self) -> DeskWords:
        return desk_words(self.desk.language)

    def run(self) -> int:
        """Work until `q` at the list, or the end of the input. Returns the exit code."""
        self.desk.refresh()
        self._list()
        show = False
        while True:
            place, walk = self._taken, self._taken.walk if self._taken else None
            if place and walk:
                place.view = walk.view()
                if show:
                    self._say_page(place, walk)
            line = ask_line(
                self._voice, self._typed, f"{place.number}: " if place else f"{self._words.title}: "
            )
            if line is None or (place is None and line == "q"):
                self._voice.say(self._words.left)
                return 0
            try:
                show = self._do(line, place, walk)
            except InputProblems as error:
                for problem in error.problems:
                    self._voice.say(f"{problem.what}. {problem.mend}".strip())
                show = False

    def _do(self, line: str, place: Place | None, walk: Walk | None) -> bool:
        """Do what was typed; whether a callout's page is to be shown."""
        step = place.view.step if place and place.view else None
        answers = {choice.answer for choice in step.choices} if step else set()
        word, _, rest = line.partition(" ")
        command = self._commands().get(word) if line not in answers else None
        if command:
            return command(rest.strip())
        if place is None or walk is None or place.view is None:
            return self._take(line) if line.isdigit() else self._help("") if line else False
        if step is None and line == "":
            return self._back("")
        return take_line(self._voice, walk, place.view, line, self._typed)

    def _commands(self) -> dict[str, Callable[[str], bool]]:
        always = {
            "list": self._back,
            "take": self._take,
            "new": self._new,
            "out": self._out,
            "in": self._in,
            "lang": self._speak,
        }
        if self._taken is None:
            return {**always, "?": self._help}
        return {**always, "q": self._back, "text": self._text, "desk?": self._help}

    def _list(self) -> None:
        self._voice.say()
        self._voice.say(title_line(self.desk))
        if not self.desk.places:
            self._voice.say(self._words.none_open)
        for place in self.desk.places:
            lines = place_lines(self.desk, self.desk.look(place.number), self.desk.clock())
            self._voice.say(
                " ".join(f"{text}." for text in (lines.who, lines.trip) if text), f"{lines.number}. "
            )
            self._voice.say(lines.last, "   ")
            self._voice.say(lines.awaited, "   ")

    def _back(self, _: str) -> bool:
        self._taken = None
        self.desk.refresh()
        self._list()
        return False

    def _take(self, number: str) -> bool:
        place = self.desk.place(int(number)) if number.isascii() and number.isdigit() else None
        if place is None:
            self._voice.say(filled(self._words.no_such, number=number))
            return False
        self.desk.open(place.number)
        self._taken = place
        return True

    def _new(self, rest: str) -> bool:
        """`new SHEET for NAME`: both may be left out."""
        sheet, _, caller = f" {rest} ".partition(" for ")
        unit = read_unit(sheet.strip(), self.desk.book) if sheet.strip() else None
        place = self.desk.begin(unit, caller.strip())
        self._voice.say(filled(self._words.started, number=place.number, unit=place.overview.unit))
        return self._take(str(place.number))

    def _out(self, rest: str) -> bool:
        number, _, file = rest.partition(" ")
        place = self.desk.place(int(number)) if number.isascii() and number.isdigit() else None
        if place is None or not file.strip():
            self._voice.say(
                filled(self._words.no_such, number=number) if place is None else self._words.file_out
            )
            return False
        path = hand_out(self.desk, place.number, _typed_path(file))
        self._voice.say(filled(self._words.written, number=place.number, file=path))
        return self._back("")

    def _in(self, rest: str) -> bool:
        numbers = take_in(self.desk, _typed_path(rest))
        told = filled(self._words.taken_in, numbers=", ".join(map(str, numbers)))
        self._voice.say(told if numbers else self._words.nothing_in)
        return self._back("")

    def _speak(self, language: str) -> bool:
        self.desk.speak(known_language(self.desk.book, language))
        self._voice.say(self._words.now_speaking)
        return self._taken is not None

    def _text(self, _: str) -> bool:
        place, step = self._taken, self._taken.view.step if self._taken and self._taken.view else None
        if place is None or step is None:
            self._voice.say(self._words.message_none)
            return False
        parts = messages_of(self.desk.book, step, self.desk.language)
        path = write_message(message_file(self._folder, place.overview.name), parts)
        for part in parts:
            self._voice.say()
            for row in part.split("\n"):
                self._voice.say(row)
        self._voice.say()
        self._voice.say(filled(self._words.message_file, file=path))
        return False

    def _help(self, _: str) -> bool:
        for key, what in line_words(self.desk.language):
            self._voice.say(f"{key}: {what}.")
        return False

    def _say_page(self, place: Place, walk: Walk) -> None:
        say_view(self._voice, walk, walk.view(), f"{self.desk.history.name}, callout {place.overview.name}")
        step = walk.view().step
        if step is None:
            return
        lines = phone_lines(self.desk.book, step, self.desk.language)
        self._voice.say(f"{self._words.hesitates}: {lines.hesitates}")
        said = [f"{key} {words}" for key, _, words in sound_lines(step, lines) if words]
        if said:
            self._voice.say(f"{self._words.sounds}: {'; '.join(said)}")


def _typed_path(text: str) -> Path:
    """A file as it is typed, perhaps in quotes."""
    try:
        words = shlex.split(text, posix=True) if text.strip()[:1] in ("'", '"') else [text.strip()]
    except ValueError:
        words = [text.strip()]
    return Path(words[0] if words else "")
