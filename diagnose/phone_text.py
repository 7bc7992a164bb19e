"""What the program itself says and writes on the phone, in each language; the book holds all the rest."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class PhoneWords:
    """The words of one language."""

    hesitates: Mapping[str, str]
    """What to say when the caller hesitates, by the kind of step."""
    cannot_tell: str
    """How a caller says that it cannot be told."""
    right: str
    """Goes before what a right one looks like."""
    caution: str
    """Goes before a caution in a message."""
    put_right: str
    """Goes before the name of what is to be put right, in a message."""
    by_number: str
    """How to answer a message."""
    by_reading: str
    """How to answer a message with a reading; `{unit}` is its unit."""


_ENGLISH: Final = PhoneWords(
    hesitates={
        "check": "Take your time. Tell me what you see, in your own words.",
        "triage": "A guess is enough. If you are not sure, we take it as the worse one.",
        "complaint": "What made you call? Is the level too high, too low, or is something leaking?",
        "notice": "Do it first. I stay on the line. Say “done” when it is done.",
        "caution": "Is it so, there where you are? If you are not sure, we do not go on.",
        "hold": "I read one step. You do it and say “done”. If it cannot be done, we stay as we are.",
        "repair": "I read one step at a time. If it cannot be done safely now, say so: that helps too.",
        "prove": "Keep your hands off and count the dumps. I wait. If you cannot watch it, say so.",
        "help": "Who can you call? Take down what I read to you, and tell them.",
    },
    cannot_tell="I can't see it from here",
    right="A right one",
    caution="CAUTION",
    put_right="Put right",
    by_number="Answer with the number.",
    by_reading="Or answer with the reading, like 12 {unit}.",
)
_SPANISH: Final = PhoneWords(
    hesitates={
        "check": "Tómese su tiempo. Dígame lo que ve, con sus palabras.",
        "triage": "Con un cálculo basta. Si no está seguro, lo tomamos como lo peor.",
        "complaint": "¿Por qué llamó? ¿El nivel está alto, está bajo, o algo está fugando?",
        "notice": "Primero eso. Yo espero en la línea. Diga “listo” cuando esté hecho.",
        "caution": "¿Así está ahí donde usted está? Si no está seguro, no seguimos.",
        "hold": "Le leo un paso. Usted lo hace y dice “listo”. Si no se puede, nos quedamos como estamos.",
        "repair": "Le leo un paso a la vez. Si ahora no se puede hacer seguro, dígalo: eso también sirve.",
        "prove": "No meta la mano y cuente las descargas. Yo espero. Si no puede verlo, dígalo.",
        "help": "¿A quién le puede hablar? Apunte lo que le leo, y dígaselo.",
    },
    cannot_tell="Desde aquí no se ve",
    right="Uno bueno",
    caution="CUIDADO",
    put_right="Arregle",
    by_number="Conteste con el número.",
    by_reading="O conteste con la lectura, como 12 {unit}.",
)
_BY_LANGUAGE: Final = {"en": _ENGLISH, "es": _SPANISH}


def phone_words(language: str) -> PhoneWords:
    """The words of a language; the English ones where there are no others."""
    return _BY_LANGUAGE.get(language, _ENGLISH)
