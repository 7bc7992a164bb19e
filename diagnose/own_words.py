"""What the program itself says on a page, in the language that the book is read in."""

from collections.abc import Mapping
from typing import Final

from diagnose.words import SAFETY
from knowledge.book import Book

SPANISH: Final[Mapping[str, str]] = {
    SAFETY: "Primero van el procedimiento del sitio, los permisos, los códigos locales y la práctica "
    "autorizada. Un teléfono o una computadora puede encender el gas. Nunca anule un paro.",
    "Could not tell": "No se pudo saber",
    " (not sure)": " (no seguro)",
    " or ": " o ",
    " and ": " y ",
    "Do this first": "Haga esto primero",
    "You said: {answer}. Do this before anything else.": "Usted dijo: {answer}. Haga esto antes que nada.",
    "Done. Go on": "Hecho. Seguir",
    "What is wrong?": "¿Qué está mal?",
    "What is wrong now?": "¿Qué está mal ahora?",
    "Tell me what it does, or does not do.": "Dígame qué hace, o qué no hace.",
    "What does it do now, after the repair?": "¿Qué hace ahora, después de la reparación?",
    "What the repair could have changed counts less now, and may be asked again.": "Lo que la "
    "reparación pudo cambiar ahora cuenta menos, y se puede volver a preguntar.",
    "Go back from “{hold}” to “{target}”": "Regrese de “{hold}” a “{target}”",
    "Go back from {hold} to {target}": "Regrese de {hold} a {target}",
    "Take it back one step: from {hold} to {target}.": "Regréselo un paso: de {hold} a {target}.",
    "Done: it is {target} again": "Hecho: está otra vez {target}",
    "It cannot be done now": "Ahora no se puede hacer",
    " ({number} more after this)": " (después de esto faltan {number})",
    "Before it is {target}: read this{more}": "Antes de que esté {target}: lea esto{more}",
    "Read, and it is so": "Leído, y así es",
    "Put right: {title}": "Arregle esto: {title}",
    "Suspected: {plain}.": "Se sospecha: {plain}.",
    "Done: put right": "Hecho: arreglado",
    "I looked: it is in order, not the fault": "Ya miré: está bien, no es la falla",
    "It cannot be put right now": "Ahora no se puede arreglar",
    "any hand": "cualquier operador",
    "a mechanic who sets up controllers and valves": "un mecánico que ajusta controladores y válvulas",
    "a specialist, licensed or called for it": "un especialista, con licencia o llamado para eso",
    "The whole job, step by step: {title} (halfsplit procedure show {name}).": "Todo el trabajo, paso "
    "por paso: {title} (halfsplit procedure show {name}).",
    "Prove it: {title}": "Compruébelo: {title}",
    "Did it fill, dump and shut off twice by itself?": "¿Llenó, descargó y cerró dos veces por sí solo?",
    "Yes: cured": "Sí: quedó arreglado",
    "No: not cured": "No: no quedó",
    "Cannot watch it now": "Ahora no se puede vigilar",
    "A repair counts when the unit has shown it.": "Una reparación cuenta cuando el equipo lo demuestra.",
    "See that it is right: {right}": "Vea que esté bien: {right}",
    "Then keep your hands off. Watch it fill, dump and shut off twice by itself.": "Luego no meta las "
    "manos. Vea que llene, descargue y cierre dos veces por sí solo.",
    "The sheet does not give it, so a reading is judged by the usual: {numbers}.": "La hoja no lo da, "
    "así que una lectura se juzga con lo de costumbre: {numbers}.",
    "or the number with its unit, like 12 {unit}": "o el número con su unidad, como 12 {unit}",
    "or the minutes, like 25 min": "o los minutos, como 25 min",
    "or the minutes, like 25 min, or the level now, like 26 in": "o los minutos, como 25 min, o el "
    "nivel de ahora, como 26 in",
    "Still possible: {title}, {chance}": "Todavía posible: {title}, {chance}",
    "Already put right: {title}": "Ya arreglado: {title}",
    "Could not be put right: {title}": "No se pudo arreglar: {title}",
    "Known: {line}": "Se sabe: {line}",
    "Nobody could tell: {line}": "Nadie pudo saber: {line}",
    "Call somebody who knows more": "Llame a alguien que sepa más",
    "With what can be told from here, no check and no repair is worth its minutes.": "Con lo que se "
    "puede saber desde aquí, ninguna prueba y ninguna reparación vale sus minutos.",
    "Help is called: end the callout": "Ya se pidió ayuda: terminar la llamada",
    "Leave the unit safe by site procedure. Give them these lines.": "Deje el equipo seguro con el "
    "procedimiento del sitio. Deles estos renglones.",
    "{reason} Likeliest: {told}.{saves}": "{reason} Lo más probable: {told}.{saves}",
    " Saves about {minutes}.": " Ahorra unos {minutes}.",
    "Trying this now costs less than more looking.": "Probar esto ahora cuesta menos que seguir mirando.",
    "Needed for: {title}": "Hace falta para: {title}",
    "Before calling for help, look once more. This answer is the likeliest to be wrong.": "Antes de pedir "
    "ayuda, vuelva a mirar. Esta respuesta es la que más puede estar equivocada.",
    "No check and no repair that can be done here is worth its minutes.": "Ninguna prueba ni reparación "
    "que se pueda hacer aquí vale sus minutos.",
    "Everything after depends on what it does, or does not do.": "Todo lo que sigue depende de lo que "
    "hace, o no hace.",
    " Bring: {things}.": " Traiga: {things}.",
    "Something that the book does not know": "Algo que el libro no conoce",
    "The proof is made with the unit back in service.": "La comprobación se hace con el equipo otra vez "
    "en servicio.",
    "You asked to change this answer.": "Usted pidió cambiar esta respuesta.",
    "You asked for it.": "Usted lo pidió.",
    "running": "en servicio",
    "on bypass": "en bypass",
    "supply off": "sin suministro",
    "isolated": "aislado",
    "depressured": "sin presión",
    "open": "abierto",
    "it snaps": "es snap",
    "it throttles": "es throttle",
    "it acts direct": "actúa directo",
    "it acts indirect": "actúa indirecto",
    "the valve fails closed": "la válvula falla cerrada",
    "the valve fails open": "la válvula falla abierta",
    "it runs on field gas": "trabaja con gas del campo",
    "it runs on air": "trabaja con aire",
    "it freezes": "está helando",
    "it does not freeze": "no está helando",
    "it holds an interface": "lleva una interfase",
    "it holds oil": "lleva aceite",
    "it holds water": "lleva agua",
    "it is mounted on the left": "va montado a la izquierda",
    "it is mounted on the right": "va montado a la derecha",
    "it is mounted at the back": "va montado atrás",
    "the displacer hangs upright": "el desplazador cuelga parado",
    "the displacer hangs flat": "el desplazador cuelga acostado",
    "If {facts}: ": "Si {facts}: ",
    "what the sheet says": "lo que dice la hoja",
    "on the same side as the spring": "del mismo lado que el resorte",
    "on the other side from the spring": "del otro lado que el resorte",
    "on the left side": "del lado izquierdo",
    "on the right side": "del lado derecho",
}
OWN_WORDS: Final[Mapping[str, Mapping[str, str]]] = {"es": SPANISH}
"""By language and English text. What stands in braces is put in."""


def own(book: Book, text: str, **parts: object) -> str:
    """A text of the program in the language of the book, in English where there is none in it."""
    return said(book.language, text, **parts)


def said(language: str, text: str, **parts: object) -> str:
    """A text of the program in a language, in English where there is none in it.

    >>> said("es", "Put right: {title}", title="Piloto flojo"), said("xx", "on bypass")
    ('Arregle esto: Piloto flojo', 'on bypass')
    """
    return OWN_WORDS.get(language, {}).get(text, text).format(**parts)
