"""The page that calls for help, with all that the next one has to know."""

from diagnose.callout import State
from diagnose.own_words import own
from diagnose.steps import Step, choices
from diagnose.wording import finding_label
from diagnose.words import percent_text
from knowledge.book import Book


def help_step(book: Book, state: State, leaders: list[tuple[str, float]]) -> Step:
    """Nothing that can be done here is worth its minutes: say what is not known, and call."""
    told = [book.question(name).ask for name in state.not_told]
    known = [
        f"{book.question(name).ask} {finding_label(book, name, finding)}"
        for name, finding in state.findings.items()
        if name not in state.not_told
    ]
    lines = [
        *(
            own(book, "Still possible: {title}, {chance}", title=title, chance=percent_text(share))
            for title, share in leaders
        ),
        *(own(book, "Already put right: {title}", title=book.causes[name].title) for name in state.repaired),
        *(
            own(book, "Could not be put right: {title}", title=book.causes[name].title)
            for name in sorted(state.cannot_repair)
        ),
        *(own(book, "Known: {line}", line=line) for line in known),
        *(own(book, "Nobody could tell: {line}", line=line) for line in told),
    ]
    return Step(
        "help",
        "help",
        own(book, "Call somebody who knows more"),
        own(book, "With what can be told from here, no check and no repair is worth its minutes."),
        choices({"called": own(book, "Help is called: end the callout")}),
        own(book, "Leave the unit safe by site procedure. Give them these lines."),
        state.hold,
        steps=tuple(lines),
    )
