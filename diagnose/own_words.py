"""What the program itself says on a page, in the language that the book is read in."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from diagnose.words import DEFER, HARDLY, LESS_THAN_ONE, NEARLY_SURE, ODDS, SAFETY, SAYS_NOTHING, SPEAKS

if TYPE_CHECKING:  # The first frame of a screen needs these words, and no book.
    from knowledge.book import Book

_HOW: Final = {
    "very strongly": "con mucha fuerza",
    "strongly": "con fuerza",
    "clearly": "claro",
    "a little": "un poco",
}
SPANISH: Final[Mapping[str, str]] = {
    SAFETY: "Primero van el procedimiento del sitio, los permisos, los códigos locales y la práctica "
    "autorizada. Un teléfono o una computadora puede encender el gas. Nunca anule un paro.",
    DEFER: "Primero van el procedimiento del sitio, los permisos y los códigos locales.",
    **{chance: chance.replace(" in ", " de ") for _, chance in ODDS},
    HARDLY: "apenas",
    NEARLY_SURE: "seguro",
    LESS_THAN_ONE: "menos de 1 min",
    SAYS_NOTHING: "no dice casi nada",
    **{f"speaks {how} for it": f"habla {_HOW[how]} a favor" for _, how in SPEAKS},
    **{f"speaks {how} against it": f"habla {_HOW[how]} en contra" for _, how in SPEAKS},
    **{f"speaks {how} for": f"habla {_HOW[how]} a favor de" for _, how in SPEAKS},
    **{f"speaks {how} against": f"habla {_HOW[how]} en contra de" for _, how in SPEAKS},
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
    "Step by step: {title}, about {minutes}.": "Paso por paso: {title}, unos {minutes}.",
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
    "book only": "solo el libro",
    "{here} here, {everywhere} in all": "{here} aquí, {everywhere} en total",
    "none in 1 callout": "ninguna en 1 llamada",
    "none in {callouts} callouts": "ninguna en {callouts} llamadas",
    "If “{asked}” were “{answer}” ({chance}), it would be “{title}”, {probability}.": "Si “{asked}” fuera "
    "“{answer}” ({chance}), sería “{title}”, {probability}.",
    "The book does not explain this: {chance} that it comes from nothing that the book knows.": "El libro "
    "no explica esto: {chance} de que no viene de nada que el libro conozca.",
    "Parts {one} ({yes}) from {other} ({no}).": "Separa {one} ({yes}) de {other} ({no}).",
    "Tells whether it is {one} ({yes}) or not ({no}).": "Dice si es {one} ({yes}) o no ({no}).",
    "Makes sure of what is thought already ({yes}; {no}).": "Asegura lo que ya se piensa ({yes}; {no}).",
    "Likeliest: {told}.{saves}": "Lo más probable: {told}.{saves}",
    "{section} faults": "fallas de {section}",
    ", so ": ", así que ",
    "put right": "arreglado",
    "looked at, in order": "se miró, está bien",
    "could not be put right now": "ahora no se pudo arreglar",
    "it dumped and shut off twice by itself": "descargó y cerró dos veces por sí solo",
    "not cured": "no quedó",
    "nobody could watch it yet": "nadie lo ha podido vigilar",
    "Unit {hold}": "Equipo {hold}",
    "cannot be done now": "ahora no se puede",
    "done": "hecho",
    "Proof: {title}": "Prueba final: {title}",
    "Help": "Ayuda",
    "called": "se pidió",
    "Callout": "Llamada",
    "closed": "cerrada",
    "reopened": "abierta otra vez",
    "The unit is left {hold}. Tell the next one so.": "El equipo queda {hold}. Dígaselo al que sigue.",
    "It is right when: {right}": "Está bien cuando: {right}",
    "At the next visit, look once more: {asked} Right is: {right}": "En la próxima visita, mire otra vez: "
    "{asked} Bien es: {right}",
    "Still possible: {title}, {chance}.": "Todavía posible: {title}, {chance}.",
    "Still to be put right: {title}.": "Falta arreglar: {title}.",
    "Not sure, look again: {line}.": "No seguro, vuelva a mirar: {line}.",
    "Looked at: {title}": "Se miró: {title}",
    "It is in order": "Está bien",
    " in order": " está bien",
    "Also wrong:": "También mal:",
    "The callout has ended.": "La llamada terminó.",
    "There are no steps to tick here.": "Aquí no hay pasos que marcar.",
    "All steps are ticked.": "Todos los pasos están marcados.",
    "There is no step {number} here.": "Aquí no hay paso {number}.",
    "There is no question named {name}.": "No hay pregunta que se llame {name}.",
    "There is nothing left to prove.": "No queda nada por probar.",
    "Nothing has been complained of yet.": "Todavía no hay queja.",
    "Only what was looked at can be not sure. Answer it without the “?”.": "Solo lo que se miró puede ser "
    "no seguro. Contéstelo sin el “?”.",
    "{typed} is not an answer here. Press one of: {keys}.": "{typed} aquí no es respuesta. Oprima una de: "
    "{keys}.",
    "{typed} is not a number with a unit. Write it as: 12 {unit}.": "{typed} no es un número con unidad. "
    "Escríbalo así: 12 {unit}.",
    "{typed} has no unit. Write it as: {number} {unit}.": "A {typed} le falta la unidad. Escríbalo así: "
    "{number} {unit}.",
    "{typed} is not a unit known here. Did you mean {near}?": "{typed} no es una unidad conocida aquí. "
    "¿Quiso "
    "decir {near}?",
    "{typed} is not a unit known here. It can be: {units}.": "{typed} no es una unidad conocida aquí. Puede "
    "ser: {units}.",
    "{typed} is not possible: it is below zero or beyond any number. Read it again.": "{typed} no es "
    "posible: "
    "es menos que cero o más que cualquier número. Léalo otra vez.",
    "{typed} is {one}, not {other}. Give it in {unit}.": "{typed} es {one}, no {other}. Delo en {unit}.",
    "a pressure": "una presión",
    "a time": "un tiempo",
    "an absolute pressure": "una presión absoluta",
    "a gas flow": "un flujo de gas",
    "a gas volume": "un volumen de gas",
    "a length": "una longitud",
    "an area": "un área",
    "a volume": "un volumen",
    "a flow": "un flujo",
    "a density": "una densidad",
    "a mass": "una masa",
    "a force": "una fuerza",
    "a temperature": "una temperatura",
    "a share": "una parte",
    "{typed} is far beyond a gauge of {scale} {unit}. Read it again.": "{typed} pasa por mucho un manómetro "
    "de {scale} {unit}. Léalo otra vez.",
    "The minutes cannot be worked out from a level: the sheet does not give the vessel, its high trip and "
    "the inflow. Type the minutes, like 25 min.": "Los minutos no se pueden sacar de un nivel: la hoja no da "
    "el separador, su paro por nivel alto y la entrada. Escriba los minutos, como 25 min.",
    "From a level that falls the minutes cannot be worked out. Type the minutes, like 25 min.": "De un nivel "
    "que baja no se pueden sacar los minutos. Escriba los minutos, como 25 min.",
    "vessel and liquid": "separador y líquido",
    "displacer and arm": "desplazador y brazo",
    "spring and lever": "resorte y palanca",
    "supply": "suministro",
    "pilot and ports": "piloto y puertos",
    "output line": "línea de salida",
    "actuator": "actuador",
    "valve": "válvula",
    "discharge piping": "tubería de descarga",
    "always": "siempre",
    "nearly always": "casi siempre",
    "usually": "por lo común",
    "often": "muchas veces",
    "sometimes": "a veces",
    "seldom": "rara vez",
    "never": "nunca",
    ", else ": ", si no ",
    " when {facts}": " cuando {facts}",
    "{fact} is {values}": "{fact} es {values}",
    "answer": "respuesta",
    "probability": "probabilidad",
    "How the answers moved the likeliest faults": "Cómo movieron las respuestas a las fallas más probables",
    "after a repair in vain: {title}": "tras un arreglo que no sirvió: {title}",
    "{why} Do not make this check now: it needs the unit to be {hold}.": "{why} No haga ahora esta prueba: "
    "el equipo tiene que estar {hold}.",
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


def own(book: "Book", text: str, **parts: object) -> str:
    """A text of the program in the language of the book, in English where there is none in it."""
    return said(book.language, text, **parts)


def said(language: str, text: str, **parts: object) -> str:
    """A text of the program in a language, in English where there is none in it.

    >>> said("es", "Put right: {title}", title="Piloto flojo"), said("xx", "on bypass")
    ('Arregle esto: Piloto flojo', 'on bypass')
    """
    return OWN_WORDS.get(language, {}).get(text, text).format(**parts)


def rests_on_text(here: int, everywhere: int, callouts: int, language: str = "") -> str:
    """What a rate rests on: callouts of this cause on this unit and in all, of so many callouts.

    >>> rests_on_text(3, 41, 900), rests_on_text(0, 0, 900), rests_on_text(0, 0, 0)
    ('3 here, 41 in all', 'none in 900 callouts', 'book only')
    >>> rests_on_text(0, 0, 1), rests_on_text(3, 41, 900, "es")
    ('none in 1 callout', '3 aquí, 41 en total')
    """
    if not callouts:
        return said(language, "book only")
    if everywhere:
        return said(language, "{here} here, {everywhere} in all", here=here, everywhere=everywhere)
    if callouts == 1:
        return said(language, "none in 1 callout")
    return said(language, "none in {callouts} callouts", callouts=callouts)
