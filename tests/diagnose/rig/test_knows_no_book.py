"""The plant knows nothing of the book, so that it can judge it."""

import pkgutil
import subprocess
import sys

import diagnose.rig


def test_no_module_of_the_plant_brings_in_the_book():
    """All of them imported in a fresh interpreter, neither the book nor what reads it is there."""
    names = [f"diagnose.rig.{module.name}" for module in pkgutil.iter_modules(diagnose.rig.__path__)]
    assert "diagnose.rig.run" in names
    plant = ("parts", "plant", "usual", "run", "moment", "state", "trace", "hands", "inflows", "levels")
    sections = ("displacing", "linkage", "pilot", "gas", "stem", "outlet")
    faults = ("faulty", "faults", "faults_gas", "faults_valve", "faults_vessel")
    wanted = [f"diagnose.rig.{name}" for name in (*plant, *sections, *faults)]
    code = f"import sys, {', '.join(wanted)}; print('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    brought = set(done.stdout.split())
    assert set(wanted) <= brought
    assert not brought & {"knowledge.book", "knowledge.schema", "diagnose.compile", "diagnose.reasoner"}
