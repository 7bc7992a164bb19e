"""The parameters of every section of a plant, in SI units; all pressures gauge unless said otherwise.

Gas flows are standard m3/s, and what gas flows through is a conductance, standard m3/s for each Pa: flow is
taken as growing straight with the pressure difference. A share runs from 0 to 1.
"""

from dataclasses import dataclass

from diagnose.calculators.vessel_volume import Shape
from diagnose.loop import Acting, Action, Fails, Side


@dataclass(frozen=True)
class Vessel:
    """The vessel; heights in m from its bottom."""

    shape: Shape
    pressure: float
    level: float
    """The level, or interface, that it is meant to hold."""
    high_trip: float
    low_trip: float
    weir: float
    """Height over which liquid leaves by another way: the lighter one's outlet, or the gas outlet."""
    tilt: float = 0.0
    """How much deeper the liquid stands at the displacer than at the glass, m."""


@dataclass(frozen=True)
class Liquids:
    """Densities in kg/m3; vapour and critical pressure in Pa absolute."""

    lower: float
    upper: float
    """Density of the lighter liquid on top; 0 when there is gas."""
    vapour: float
    critical: float
    foam: float = 0.0
    """Height of foam on top of the liquid, m."""
    foam_density: float = 0.0
    emulsion: float = 0.0
    """Thickness of the layer, half on each side of the level, in which one turns into the other, m."""
    gas_under: float = 0.0
    """Share of the outlet's flow that is gas."""


@dataclass(frozen=True)
class Inflow:
    """Liquid that comes in; flows in m3/s."""

    lower: float
    upper: float = 0.0
    noise: float = 0.0
    """Standard deviation of a slow wander (some 20 s), a share of the flow."""
    swing: float = 0.0
    """How far it swings up and down over `SWING_PERIOD`, a share of the flow, as wells come and go."""
    slug_every: float = 0.0
    """Mean time between slugs, s; 0 for none."""
    slug_size: float = 0.0
    """Flow in a slug over the mean flow; between slugs less comes in, so that the mean stays."""
    slug_seconds: float = 0.0


@dataclass(frozen=True)
class Displacer:
    """The displacer and where it hangs; lengths in m, masses in kg, volumes in m3, forces in N."""

    diameter: float
    length: float
    hung: str
    mass: float
    bottom: float
    """Height of its lowest point above the vessel's bottom."""
    coat_mass: float = 0.0
    coat_volume: float = 0.0
    flooded: float = 0.0
    """Share of its volume that holds the lower liquid."""
    attached: float = 1.0
    """Share of its pull that reaches the arm; 0 when it is lost."""
    rub: float = 0.0
    """Friction against what it touches; a large one holds it where it is."""
    exchange: float = 1e9
    """How fast the liquid round it follows the vessel's, 1/s; small in a plugged well, 0 in a shut one."""
    wave: float = 0.0
    """Height of waves round it, m from the middle; their period is `WAVE_PERIOD`."""


@dataclass(frozen=True)
class Shaft:
    """Arm and shaft, all as forces at the displacer in N."""

    arm_ratio: float = 1.0
    """Length of the arm over the length that was meant."""
    grip: float = 1.0
    """Share of the torque that the torque arm hands on; the rest slips."""
    friction: float = 0.0
    play: float = 0.0
    offset: float = 0.0
    """Lift that a bent rod or an arm out of level adds."""
    seal_leak: float = 0.0
    """Liquid that leaves by the shaft's seal, m3/s."""


@dataclass(frozen=True)
class Linkage:
    """Range spring, fulcrum and lever."""

    carry: float
    """Pull that the range spring carries, N at the displacer: the knob."""
    needed: float
    """Change of pull that works the pilot all the way with the fulcrum where it is, N at the displacer."""
    spring_side: Side
    displacer_side: Side
    lever_side: Side
    offset: float = 0.0
    """How much further than it should the lever presses, in full strokes; at -2 its contact misses."""
    rub: float = 0.0
    """Something in the box that holds the lever, N at the displacer."""


@dataclass(frozen=True)
class Pilot:
    """The pilot; its position runs from 0 let go to 1 pressed."""

    ports: Action
    full: float
    """Output that it is made to give when it is worked all the way, Pa."""
    supply_seat: float
    vent_seat: float
    vent_path: float
    """Conductance of the vent port and what is piped to it."""
    vent_back: float = 0.0
    """Pressure in the vent's line."""
    supply_leak: float = 0.0
    vent_leak: float = 0.0
    crack: float = 0.0
    """Conductance from the output through a cracked diaphragm into the open."""
    body_leak: float = 0.0
    spare_port: float = 0.0
    stick: float = 0.0
    """How far it must be pushed before it follows, in full strokes; 1 or more: it stays where it is."""
    reach: float = 1.0
    """Most that it loads, as a share of what it should."""
    rest: float = 0.0
    """Least that it loads, as a share of what it should."""
    band: float = 1.0
    """Dead band of the snap over what it should be."""


@dataclass(frozen=True)
class Supply:
    """From the header to the pilot."""

    header: float
    path: float
    """Conductance of valve, tube, filter and drip pot up to the regulator."""
    set_to: float
    regulator: float
    """Flow that the regulator gives for each Pa that its outlet falls under the setting: its droop."""
    capacity: float
    """Conductance of the regulator wide open."""
    creep: float
    """Conductance of its shut seat."""
    volume: float
    leak: float
    relief: float = 0.0
    bonnet: float = 0.0
    """Conductance out of the regulator's torn diaphragm."""
    tail: float = 1e-6
    """Conductance of the tube from the regulator to the pilot."""
    draw: float = 0.0
    """Conductance of what others take between the regulator and the pilot."""
    draw_period: float = 0.0
    """They take it during half of each so many s; 0: all the time."""


@dataclass(frozen=True)
class OutputLine:
    """The tube from the controller to the valve."""

    conductance: float
    volume: float
    extra_volume: float
    """A bottle or the like at its far end."""
    leak_near: float = 0.0
    leak_far: float = 0.0


@dataclass(frozen=True)
class Actuator:
    """Spring and diaphragm; area in m2, travel in m, forces in N."""

    fails: Fails
    area: float
    bench_low: float
    bench_high: float
    travel: float
    dead_volume: float
    friction: float
    stick: float = 1.0
    """Friction at rest over friction when it moves."""
    tear: float = 0.0
    """Conductance through the diaphragm to the spring side."""
    rim_leak: float = 0.0
    stem_leak: float = 0.0
    vent_plugged: float = 0.0
    """Share of the spring side's gas that cannot get out."""
    stop_low: float = 0.0
    stop_high: float = 1.0
    """The least and the most that the stem can be open, as shares of its travel."""
    coupled: float = 1.0
    """1 when the plug follows the stem, 0 when it lies on its seat."""
    lost_way: float = 0.0
    """How far short of its seat the plug stops, as a share of the travel."""
    pushes: float = 1.0
    """1 when the gas pushes against the spring, -1 when it is piped to the spring's side."""


@dataclass(frozen=True)
class Valve:
    """The dump valve."""

    cv: float
    f_l: float
    seat: float
    flow: str
    """Side of the plug that the flow comes from: under or over."""
    characteristic: str
    seat_leak: float = 0.0
    """Cv that it has when it is shut, over its full Cv."""
    trash: float = 0.0
    """How far something holds the plug off its seat, as a share of the travel."""
    plug_on: float = 1.0
    body_open: float = 1.0
    """Share of the body's way that is clear."""
    weep: float = 0.0
    """Cv of leaks to the open."""


@dataclass(frozen=True)
class Discharge:
    """Where the liquid goes."""

    back_pressure: float
    height: float
    line_cv: float
    """Cv that eats as much as the line does."""
    block_cv: float
    bypass_cv: float
    outlet_open: float = 1.0
    """Share of the vessel's own outlet that is clear."""
    block_open: float = 1.0
    bypass_open: float = 0.0
    line_open: float = 1.0
    check_holds: bool = True
    surge: float = 0.0
    """Pressure that another dump adds for half of each `SURGE_PERIOD`."""
    parted: float = 0.0
    """Share of what goes through the line that is lost on the way."""


@dataclass(frozen=True)
class SetUp:
    """What the controller is meant to do."""

    action: Action
    acting: Acting


@dataclass(frozen=True)
class Sights:
    """What a person reads things by."""

    glass_follows: float = 1.0
    """How much of the level's change the glass shows; 0 when it is plugged or shut."""
    glass_offset: float = 0.0
    readout_offset: float = 0.0
    supply_gauge: float = 1.0
    output_gauge: float = 1.0
    """What a gauge shows over what is there."""


@dataclass(frozen=True)
class ByHand:
    """What somebody holds now; None where nobody does."""

    lever: float | None = None
    """Lever held there: 0 and below as for a low level, 1 and above as for a high one."""
    loaded: float | None = None
    """Pressure put on the actuator from a test regulator, Pa."""
    output_blocked: bool = False
    stem: float | None = None
    """Stem held there, as a share of its travel."""
