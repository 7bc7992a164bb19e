"""Loop action: which way it acts, where lever and supply belong, and what it does as found."""

from collections.abc import Iterator, Mapping
from typing import Final, cast

from diagnose.calculators.base import Answer, Calculation, Calculator, Input, Value
from diagnose.loop import LEGEND, PRACTICE, Acting, Action, AsFound, WillDo, effect, mistakes, will_do

CAUTION: Final = (
    "Before a side, a port or the lever is changed: vessel and supply at zero, and site procedure first."
)
_WORDS: Final = {True: "right", False: "wrong", None: None}


def loop_action(given: Mapping[str, Value]) -> Calculation:
    """The logic of a unit as a calculation; see `diagnose.loop`. All inputs are words, each may be left out.

    Range: displacer controllers of the kind told there. Source: common practice.

    >>> found = loop_action({"action": "throttle", "acting": "direct", "fails": "open"})
    >>> found["pairing"], found["lever_belongs"], found["supply_ports"]
    ('wrong', 'spring_side', 'the set for throttle')
    """
    known = {name: str(value) for name, value in given.items()}
    result = will_do(AsFound(**cast("dict[str, None]", known)))
    answers = [*_answers(result), *_with_mistakes(given)]
    notes = (*(text for text in result.sentences if text != LEGEND), CAUTION, LEGEND)
    return Calculation("loop", given, tuple(answers), True, notes, (PRACTICE,))


def _answers(result: WillDo) -> Iterator[Answer]:
    rows: tuple[tuple[str, str, Value | None], ...] = (
        ("pairing", "the acting suits the valve", _WORDS[result.pairing_right]),
        ("lever_place", "the lever is where it belongs", _WORDS[result.lever_right]),
        ("spring_place", "range spring and displacer share a side", _WORDS[result.balances]),
        ("ports_place", "the ports are piped for the action", _WORDS[result.ports_right]),
        ("output_meant", "what the output should do when the level rises", result.output_meant),
        ("output_moves", "what the output does then, as found", result.output_moves),
        ("lever_belongs", "side of the lever, told from the spring", result.lever_belongs),
        ("lever_belongs_on", "side of the lever", result.lever_belongs_on),
        ("supply_ports", "ports that take the supply", result.supply_ports),
        ("vent_ports", "ports that must breathe", result.vent_ports),
        ("action_found", "action that it has, as found", result.action),
        ("acting_found", "acting that it has, as found", result.acting),
        ("does", "what it does as found", result.does),
        ("dumps", "opens the valve on a rising level, as found", result.dumps),
    )
    return (Answer(name, about, value) for name, about, value in rows if value is not None)


def _with_mistakes(given: Mapping[str, Value]) -> Iterator[Answer]:
    """What each mistake and each pair would do to a unit that is right for this action and acting."""
    if "action" not in given or "acting" not in given:
        return
    about = {
        "lever": "lever on the wrong side",
        "ports": "ports swapped",
        "spring": "spring on the wrong side",
        "displacer": "displacer on the wrong side",
        "pairing": "valve of the other fail position",
    }
    for mistake in mistakes(cast("Action", given["action"]), cast("Acting", given["acting"])):
        told = " and ".join(about[name] for name in mistake.names)
        yield Answer("_".join(("if", *mistake.names)), told, effect(mistake.will_do))


LOOP_ACTION: Final = Calculator(
    "loop",
    "Loop action: does it act the right way round, and where lever and supply belong",
    (
        Input(
            "action",
            "what it is meant to do",
            words=("snap", "throttle"),
            optional=True,
            sheet="controller.action",
        ),
        Input(
            "acting",
            "which way it is meant to act",
            words=("direct", "indirect"),
            optional=True,
            sheet="controller.acting",
        ),
        Input(
            "fails",
            "where the valve stands with no pressure on it",
            words=("closed", "open"),
            optional=True,
            sheet="valve.fails",
        ),
        Input(
            "mount",
            "side that it is mounted on",
            words=("left", "right", "back"),
            optional=True,
            sheet="controller.mount",
        ),
        *(
            Input(
                f"{part}_side",
                f"side that its {about} is on",
                words=("left", "right"),
                optional=True,
                sheet=f"controller.{part}_side",
            )
            for part, about in (("spring", "range spring"), ("displacer", "displacer"), ("lever", "lever"))
        ),
        Input(
            "ports",
            "what its ports are piped for",
            words=("snap", "throttle"),
            optional=True,
            sheet="controller.ports",
        ),
    ),
    loop_action,
)
