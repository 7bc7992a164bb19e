"""The logic of the loop, against a small machine of arm, lever, pilot and valve built in this file."""

from dataclasses import dataclass, fields, replace
from functools import cache
from itertools import product

import pytest

from diagnose.loop import (
    LEGEND,
    MISTAKES,
    AsFound,
    as_found_of,
    effect,
    mistakes,
    suits,
    will_do,
)

KINDS = {
    "action": ("snap", "throttle"),
    "acting": ("direct", "indirect"),
    "fails": ("closed", "open"),
    "mount": ("left", "right", "back"),
    "spring_side": ("left", "right"),
    "displacer_side": ("left", "right"),
    "lever_side": ("left", "right"),
    "ports": ("snap", "throttle"),
}
ALL = [AsFound(*words) for words in product(*KINDS.values())]
PARTLY = [AsFound(*words) for words in product(*((*words, None) for words in KINDS.values()))]


# The machine. It knows nothing of direct, indirect, pairing or where things belong: only forces, sides,
# and two facts of the trade (common practice, no source): a pressed pilot joins the output to the set of
# ports for throttling and a pilot let go joins it to the set for snap; supply on the set for snap makes
# it keep its state inside a band of arm positions, which is what snapping is.

WEIGHT, FULL_LIFT, SPRING, STIFFNESS = 10.0, 4.0, 8.0, 4.0
SIDE = {"left": -1, "right": 1}


@dataclass(frozen=True)
class Machine:
    """Sides of the pivot, the ports that the supply is on, and the valve's spring."""

    displacer: str
    spring: str
    lever: str
    supply_on: str
    fails: str

    def lift_of_right_end(self, level):
        """Where the arm comes to rest with this share of the displacer covered, from -1 to 1.

        The net weight pulls its end down, the spring pushes its own end up and slackens as that end rises.
        Turn the arm until the moments meet, or until it lies on its stop.
        """
        pull, push = SIDE[self.displacer], SIDE[self.spring]
        places = [step / 50 for step in range(-50, 51)]

        def moment(place):
            """Turning the right end up is positive."""
            return push * (SPRING - STIFFNESS * push * place) - pull * (WEIGHT - FULL_LIFT * level)

        if moment(-1.0) <= 0:
            return -1.0
        return next((place for place in places if moment(place) <= 1e-9), 1.0)

    def pressed(self, level):
        """How far the lever's contact has gone up to the pilot, which sits above it: -1 to 1."""
        return SIDE[self.lever] * self.lift_of_right_end(level)

    def sweep(self, levels):
        """The output, 0 to 1, at each level in turn."""
        out, passing = [], self.pressed(levels[0]) > 0
        for level in levels:
            contact = self.pressed(level)
            if self.supply_on == "snap":  # the pilot throws over only past the ends of its band
                passing = contact > 0.25 or (passing and contact > -0.25)
                to_throttle_set = float(passing)
            else:
                to_throttle_set = min(1.0, max(0.0, (contact + 0.4) / 0.8))
            out.append(to_throttle_set if self.supply_on == "throttle" else 1.0 - to_throttle_set)
        return out

    def opening(self, output):
        """How far the valve is open, 0 to 1."""
        return output if self.fails == "closed" else 1.0 - output


UP = [step / 40 for step in range(41)]


@cache
def run(machine):
    """(which way the output goes on a rising level, whether it stands part-way, whether the valve opens)."""
    rising = machine.sweep(UP)
    falling = machine.sweep(UP[::-1])[::-1]
    low, high = rising[0], rising[-1]
    moves = "rises" if high > low else "falls" if high < low else "stands still"
    part_way = any(0.01 < out < 0.99 for out in rising)
    dead_band = rising != falling
    opens = machine.opening(high) > 0.99 and machine.opening(low) < 0.01
    kind = None if moves == "stands still" else "throttle" if part_way and not dead_band else "snap"
    return moves, kind, opens


def machine_of(found):
    """The machine with its parts where they were found."""
    return Machine(found.displacer_side, found.spring_side, found.lever_side, found.ports, found.fails)


def right_machine(found, lever):
    """The machine put together rightly for the valve of a unit, with the lever on one side."""
    return Machine(found.displacer_side, found.displacer_side, lever, found.action, found.fails)


def test_every_combination_does_what_the_machine_does():
    """All 768: the way of the output, the action, whether it acts, whether it dumps the right way round."""
    for found in ALL:
        moves, kind, opens = run(machine_of(found))
        told = will_do(found)
        assert (told.output_moves, told.action, told.dumps) == (moves, kind, opens), found
        assert told.balances == (moves != "stands still"), found


def test_the_verdict_is_the_machine_against_what_was_meant():
    """`does` compares the machine's way and kind with the action and acting meant."""
    for found in ALL:
        moves, kind, _opens = run(machine_of(found))
        meant = {"direct": "rises", "indirect": "falls"}[found.acting]
        expected = {
            (True, True): "as_meant",
            (True, False): "acts_backwards",
            (False, True): "other_action",
            (False, False): "other_action_backwards",
        }[(kind == found.action, moves == meant)]
        assert will_do(found).does == ("cannot_act" if kind is None else expected), found


def test_the_lever_belongs_where_the_machine_then_acts_as_meant():
    """Of the two sides only the one named gives the acting meant, with spring and ports put right."""
    for found in ALL:
        told = will_do(found)
        meant = {"direct": "rises", "indirect": "falls"}[found.acting]
        good = [side for side in SIDE if run(right_machine(found, side))[0] == meant]
        assert good == [told.lever_belongs_on], found
        assert told.lever_right == (found.lever_side in good), found
        assert told.output_meant == meant, found


def test_the_ports_named_give_the_action_meant_and_breathe_on_the_other_set():
    """Supply on the set named makes the machine snap or throttle as meant."""
    for found in ALL:
        told = will_do(found)
        assert told.supply_ports == f"the set for {run(right_machine(found, 'left'))[1]}", found
        assert {told.supply_ports, told.vent_ports} == {"the set for snap", "the set for throttle"}, found
        assert told.ports_right == (
            run(machine_of(replace(found, spring_side=found.displacer_side)))[1] == found.action
        ), found


def test_the_pair_is_right_when_the_meant_way_of_the_output_opens_the_valve():
    """Direct with a valve that fails closed, indirect with one that fails open."""
    for found in ALL:
        empty, full = (0.0, 1.0) if found.acting == "direct" else (1.0, 0.0)
        machine = machine_of(found)
        opens = machine.opening(full) > machine.opening(empty)
        assert will_do(found).pairing_right == opens == suits(found.acting, found.fails), found


def test_mirror_images_and_mounts_do_the_same():
    """Left for right everywhere changes no verdict but the side that is named; the mount changes none."""
    turn = {"left": "right", "right": "left"}
    for found in ALL:
        mirrored = replace(
            found,
            spring_side=turn[found.spring_side],
            displacer_side=turn[found.displacer_side],
            lever_side=turn[found.lever_side],
            mount=turn.get(found.mount, "left"),
        )
        here, there = will_do(found), will_do(mirrored)
        assert turn[here.lever_belongs_on] == there.lever_belongs_on
        blank = {"lever_belongs_on": None, "sentences": ()}
        assert replace(here, **blank) == replace(there, **blank), found


def completions(found):
    """Every fully known unit that a partly known one can be."""
    words = [
        (value,) if (value := getattr(found, name)) is not None else choices
        for name, choices in KINDS.items()
    ]
    return [AsFound(*choice) for choice in product(*words)]


CONDITIONAL = ("lever_belongs_on", "lever_right", "action", "acting", "output_moves")
"""Answers that suppose that spring and displacer share a side while it is not known."""


def test_what_is_told_of_a_partly_known_unit_holds_for_every_unit_that_it_can_be():
    """All 8748 sheets with unknowns; the conditional answers hold wherever the arm can balance."""
    whole = {found: will_do(found) for found in ALL}
    names = [field.name for field in fields(whole[ALL[0]]) if field.name != "sentences"]
    for found in PARTLY:
        if found.mount is None:
            continue  # no answer hangs on it, as told above; the sheets with one mount are enough
        told = will_do(found)
        possible = [whole[entry] for entry in completions(found)]
        balanced = [entry for entry in possible if entry.balances]
        for name in names:
            value = getattr(told, name)
            if value is None:
                continue
            among = balanced if name in CONDITIONAL and told.balances is None else possible
            assert {getattr(entry, name) for entry in among} == {value}, (found, name)


def test_what_needs_an_unknown_field_is_not_told():
    """Each field taken away from a full sheet takes its answers with it."""
    needs = {
        "output_meant": ("acting",),
        "pairing_right": ("acting", "fails"),
        "lever_belongs": ("action", "acting"),
        "lever_right": ("action", "acting", "lever_side"),
        "supply_ports": ("action",),
        "ports_right": ("action", "ports"),
        "balances": ("spring_side", "displacer_side"),
        "acting": ("lever_side", "ports"),
        "output_moves": ("lever_side", "ports"),
        "does": ("action", "acting", "lever_side", "ports", "spring_side", "displacer_side"),
    }
    full = AsFound("snap", "direct", "closed", "left", "left", "left", "right", "snap")
    assert will_do(full).does == "as_meant"
    for answer, names in needs.items():
        assert getattr(will_do(full), answer) is not None
        for name in names:
            assert getattr(will_do(replace(full, **{name: None})), answer) is None, (answer, name)
    nothing = will_do(AsFound())
    assert {getattr(nothing, field.name) for field in fields(nothing) if field.name != "sentences"} == {None}
    assert nothing.sentences == (LEGEND,)


@pytest.mark.parametrize(("action", "acting"), list(product(KINDS["action"], KINDS["acting"])))
def test_each_mistake_and_each_pair_does_what_the_trade_says(action, acting):
    """Swapped ports: other action, backwards. Lever: backwards. Both: other action, acting as meant.

    Common practice, no source. Spring or displacer alone: cannot act; both: balances and acts backwards,
    for the lever is then on the other side from the spring.
    """
    wrong = {
        ("lever",): ("acts_backwards", False),
        ("ports",): ("other_action_backwards", False),
        ("spring",): ("cannot_act", False),
        ("displacer",): ("cannot_act", False),
        ("pairing",): ("as_meant", False),
        ("lever", "ports"): ("other_action", True),
        ("lever", "spring"): ("cannot_act", False),
        ("lever", "displacer"): ("cannot_act", False),
        ("lever", "pairing"): ("acts_backwards", True),
        ("ports", "spring"): ("cannot_act", False),
        ("ports", "displacer"): ("cannot_act", False),
        ("ports", "pairing"): ("other_action_backwards", True),
        ("spring", "displacer"): ("acts_backwards", False),
        ("spring", "pairing"): ("cannot_act", False),
        ("displacer", "pairing"): ("cannot_act", False),
    }
    told = {entry.names: (entry.will_do.does, entry.will_do.dumps) for entry in mistakes(action, acting)}
    assert told == wrong
    assert {name for names in told for name in names} == set(MISTAKES)


def test_the_sentences_name_each_thing_that_is_wrong_and_end_with_the_legend():
    """A sentence for each mistake, none for what is right."""
    for found in ALL:
        told = will_do(found)
        text = " ".join(told.sentences)
        assert ("cannot balance" in text) == (not told.balances)
        assert ("The lever is on the wrong side" in text) == (not told.lever_right)
        assert ("The ports are piped for" in text) == (not told.ports_right)
        assert ("needs direct acting" in text or "needs indirect acting" in text) == (not told.pairing_right)
        assert told.sentences[-1] == LEGEND
        assert effect(told) in text


def test_a_sheet_gives_its_fields():
    """By path; what is not there is unknown."""
    values = {f"controller.{name}": words[0] for name, words in KINDS.items() if name != "fails"}
    assert as_found_of(values | {"valve.fails": "closed", "vessel.diameter": 0.6}) == ALL[0]
    assert as_found_of({"controller.fails": "closed"}) == AsFound()
