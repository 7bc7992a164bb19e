"""The words for an answer, and the reason for an advice."""

from diagnose.advice import Advice
from diagnose.words import minutes_text, percent_text
from knowledge.book import Book
from knowledge.schema import Check


def answer_label(book: Book, question: str, answer: str) -> str:
    """The words for an answer to a check or a fact."""
    asked = book.question(question)
    labels = asked.outcomes if isinstance(asked, Check) else asked.values
    return labels.get(answer, "Could not tell")


def why_of(book: Book, advice: Advice, titles: dict[str, str]) -> str:
    """The reason for an advice, in a sentence or two for a person."""
    match advice.kind:
        case "check":
            asked = book.question(advice.id)
            likeliest = sorted(advice.answers, key=lambda item: -item[1])[:2]
            saves = f" Saves about {minutes_text(advice.saves)}." if advice.saves >= 1 else ""
            told = " or ".join(
                f"“{answer_label(book, advice.id, answer)}”, {percent_text(chance)}"
                for answer, chance in likeliest
            )
            return f"{_sentence(asked.why_it_splits)} Likeliest: {told}.{saves}"
        case "repair":
            return "Trying this now costs less than more looking."
        case "hold":
            sake = titles[advice.sake]
            return f"Needed for: {sake}" + ("" if sake.endswith("?") else ".")
        case "help":
            return "No check and no repair that can be done here is worth its minutes."
        case _:
            return "Everything after depends on what it does, or does not do."


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."
