"""What the desk itself says, in each language. What it says of a unit comes from the book."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class DeskWords:
    """The desk's words in one language; names in braces are filled in."""

    title: str
    many: str
    none_open: str
    language: str
    """The language's own name."""
    other_language: str
    """The name of the language that the key changes to, in itself."""
    nobody: str
    """Stands for a caller whose name is not kept."""
    since: str
    under_a_minute: str
    trip: str
    trip_unknown: str
    trip_due: str
    trip_again: str
    """Nobody knows any longer: it was at least so long, and that has passed."""
    trip_bounds: dict[str, str]
    last: str
    nothing_answered: str
    awaited: str
    half_typed: str
    opening: str
    cannot_open: str
    ended: str
    endings: dict[str, str]
    handed_over: str
    no_such: str
    foot: str
    foot_walk: str
    read_first: str
    """Goes before a caution that is read out before the question."""
    say: str
    hesitates: str
    sounds: str
    phone_title: str
    phone_foot: str
    which_unit: str
    no_sheet: str
    pick_foot: str
    who_calls: str
    who_help: str
    started: str
    file_out: str
    file_in: str
    file_help: str
    written: str
    taken_in: str
    nothing_in: str
    message_title: str
    message_foot: str
    message_file: str
    message_parts: str
    message_copied: str
    message_none: str
    left: str
    now_speaking: str
    nobody_marked: str


_ENGLISH: Final = DeskWords(
    title="Desk",
    many="{count} open",
    none_open="No callout is open. When the phone rings: n (by lines: new).",
    language="English",
    other_language="Español",
    nobody="no name",
    since="for {time}",
    under_a_minute="under a minute",
    trip="Trip",
    trip_unknown="not asked yet",
    trip_due="DUE NOW",
    trip_again="ask again",
    trip_bounds={"under": "under", "about": "about", "over": "over"},
    last="Last",
    nothing_answered="nothing answered yet",
    awaited="Awaited for {time}",
    half_typed="half typed",
    opening="being opened ...",
    cannot_open="cannot be opened",
    ended="Ended",
    endings={
        "cured": "cured",
        "not_proved": "put right, not proved",
        "help": "help is called",
        "closed": "closed",
    },
    handed_over="Handed over at {time}, file {file}",
    no_such="There is no callout {number} on the desk.",
    foot="1-9 takes|n new|o out to a file|i in from a file|e español|q leave|? help|t sun/dark",
    foot_walk="Tab desk|h sounds|m text|e español",
    read_first="Read first",
    say="Say",
    hesitates="If they hesitate",
    sounds="They may say",
    phone_title="On the phone",
    phone_foot="The number of an answer gives it   Esc goes back",
    which_unit="Which unit is it?",
    no_sheet="No sheet: start without one",
    pick_foot="Number or Enter picks   Up, Down move   Esc goes back",
    who_calls="Who is calling?",
    who_help="Type a name, or none. It is kept with this callout. Enter goes on, Esc goes back.",
    started="Callout {number}: {unit}.",
    file_out="Hand callout {number} over: into which file?",
    file_in="Take callouts in: from which file?",
    file_help="Enter does it, Esc goes back.",
    written="Callout {number} is in {file}, with the caller's name. Take it in there with i.",
    taken_in="Taken in: callout {numbers}.",
    nothing_in="Nothing new is in that file.",
    message_title="As a text",
    message_foot="Esc goes back   PgUp, PgDn scroll",
    message_parts="{count} messages. The number of one copies that one alone.",
    message_file="Written: {file}",
    message_copied="Copied, where this terminal lets a program copy.",
    message_none="There is nothing to ask now.",
    left="Left. Everything is saved.",
    now_speaking="Spoken from now on: English.",
    nobody_marked="No callout is marked.",
)
_SPANISH: Final = DeskWords(
    title="Mesa",
    many="{count} abiertas",
    none_open="No hay llamadas abiertas. Cuando suene el teléfono: n (por renglones: new).",
    language="Español",
    other_language="English",
    nobody="sin nombre",
    since="hace {time}",
    under_a_minute="menos de un minuto",
    trip="Paro",
    trip_unknown="aún no se pregunta",
    trip_due="YA",
    trip_again="pregunte otra vez",
    trip_bounds={"under": "menos de", "about": "como", "over": "más de"},
    last="Último",
    nothing_answered="aún sin respuestas",
    awaited="Se espera hace {time}",
    half_typed="a medio escribir",
    opening="se está abriendo ...",
    cannot_open="no se puede abrir",
    ended="Terminó",
    endings={
        "cured": "arreglado",
        "not_proved": "arreglado, sin probar",
        "help": "se llamó a pedir ayuda",
        "closed": "cerrada",
    },
    handed_over="Entregada a las {time}, archivo {file}",
    no_such="No hay llamada {number} en la mesa.",
    foot="1-9 toma|n nueva|o sale a archivo|i entra de archivo|e English|q salir|? ayuda|t sol/noche",
    foot_walk="Tab mesa|h suena|m texto|e English",
    read_first="Lea primero",
    say="Diga",
    hesitates="Si duda",
    sounds="Puede que diga",
    phone_title="Por teléfono",
    phone_foot="El número de una respuesta la da   Esc regresa",
    which_unit="¿Qué equipo es?",
    no_sheet="Sin hoja: empezar sin ella",
    pick_foot="Número o Enter elige   Arriba, Abajo mueven   Esc regresa",
    who_calls="¿Quién llama?",
    who_help="Escriba un nombre, o ninguno. Se guarda con esta llamada. Enter sigue, Esc regresa.",
    started="Llamada {number}: {unit}.",
    file_out="Entregar la llamada {number}: ¿en qué archivo?",
    file_in="Recibir llamadas: ¿de qué archivo?",
    file_help="Enter lo hace, Esc regresa.",
    written="La llamada {number} está en {file}, con el nombre de quien llama. Allá se recibe con i.",
    taken_in="Recibida: llamada {numbers}.",
    nothing_in="No hay nada nuevo en ese archivo.",
    message_title="Como texto",
    message_foot="Esc regresa   RePág, AvPág mueven",
    message_parts="{count} mensajes. El número de uno copia ese solo.",
    message_file="Escrito: {file}",
    message_copied="Copiado, donde esta terminal deja copiar a un programa.",
    message_none="Ahora no hay nada que preguntar.",
    left="Salió. Todo está guardado.",
    now_speaking="Desde ahora se habla: español.",
    nobody_marked="No hay llamada marcada.",
)
_BY_LANGUAGE: Final = {"en": _ENGLISH, "es": _SPANISH}


def desk_words(language: str) -> DeskWords:
    """The words of a language; the English ones where there are no others."""
    return _BY_LANGUAGE.get(language, _ENGLISH)


def filled(text: str, **values: object) -> str:
    """A text with its names in braces filled in."""
    return text.format(**values)
