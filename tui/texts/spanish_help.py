"""What `?` says in Spanish."""

from typing import Final

from diagnose.own_words import said
from diagnose.words import SAFETY
from tui.texts.kinds import HelpTexts

HELP: Final = HelpTexts(
    about=(
        "Una pregunta a la vez: la que mejor parte lo que queda. Haga lo que dice, mire, y oprima el número "
        "de lo que vio. Si no lo puede ver, oprima 0: también es buena respuesta.",
        "El porcentaje junto a una falla es qué tan probable es, con todo lo que se contestó. 1 de 5 quiere "
        "decir: en una de cinco llamadas como esta ahí está. +12: la última respuesta la hizo 12 puntos más "
        "probable. Puede haber dos fallas a la vez, así que los porcentajes no tienen que sumar 100.",
        "Los minutos al paro se cuentan con lo que se dijo y con la hoja. Más de 42 min: por lo menos eso; "
        "menos de: a lo más eso. Dígalo otra vez cuando cambie: c, y luego esa pregunta.",
        "En qué parte del lazo: cuánta de la culpa está en cada tramo, desde el líquido hasta el tubo "
        "después de la válvula.",
        "Cada respuesta se guarda antes de la pregunta que sigue. Puede salir cuando quiera y seguir "
        "después.",
        said("es", SAFETY),
    ),
    plain_keys=(
        ("1 a 9, o 0", "da esa respuesta; también su nombre o, donde se pide, una lectura con su unidad"),
        ("2?", "respuesta 2, pero no seguro: cuenta, pero menos"),
        ("/hielo", "toma lo que se acaba de decir sin preguntarlo: escríbalo tras la / y elija de la lista"),
        ("v", "ver: cómo se ve la cosa; v words deja fuera el dibujo"),
        ("p", "escribe la llamada como página para el que sigue; se dice dónde"),
        ("f", "las fallas probables; f 1 a f 5 cuenta todo de una: a favor, en contra, arreglo"),
        ("w", "por qué se pregunta esto, qué dijo cada respuesta, qué cambiaría la idea"),
        ("o", "en un arreglo: el trabajo entero paso a paso, con los números de este equipo"),
        ("x", "marca el paso que sigue como hecho; x 2 marca el paso 2"),
        ("s", "la llamada en corto, guardada también como archivo de texto"),
        ("y", "al final: probar ahora lo que se arregló y no se probó"),
        ("g", "cómo movieron las respuestas a las fallas; g 1 a g 5 dibuja el camino de una"),
        ("u", "quita la última respuesta"),
        ("c", "cambia una respuesta anterior"),
        ("?", "esta ayuda"),
        ("q", "salir; todo está guardado"),
    ),
    keys={
        "take": "toma esa llamada; con Enter, la marcada",
        "callout": "va a esa llamada desde cualquier página, también a medio escribir",
        "turn": "de una llamada a la lista, y de regreso; no se pierde nada escrito",
        "move": "mueve la marca a otra llamada",
        "new": "una llamada nueva: qué equipo, quién llama",
        "out": "entrega la llamada marcada: queda en un archivo",
        "in": "recibe de un archivo lo que se entregó",
        "desk": "la lista de llamadas; no se pierde nada escrito",
        "sounds": "qué decir si duda, y cómo puede sonar cada respuesta",
        "message": "la pregunta como mensaje de texto: se ve, se copia y queda en un archivo",
        "speak": "hablar español o inglés con quien llama",
        "answer": "da esa respuesta de una vez",
        "take_marked": "da la respuesta marcada",
        "mark": "mueve la marca a otra respuesta",
        "tick": "marca el paso que sigue como hecho; donde no hay pasos, baja la página",
        "page": "mueve la pregunta, cuando es más larga que su lugar",
        "undo": "quita la última respuesta, o la última marca",
        "change": "cambia una respuesta anterior",
        "reading": "escribe una lectura con su unidad, donde se pide",
        "doubt": "no seguro: la respuesta que sigue cuenta, pero menos, y se marca 1?; n otra vez: seguro",
        "view": "ver: cómo se ve la cosa, dónde está, cómo se ve bien y mal",
        "volunteer": "toma lo que se acaba de decir sin preguntarlo: escriba una palabra, elija de la lista",
        "faults": "las fallas probables con todo su nombre; 1 a 5 cuenta todo de una: a favor, en contra, "
        "arreglo",
        "job": "en un arreglo: el trabajo entero paso a paso, con los números de este equipo",
        "why": "por qué se pregunta esto, qué dijo cada respuesta, qué cambiaría la idea",
        "pictures": "cómo movieron las respuestas a las fallas; ahí 1 a 5 dibuja el camino de una",
        "hand_over": "escribe la llamada como página para el que sigue; se dice dónde",
        "save_text": "la llamada en corto: se ve, y se guarda como archivo de texto para pegar o mandar",
        "prove": "al final: probar ahora lo que se arregló y no se probó",
        "theme": "colores: para el sol, para la noche, o los de la terminal",
        "help": "esta ayuda; Esc regresa",
        "leave": "salir; todo está guardado",
    },
    names={
        "f1": "F1 a F9",
        "slash": "/",
        "question_mark": "?",
        "pagedown": "AvPág",
        "pageup": "RePág",
        "escape": "Esc",
        "ctrl+c": "Ctrl+C",
        "space": "Espacio",
        "up": "Arriba",
        "down": "Abajo",
    },
    span="{first} a {last}",
)
