"""The words for an answer, the titles of things, the shares by section, and the reason for an advice."""

from collections.abc import Mapping

from diagnose.advice import Advice
from diagnose.callout import Finding
from diagnose.compile import all_causes
from diagnose.own_words import own
from diagnose.words import minutes_text, percent_text
from knowledge.book import Book
from knowledge.schema import Check
from knowledge.words import SECTIONS, UNLISTED


def answer_label(book: Book, question: str, answer: str) -> str:
    """The words for an answer to a check or a fact."""
    asked = book.question(question)
    labels = asked.outcomes if isinstance(asked, Check) else asked.values
    return labels.get(answer) or own(book, "Could not tell")


def finding_label(book: Book, question: str, finding: Finding) -> str:
    """The words for what was found, with the reading and the doubt."""
    reading = f" ({finding.text})" if finding.text else ""
    doubt = "" if finding.sure else own(book, " (not sure)")
    return answer_label(book, question, finding.answer) + reading + doubt


def why_of(book: Book, advice: Advice, titles: dict[str, str]) -> str:
    """The reason for an advice, in a sentence or two for a person."""
    match advice.kind:
        case "check" if advice.again:
            return own(
                book, "Before calling for help, look once more. This answer is the likeliest to be wrong."
            )
        case "check":
            asked = book.question(advice.id)
            likeliest = sorted(advice.answers, key=lambda item: -item[1])[:2]
            minutes = own(book, minutes_text(advice.saves))
            saves = own(book, " Saves about {minutes}.", minutes=minutes) if advice.saves >= 1 else ""
            told = own(book, " or ").join(
                f"“{answer_label(book, advice.id, answer)}”, {percent_text(chance)}"
                for answer, chance in likeliest
            )
            text, reason = "{reason} Likeliest: {told}.{saves}", _sentence(asked.why_it_splits)
            return own(book, text, reason=reason, told=told, saves=saves)
        case "repair":
            return own(book, "Trying this now costs less than more looking.")
        case "hold":
            sake = titles[advice.sake]
            return own(book, "Needed for: {title}", title=sake) + ("" if sake.endswith("?") else ".")
        case "help":
            return own(book, "No check and no repair that can be done here is worth its minutes.")
        case _:
            return own(book, "Everything after depends on what it does, or does not do.")


def coming_text(book: Book, advice: Advice, titles: Mapping[str, str]) -> str:
    """What most likely comes after a step, and what to bring for it; empty when nothing is foreseen."""
    steps = [step for step in advice.then if step.id]
    if not steps:
        return ""
    named = "; ".join(titles[step.id] for step in steps)
    things: dict[str, None] = {}
    for step in steps:
        if step.kind == "repair":
            repair = book.causes[step.id].repair
            things |= dict.fromkeys([*repair.tools, *repair.parts])
        else:
            things |= dict.fromkeys(book.question(step.id).tools)
    bring = own(book, " Bring: {things}.", things=", ".join(things)) if things else ""
    return f"{named}{'' if named.endswith('?') else '.'}{bring}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."


def titles_of(book: Book) -> dict[str, str]:
    """Title of every cause, check, fact and unlisted cause, by id."""
    titles = {name: cause.title for name, cause in book.causes.items()}
    titles |= {name: check.ask for name, check in book.checks.items()}
    titles |= {name: fact.title for name, fact in book.facts.items()}
    return titles | {
        name: own(book, "Something that the book does not know")
        for name in all_causes(book)
        if name.startswith(UNLISTED)
    }


def section_shares(book: Book, blame: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """Share of the blame in each section, in signal order."""
    shares = dict.fromkeys(SECTIONS, 0.0)
    for name, share in blame.items():
        if name in book.sections:
            shares[book.sections[name]] += share
    return tuple(shares.items())
