"""The logic of the loop: what a controller does with the parts on the sides where they are.

The arm turns about a pivot. The displacer hangs on one side of it, the range spring carries it on the same
side. The lever works the pilot from the spring's side or from the other one; that decides whether a rising
level presses the pilot or lets it go. Which of the pilot's two sets of ports takes the supply decides
whether it snaps or throttles, and whether a pressed pilot loads the output or vents it. So the ports choose
the action, and the lever's side then chooses the acting.

Common practice, no source: makers differ, so every answer says to compare with the legend on the unit.
Only sides against each other matter: a left and a right mount are mirror images, and a back mount is built
as a left one.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from itertools import combinations
from typing import Final, Literal, TypeVar, cast, get_args

Action = Literal["snap", "throttle"]
Acting = Literal["direct", "indirect"]
Fails = Literal["closed", "open"]
Side = Literal["left", "right"]
Mount = Literal["left", "right", "back"]
Moves = Literal["rises", "falls", "stands still"]
Does = Literal["as_meant", "acts_backwards", "other_action", "other_action_backwards", "cannot_act"]
SideOfSpring = Literal["spring_side", "other_side"]
Word = TypeVar("Word", bound=str)

PRACTICE: Final = "common practice, no source"
LEGEND: Final = "Compare with the legend on the unit itself: makers differ."


@dataclass(frozen=True)
class AsFound:
    """A unit as it is meant to be (action, acting) and as it was found; None where nobody knows."""

    action: Action | None = None
    acting: Acting | None = None
    fails: Fails | None = None
    """Where the dump valve stands with no pressure on it."""
    mount: Mount | None = None
    """Kept for the sentences; no answer hangs on it, for the mounts are mirror images."""
    spring_side: Side | None = None
    displacer_side: Side | None = None
    lever_side: Side | None = None
    ports: Action | None = None
    """What the ports are piped for."""


@dataclass(frozen=True)
class WillDo:
    """What follows; None where it cannot be told from what is known."""

    output_meant: Moves | None
    """Which way the output is meant to move when the level rises."""
    pairing_right: bool | None
    """The acting as meant suits the valve: it opens on a rising level."""
    lever_belongs: SideOfSpring | None
    """Where the lever belongs for this action and acting, told from where the spring belongs."""
    lever_belongs_on: Side | None
    lever_right: bool | None
    supply_ports: str | None
    vent_ports: str | None
    ports_right: bool | None
    balances: bool | None
    """Spring and displacer share a side; when they do not, the arm lies on its stop and nothing acts."""
    action: Action | None
    """What it does as found. While `balances` is unknown, this, `acting` and `output_moves` suppose it."""
    acting: Acting | None
    output_moves: Moves | None
    """Which way the output really moves when the level rises."""
    does: Does | None
    """What it does against what it is meant to do; supposes nothing."""
    dumps: bool | None
    """The valve opens on a rising level, as found; supposes nothing."""
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Mistake:
    """One mistake, or two at once, in an otherwise right set-up, and what it does then."""

    names: tuple[str, ...]
    will_do: WillDo


def as_found_of(values: Mapping[str, float | str]) -> AsFound:
    """The fields of a unit sheet that matter here; ``values`` by field.

    >>> as_found_of({"controller.action": "snap", "valve.fails": "closed"}).fails
    'closed'
    """
    part = {field.name: "valve" if field.name == "fails" else "controller" for field in fields(AsFound)}
    known = {name: values.get(f"{part[name]}.{name}") for name in part}
    return AsFound(**cast("dict[str, None]", known))


def lever_belongs(action: Action, acting: Acting) -> SideOfSpring:
    """Where the lever belongs. Changing the action or the acting moves it over, changing both does not.

    >>> lever_belongs("throttle", "direct"), lever_belongs("snap", "direct")
    ('spring_side', 'other_side')
    """
    return "spring_side" if (action == "throttle") == (acting == "direct") else "other_side"


def acting_found(ports: Action, lever: SideOfSpring) -> Acting:
    """How it acts with its ports piped so and its lever there.

    >>> acting_found("throttle", "spring_side"), acting_found("snap", "spring_side")
    ('direct', 'indirect')
    """
    return "direct" if lever_belongs(ports, "direct") == lever else "indirect"


def suits(acting: Acting, fails: Fails) -> bool:
    """Whether a rising level opens the valve.

    >>> suits("direct", "closed"), suits("direct", "open")
    (True, False)
    """
    return (acting == "direct") == (fails == "closed")


def other(word: Word, kind: object) -> Word:
    """The other one of two words."""
    return cast("Word", next(entry for entry in get_args(kind) if entry != word))


def will_do(found: AsFound) -> WillDo:
    """What a unit will do as it was found.

    >>> swapped = AsFound("throttle", "direct", "closed", None, "left", "left", "left", "snap")
    >>> will_do(swapped).does, will_do(swapped).dumps
    ('other_action_backwards', False)
    """
    meant = lever_belongs(found.action, found.acting) if found.action and found.acting else None
    home = found.displacer_side or found.spring_side
    lever = _against(found.lever_side, home)
    balances = _same(found.spring_side, found.displacer_side)
    acting = acting_found(found.ports, lever) if found.ports and lever and balances is not False else None
    action = found.ports if balances is not False else None
    result = WillDo(
        output_meant=_moves(found.acting),
        pairing_right=suits(found.acting, found.fails) if found.acting and found.fails else None,
        lever_belongs=meant,
        lever_belongs_on=_on(meant, home),
        lever_right=_same(meant, lever),
        supply_ports=_set_for(found.action),
        vent_ports=_set_for(other(found.action, Action) if found.action else None),
        ports_right=_same(found.action, found.ports),
        balances=balances,
        action=action,
        acting=acting,
        output_moves="stands still" if balances is False else _moves(acting),
        does=_does(found, balances, acting),
        dumps=_dumps(found, balances, acting),
    )
    return replace(result, sentences=tuple(_sentences(found, result)))


MISTAKES: Final = ("lever", "ports", "spring", "displacer", "pairing")
"""What can be wrong: the lever, spring or displacer on the other side, the ports piped for the other
action, the acting not that which suits the valve."""


def mistakes(action: Action, acting: Acting) -> tuple[Mistake, ...]:
    """Each single mistake and each pair in a unit that is else right for an action and acting.

    >>> {m.names: m.will_do.does for m in mistakes("snap", "direct")}[("lever", "ports")]
    'other_action'
    """
    fails: Fails = "closed" if acting == "direct" else "open"
    lever: Side = "left" if lever_belongs(action, acting) == "spring_side" else "right"
    right = AsFound(action, acting, fails, None, "left", "left", lever, action)
    named = [names for count in (1, 2) for names in combinations(MISTAKES, count)]
    return tuple(Mistake(names, will_do(_with(right, names))) for names in named)


def effect(result: WillDo) -> str:
    """What a unit does, in a few words for a person; empty while it cannot be told.

    >>> effect(mistakes("snap", "direct")[1].will_do)
    'throttles where it should snap, and dumps the wrong way round'
    """
    if result.does is None:
        return ""
    if result.does == "cannot_act":
        return "cannot act at all"
    changed = {"snap": "snaps where it should throttle", "throttle": "throttles where it should snap"}
    parts = [changed[str(result.action)]] if result.does.startswith("other_action") else []
    if result.dumps is None and result.does.endswith("backwards"):
        parts.append("acts backwards")
    elif result.dumps is not None:
        parts.append("dumps the right way round" if result.dumps else "dumps the wrong way round")
    return ", and ".join(parts) or "does as meant"


def _with(right: AsFound, names: tuple[str, ...]) -> AsFound:
    """A set-up with these mistakes put in."""
    found = right
    for name in names:
        if name == "ports" and found.ports:
            found = replace(found, ports=other(found.ports, Action))
        elif name == "pairing" and found.fails:
            found = replace(found, fails=other(found.fails, Fails))
        elif name == "lever" and found.lever_side:
            found = replace(found, lever_side=other(found.lever_side, Side))
        elif name == "spring" and found.spring_side:
            found = replace(found, spring_side=other(found.spring_side, Side))
        elif name == "displacer" and found.displacer_side:
            found = replace(found, displacer_side=other(found.displacer_side, Side))
    return found


def _same(first: str | None, second: str | None) -> bool | None:
    return None if first is None or second is None else first == second


def _against(side: Side | None, home: Side | None) -> SideOfSpring | None:
    same = _same(side, home)
    return None if same is None else "spring_side" if same else "other_side"


def _on(place: SideOfSpring | None, home: Side | None) -> Side | None:
    if place is None or home is None:
        return None
    return home if place == "spring_side" else other(home, Side)


def _moves(acting: Acting | None) -> Moves | None:
    return None if acting is None else "rises" if acting == "direct" else "falls"


def _set_for(action: Action | None) -> str | None:
    return f"the set for {action}" if action else None


def _does(found: AsFound, balances: bool | None, acting: Acting | None) -> Does | None:
    if balances is False:
        return "cannot_act"
    if balances is None or acting is None or found.acting is None or found.action is None:
        return None
    if found.ports == found.action:
        return "as_meant" if acting == found.acting else "acts_backwards"
    return "other_action" if acting == found.acting else "other_action_backwards"


def _dumps(found: AsFound, balances: bool | None, acting: Acting | None) -> bool | None:
    if balances is False:
        return False
    if acting is None or found.fails is None:
        return None
    way = suits(acting, found.fails)
    return None if way and balances is None else way


def _sentences(found: AsFound, result: WillDo) -> Iterator[str]:
    """What a person must hear of it, the gravest first."""
    if result.balances is False:
        yield "Spring and displacer are on opposite sides: it cannot balance, so it cannot act at all."
    if result.pairing_right is False:
        needed = "direct" if found.fails == "closed" else "indirect"
        yield (
            f"The pair dumps the wrong way round: a valve that fails {found.fails} needs {needed} acting. "
            "As meant, it opens on an empty vessel and shuts on a full one."
        )
    if result.ports_right is False:
        yield (
            f"The ports are piped for {found.ports}. "
            f"For {found.action} the supply goes to {result.supply_ports}."
        )
    if result.lever_right is False:
        side = f" ({result.lever_belongs_on})" if result.lever_belongs_on else ""
        place = (
            "the spring's side" if result.lever_belongs == "spring_side" else "the side away from the spring"
        )
        yield (
            "The lever is on the wrong side: "
            f"for {found.action} and {found.acting} it belongs on {place}{side}."
        )
    if result.does and result.does != "cannot_act":
        yield f"As found it {effect(result)}."
    elif result.output_moves and result.balances is None:
        yield f"If spring and displacer share a side, its output {result.output_moves} when the level rises."
    if found.mount == "back":
        yield "Back-mounted: it is built as a left-mounted one, so read its sides as on that."
    yield LEGEND
