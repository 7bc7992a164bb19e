"""A help card as both faces show it: what it says, and its drawing."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from tui.text import clean

if TYPE_CHECKING:
    from knowledge.schema_card import Card


class Words(NamedTuple):
    """The labels of a card's sentences, in one language."""

    see: str
    where: str
    right: str
    wrong: str
    drawing: str
    no_card: str
    too_narrow: str


_ENGLISH: Final = Words(
    "What you see",
    "Where it is",
    "Right",
    "Wrong",
    "Drawing",
    "There is no picture for this one.",
    "The drawing needs a wider window.",
)
LABELS: Final[Mapping[str, Words]] = {
    "en": _ENGLISH,
    "es": Words(
        "Qué se ve",
        "Dónde está",
        "Bien",
        "Mal",
        "Dibujo",
        "No hay dibujo para esto.",
        "El dibujo necesita una ventana más ancha.",
    ),
}


def words_in(language: str) -> Words:
    """The labels in a language, in English where there are none in it."""
    return LABELS.get(language, _ENGLISH)


def names_text(card: "Card") -> str:
    """What the digits of the drawing stand for, on one line."""
    return clean(", ".join(f"{number} = {name}" for number, name in enumerate(card.names, 1)))


def sentences(card: "Card", language: str) -> list[tuple[str, str]]:
    """(label, sentence) of all that a card says in words."""
    words = words_in(language)
    told = (
        (words.see, card.see),
        (words.where, card.where),
        (words.right, card.right),
        (words.wrong, card.wrong),
    )
    return [(label, clean(text)) for label, text in told if text]


def alone(card: "Card", language: str = "en") -> list[str]:
    """The whole card as plain lines for a list: its words, then its drawing with the names of its parts."""
    lines = [clean(card.title), *(f"{label}: {text}" for label, text in sentences(card, language))]
    return lines + (["", *card.rows, "", names_text(card)] if card.rows else [])
