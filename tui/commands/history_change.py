"""`halfsplit history note`, `correct`, `strike`, `close` and `reopen`: each is kept beside what was there."""

import argparse
from typing import TYPE_CHECKING

from tui.commands.common import add_book, mistakes, the_book
from tui.stores import add_store, open_store, working_on

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.history.changes import Hand
    from diagnose.history.store import History


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add them to `history`."""
    parser = _parser(below, "note", "Put a note beside a callout.", why=False)
    parser.add_argument("text", metavar="TEXT", help="the note")
    parser = _parser(below, "correct", "Correct a callout; what was there before stays readable.")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--unit", metavar="NAME", help="it was this unit")
    what.add_argument("--site", metavar="NAME", help="the unit stands at this site")
    what.add_argument("--cause", metavar="CAUSE", help="this was wrong after all, by its id in the book")
    what.add_argument("--lost", metavar="MINUTES", help="so many minutes of production were lost")
    answer = ("NUMBER", "ANSWER")
    what.add_argument("--answer", metavar=answer, nargs=2, help="the answer that `history show` numbers so")
    add_book(parser)
    parser = _parser(below, "strike", "Take a callout out of all lists and counts.")
    parser.add_argument("--restore", action="store_true", help="bring it back")
    parser = _parser(below, "close", "End a callout that nobody goes on with.")
    parser.add_argument("--cause", metavar="CAUSE", default="", help="what was wrong, by its id in the book")
    add_book(parser)
    parser = _parser(below, "reopen", "Open a callout again that has ended.")
    add_book(parser)


def _parser(
    below: "_SubParsersAction[argparse.ArgumentParser]", name: str, about: str, why: bool = True
) -> argparse.ArgumentParser:
    parser = below.add_parser(name, help=about, description=about)
    parser.add_argument("callout", metavar="ID", help="its key, the first letters of it, or its name")
    if why:
        parser.add_argument("--why", metavar="TEXT", default="", help="the reason, kept with it")
    parser.add_argument("--by", metavar="NAME", default="", help="your name, to be kept with it")
    add_store(parser)
    parser.set_defaults(run=run, change=name)
    return parser


def run(args: argparse.Namespace) -> int:
    """Change a callout."""
    with mistakes() as outcome, open_store(args) as history, working_on(history.name):
        from diagnose.history.changes import Hand
        from tui.clock import utc_now
        from tui.history_lines import list_line
        from tui.settings import setting

        key = history.find(args.callout).key
        _change(args, history, key, Hand(utc_now(), args.by or setting("by")))
        print(list_line(history.overview(key)))
    return outcome.code


def _change(args: argparse.Namespace, history: "History", key: str, hand: "Hand") -> None:
    from diagnose.history import changes

    match args.change:
        case "note":
            changes.note(history, key, hand, args.text)
        case "strike":
            changes.strike(history, key, hand, args.why, args.restore)
        case "close":
            changes.close(history, the_book(args), key, hand, args.cause, args.why)
        case "reopen":
            changes.reopen(history, the_book(args), key, hand, args.why)
        case _:
            given = {"unit": args.unit, "site": args.site, "cause": args.cause, "lost": args.lost}
            what, value = args.answer or next(
                (name, text) for name, text in given.items() if text is not None
            )
            changes.correct(history, the_book(args), key, hand, what, value, args.why)
