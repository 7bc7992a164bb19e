"""How long half an hour of plant time takes: ``python -m tests.bench.rig``. Nothing is asserted."""

import time

from diagnose.rig.faults import FAULTS, with_fault
from diagnose.rig.plant import plant_of
from diagnose.rig.run import STEP, run
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet

HALF_AN_HOUR = 1800.0


def seconds(plant):
    """Best of three runs."""
    times = []
    for seed in range(3):
        start = time.perf_counter()
        run(plant, HALF_AN_HOUR, seed)
        times.append(time.perf_counter() - start)
    return min(times)


def main():
    """A line for each set-up, and the slowest fault."""
    print(f"seconds for half an hour of plant time in steps of {STEP} s, best of three")
    for pairing in PAIRINGS:
        for liquids, more in (("water", {}), ("interface", INTERFACE)):
            plant = plant_of({**sheet(pairing), **more})
            print(f"  {' '.join(pairing):24} {liquids:10} {seconds(plant):.2f}")
    plant = plant_of({**sheet(), **INTERFACE})
    slowest = max((seconds(with_fault(plant, name)), name) for name in sorted(FAULTS)[::10])
    print(f"  slowest of every tenth fault: {slowest[1]} {slowest[0]:.2f}")


if __name__ == "__main__":
    main()
