"""Each single mistake in a set-up: what the logic of the loop foretells is what the plant is seen to do.

What a plant does is read off its traces (level, supply, output, stem), never off its parameters. It is seen
led, its level taken over the displacer and back with the valve blocked in, which shows how output and stem
answer; and left alone, from a bare and from a covered displacer, which shows what becomes of the level.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from diagnose.calculators.displacer import DISPLACER
from diagnose.calculators.run import work
from diagnose.calculators.vessel_volume import volume_at
from diagnose.loop import as_found_of, will_do
from diagnose.rig.faults import with_fault
from diagnose.rig.hands import Hand
from diagnose.rig.outlet import flow_out, way_out
from diagnose.rig.parts import Inflow
from diagnose.rig.plant import changed, plant_of
from diagnose.rig.run import run
from diagnose.rig.state import start_of
from diagnose.sheet_check import check_sheet
from diagnose.sheet_fields import UnitSheet
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet, steady

LED = 300.0
"""s that the level takes from under the displacer to over it, and as long back."""
ALONE = 540.0
"""s; at two and a half times the usual inflow enough to reach a trip, or to open and to shut."""
SETTLED = 20
"""Steps after which a plant has got over its start."""
SHARES = np.array([0.02, 0.1, 0.5, 0.9, 0.98])
"""Of the supply: outputs at which the level is read."""
LEVER_WITH_SPRING = {("throttle", "direct"), ("snap", "indirect")}
"""Action and acting whose lever belongs on the spring's side."""
OTHER = {"left": "right", "snap": "throttle", "direct": "indirect", "open": "closed"}
OTHER |= {value: key for key, value in OTHER.items()}
SET_UPS = [
    pytest.param(pairing, liquid, side, id=f"{pairing[0]}-{pairing[1]}-{liquid}-{side}")
    for pairing in PAIRINGS
    for liquid in ("water", "interface")
    for side in ("left", "right")
]


@cache
def right(pairing, liquid, side):
    """(Sheet with everything where it belongs, its plant under an even inflow)."""
    sides = {"displacer": side, "spring": side}
    sides["lever"] = side if pairing[:2] in LEVER_WITH_SPRING else OTHER[side]
    values = sheet(pairing, controller__ports=pairing[0])
    values |= {f"controller.{name}_side": each for name, each in sides.items()}
    values |= INTERFACE if liquid == "interface" else {}
    return values, changed(plant_of(values), "inflow", noise=0.0, swing=0.0)


MISTAKES = {
    "none": ({}, ()),
    "lever": ({"controller.lever_side"}, ("lever_wrong_side",)),
    "ports": ({"controller.ports"}, ("ports_swapped",)),
    "spring": ({"controller.spring_side"}, ("range_spring_wrong_side",)),
    "displacer": ({"controller.displacer_side"}, ("mount_side_not_converted",)),
    "valve": ({"valve.fails"}, ("pairing_wrong",)),
    "acting": ({"controller.acting", "controller.lever_side"}, ("lever_wrong_side",)),
    "lever and ports": (
        {"controller.lever_side", "controller.ports"},
        ("lever_wrong_side", "ports_swapped"),
    ),
}
"""What of the sheet is the other way, and the faults that make the plant so.

"acting" is a controller made right for the acting that does not suit the valve. The last is two at once, the
only way to dump the right way round with the other action.
"""
STANDS = {"spring": "fills shut", "displacer": "empties open"}
"""What becomes of a unit that cannot act. The arm lies with the displacer down. With the spring on the wrong
side the lever is where a low level puts it; with the displacer there, box and lever see the arm turn the
other way, so that the lever is where a high level puts it."""


def mistaken(set_up, mistake):
    """(Sheet, plant) with a mistake."""
    values, plant = right(*set_up)
    fields, faults = MISTAKES[mistake]
    for fault in faults:
        plant = with_fault(plant, fault)
    return values | {name: OTHER[values[name]] for name in fields}, plant


@dataclass(frozen=True)
class Seen:
    """What a led plant shows; levels in m, outputs as shares of the supply."""

    moves: str
    """Which way the output goes when the level rises."""
    action: str | None
    """Snap when it turns back at another level, further off than a turn takes; None while it stands still."""
    opens: bool
    """A rising level takes the stem from shut to open, a falling one back."""
    up: np.ndarray
    """Level at which the output passes each of `SHARES` as the level rises; NaN where it does not."""
    down: np.ndarray
    """The same as the level falls."""
    least: float
    most: float


def heights(plant):
    """(Under, over) the displacer, m."""
    own = plant.displacer
    high = own.length if own.hung == "upright" else own.diameter
    return own.bottom - 0.05 * high, own.bottom + 1.05 * high


def led(plant):
    """The trace of a plant that is blocked in, its level taken up by the inflow and down by the bypass."""
    low, high = heights(plant)
    flow = (volume_at(plant.vessel.shape, high) - volume_at(plant.vessel.shape, low)) / LED
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    hands = [
        Hand("open_block_valve", 0, amount=0.0),
        Hand("stop_inflow", LED),
        Hand("open_bypass", LED, amount=flow / flow_out(way, 1.0)),
    ]
    return run(changed(plant, "inflow", lower=flow), 2 * LED, hands=hands, start=start_of(plant, low))


def crossings(level, share):
    """Level at which a series of outputs first passes each of `SHARES`, either way; NaN for never."""
    over = share[:, None] >= SHARES
    passed = over != over[0]
    return np.where(passed.any(axis=0), level[passed.argmax(axis=0)], np.nan)


def seen(trace):
    """What a led plant shows, from its trace."""
    level, share, stem = (each[SETTLED:] for each in (trace.held, trace.output / trace.supply, trace.stem))
    top = int(level.argmax())
    assert np.ptp(share) < 0.02 or abs(share[top] - share[0]) > 0.5 * np.ptp(share)
    moves = "stands still" if np.ptp(share) < 0.02 else "rises" if share[top] > share[0] else "falls"
    up, down = crossings(level[:top], share[:top]), crossings(level[top:], share[top:])
    took = max(abs(up[3] - up[1]), abs(down[3] - down[1]))
    action = "snap" if abs(up[2] - down[2]) > took else "throttle"
    opens = bool(stem[top] > 0.95 and max(stem[0], stem[-1]) < 0.05)
    least, most = float(share.min()), float(share.max())
    return Seen(moves, None if moves == "stands still" else action, opens, up, down, least, most)


def does(shown, values):
    """The word for what a plant is seen to do against what its sheet means it to do."""
    if shown.moves == "stands still":
        return "cannot_act"
    backwards = (shown.moves == "rises") != (values["controller.acting"] == "direct")
    if shown.action == values["controller.action"]:
        return "acts_backwards" if backwards else "as_meant"
    return "other_action_backwards" if backwards else "other_action"


@pytest.mark.parametrize("mistake", MISTAKES)
@pytest.mark.parametrize("set_up", [each.values for each in SET_UPS], ids=[each.id for each in SET_UPS])
def test_a_led_plant_answers_as_foretold(set_up, mistake):
    """Which way the output goes, with which action, and whether a rising level opens the valve."""
    values, plant = mistaken(set_up, mistake)
    shown, foretold = seen(led(plant)), will_do(as_found_of(values))
    assert (shown.moves, shown.action) == (foretold.output_moves, foretold.action)
    assert (does(shown, values), shown.opens) == (foretold.does, foretold.dumps)
    assert said_of(shown, values) in " ".join(sheet_says(values))


def said_of(shown, values):
    """What `sheet check` ought to say of a plant that does what was seen."""
    if shown.moves == "stands still":
        return "it cannot act at all."
    meant = values["controller.action"]
    action = f"{shown.action}s where it should {meant}, and " if shown.action != meant else ""
    return f"As found it {action}dumps the {'right' if shown.opens else 'wrong'} way round."


def sheet_says(values):
    """What `sheet check` says of the loop, from the words of a sheet alone."""
    controller = {name[11:]: value for name, value in values.items() if name.startswith("controller.")}
    valve = {"fails": values["valve.fails"]}
    read = UnitSheet.model_validate({"unit": "V-1", "controller": controller, "valve": valve})
    return check_sheet(read, lambda field: field).will_do


def becomes(plant, level):
    """What becomes of a plant that is left alone at a level, from its trace."""
    inflow = Inflow(2.5 * plant.inflow.lower, 2.5 * plant.inflow.upper)
    trace = run(plant, ALONE, inflow=inflow, start=start_of(plant, level), step=0.5)
    held, stem = trace.held[SETTLED:], trace.stem[SETTLED:]
    full, empty = held >= plant.vessel.high_trip, held <= plant.vessel.low_trip
    shut, wide = bool((stem < 0.05).all()), bool((stem > 0.95).all())
    if full.any() or empty.any():
        return "fills shut" if shut and not empty.any() else "empties open" if wide else "goes astray"
    if stem.min() < 0.05 and stem.max() > 0.95 and len(trace.dumps()) + (stem[-1] > 0.95):
        return "dumps" if not 0.05 < stem[-1] < 0.95 else "throttles"
    return "throttles" if 0.05 < stem[-1] < 0.95 else "goes astray"


@pytest.mark.parametrize("mistake", MISTAKES)
@pytest.mark.parametrize("set_up", [each.values for each in SET_UPS], ids=[each.id for each in SET_UPS])
def test_a_plant_left_alone_keeps_its_level_only_where_it_was_foretold(set_up, mistake):
    """The wrong way round it opens on a bare displacer until it is empty, and shuts on a covered one."""
    values, plant = mistaken(set_up, mistake)
    foretold = will_do(as_found_of(values))
    if foretold.balances is False:
        wanted = [STANDS[mistake]] * 2
    elif foretold.dumps:
        wanted = [{"snap": "dumps", "throttle": "throttles"}[str(foretold.action)]] * 2
    else:
        wanted = ["empties open", "fills shut"]
    assert [becomes(plant, level) for level in heights(plant)] == wanted


class Foretold:
    """What the displacer calculator makes of a knob and a fulcrum."""

    def __init__(self, plant, carry, needed):
        """``carry``: pull that the knob is set to carry, ``needed``: force that full stroke takes, N."""
        own, liquids = plant.displacer, plant.liquids
        given = {"diameter": own.diameter, "length": own.length, "hung": own.hung, "weight": own.mass}
        self.given = given | {"density": liquids.lower, "upper_density": liquids.upper}
        self.bottom, self.carry, self.needed = own.bottom, carry, needed
        answers = work(DISPLACER, self.given)
        self.bare, self.covered = answers["pull_bare"], answers["pull_covered"]

    def strokes(self):
        """Strokes at which the lever stands with the displacer bare and with it covered."""
        return np.clip([(self.carry - pull) / self.needed for pull in (self.bare, self.covered)], 0, 1)

    def level(self, stroke):
        """Level for a stroke: the calculator's change of level, from its bottom up, for that much lift."""
        lift = self.bare - (self.carry - stroke * self.needed)
        if not 0 <= lift <= self.bare - self.covered:
            return np.nan
        return self.bottom + (work(DISPLACER, self.given | {"needed_force": lift})["span"] if lift else 0.0)


def agrees(plant, pairing, foretold):
    """Assert that a led plant, without friction, shows the levels and outputs that were foretold."""
    shown, (low, high) = seen(led(steady(plant))), heights(plant)
    # A valve that follows a throttling output draws gas, so that the output comes seconds late.
    share = 0.02 if pairing[0] == "throttle" else 0.005
    near = {"abs": share * (high - low), "nan_ok": True}
    bare, covered = foretold.strokes()
    if pairing[0] == "throttle":
        strokes = SHARES if pairing[1] == "direct" else 1 - SHARES
        levels = [foretold.level(stroke) for stroke in strokes]
        assert shown.up[1:4] == pytest.approx(levels[1:4], **near)
        assert shown.down[1:4] == pytest.approx(levels[1:4], **near)
        outputs = [bare, covered] if pairing[1] == "direct" else [1 - covered, 1 - bare]
        assert [shown.least, shown.most] == pytest.approx(outputs, abs=0.02)
        return
    opens_at = foretold.level(1.0)
    shuts_at = foretold.level(0.0) if covered == 1 else np.nan
    assert np.fmin.reduce(shown.up) == pytest.approx(opens_at, **near)
    assert np.fmax.reduce(shown.down) == pytest.approx(shuts_at, **near)
    assert shown.opens == (bare == 0 and covered == 1)


@pytest.mark.parametrize("turned", [-1.2, -0.4, -0.05, 0.3, 0.7, 1.1])
@pytest.mark.parametrize("set_up", [each.values for each in SET_UPS], ids=[each.id for each in SET_UPS])
def test_the_knob_puts_the_level_where_the_calculator_says(set_up, turned):
    """Too high by shares of full stroke, or too low; far off it never opens, or never shuts again."""
    plant = right(*set_up)[1]
    carry = plant.linkage.carry - turned * plant.linkage.needed
    agrees(changed(plant, "linkage", carry=carry), set_up[0], Foretold(plant, carry, plant.linkage.needed))


@pytest.mark.parametrize("place", ["innermost", "middle", "outermost", "far in", "far out"])
@pytest.mark.parametrize("set_up", [each.values for each in SET_UPS], ids=[each.id for each in SET_UPS])
def test_the_fulcrum_gives_the_span_that_the_calculator_says(set_up, place):
    """At the marks that it answers for; further in it cycles shorter, too far out it never gets to full."""
    plant = right(*set_up)[1]
    now = {"needed_force": plant.linkage.needed, "fulcrum": 0.25}
    told = work(DISPLACER, Foretold(plant, plant.linkage.carry, plant.linkage.needed).given | now)
    factor = {"far in": 0.12, "far out": 4.0}.get(place)
    needed = factor * plant.linkage.needed if factor else told[f"share_used_{place}"] * told["lift"]
    foretold = Foretold(plant, plant.linkage.carry, needed)
    agrees(changed(plant, "linkage", needed=needed), set_up[0], foretold)
