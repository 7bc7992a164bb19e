"""What `?` says at the desk, in each language."""

from typing import Final

_ENGLISH_WORDS: Final = (
    ("list", "all callouts on the desk: who, what is awaited, how near the trip"),
    ("take 2, or 2 at the list", "go on with callout 2"),
    ("new SHEET for NAME", "a new callout; the sheet and the name can be left out"),
    ("text", "the question as a text message, also in a file"),
    ("lang es", "speak Spanish to the callers; lang en: English"),
    ("out 2 FILE", "hand callout 2 over: it goes into a file"),
    ("in FILE", "take in what was handed over"),
    ("q", "from a callout back to the list; at the list it leaves. Everything is saved"),
    ("? in a callout", "what can be typed as an answer; desk? shows these lines"),
)
_SPANISH_WORDS: Final = (
    ("list", "todas las llamadas de la mesa: quién, qué se espera, qué tan cerca está el paro"),
    ("take 2, o 2 en la lista", "sigue con la llamada 2"),
    ("new HOJA for NOMBRE", "una llamada nueva; la hoja y el nombre pueden faltar"),
    ("text", "la pregunta como mensaje de texto, también en un archivo"),
    ("lang en", "hablar inglés con quien llama; lang es: español"),
    ("out 2 ARCHIVO", "entrega la llamada 2: queda en un archivo"),
    ("in ARCHIVO", "recibe lo que se entregó"),
    ("q", "de una llamada a la lista; en la lista, sale. Todo está guardado"),
    ("? en una llamada", "qué se puede escribir como respuesta; desk? muestra estos renglones"),
)
_ENGLISH_ABOUT: Final = (
    "Each callout stands with its caller, its unit, how long it has been open, how near its trip it is, the "
    "last answer, and what is awaited.",
    "Callouts are worked out side by side. What was typed in one is still there when you come back to it.",
    "What somebody else answers at another desk shows here within seconds.",
    "A message to a hand who reads is shown, and it is always in the file that is named.",
)
_SPANISH_ABOUT: Final = (
    "De cada llamada se ve quién llama, su equipo, hace cuánto está abierta, qué tan cerca está su paro, la "
    "última respuesta y qué se espera.",
    "Las llamadas se trabajan a la par. Lo que se escribió en una sigue ahí cuando usted regresa.",
    "Lo que otra persona contesta en otra mesa se ve aquí en unos segundos.",
    "El mensaje para quien lee se muestra, y siempre queda en el archivo que se dice.",
)


def line_words(language: str) -> tuple[tuple[str, str], ...]:
    """For the line mode: (what is typed, what it does); in English where there is no other."""
    return _SPANISH_WORDS if language == "es" else _ENGLISH_WORDS


def list_about(language: str) -> tuple[str, ...]:
    """What the list shows, in paragraphs; in English where there is no other."""
    return _SPANISH_ABOUT if language == "es" else _ENGLISH_ABOUT
