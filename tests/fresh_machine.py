"""``python -m tests.fresh_machine [FOLDER]``: the wheel on a machine that has nothing and reaches nothing.

Builds the source archive and from it the wheel, gathers the wheels it needs into a folder, makes a new
virtual environment, installs from that folder alone, and uses the commands from another working folder,
with an empty home that cannot be written to but for the data folder. Prints how long a start takes.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
USES: Final[Mapping[str, Sequence[str]]] = {
    "--help": ("halfsplit", "--help"),
    "rank": ("halfsplit", "rank", "--unit", "willow-flat-v210", "--saw", "complaint=wont_open"),
    "rank again": ("halfsplit", "rank", "--unit", "willow-flat-v210", "--saw", "complaint=wont_open"),
    "sheet check": ("halfsplit", "sheet", "check", "willow-flat-v210"),
    "calc": ("halfsplit", "calc", "gauge", "reading=18psi", "range=30psi"),
    "procedure": ("halfsplit", "procedure", "show", "set_point", "--unit", "willow-flat-v210"),
    "book list": ("halfsplit", "book", "list", "causes"),
    "rig run": ("halfsplit", "rig", "run", "--unit", "willow-flat-v210", "--fault", "supply_shut"),
    "walk by lines": ("python", "-m", "tui", "walk", "--plain", "--new", "--unit", "willow-flat-v210"),
}
"""What is run; each must end with 0, as nothing that is typed is wrong."""


def main(arguments: list[str]) -> int:
    """Build, install, use; 1 when one of them fails."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(arguments[0] if arguments else folder)
        wheels = place / "wheels"
        built = place / "built"
        _run([sys.executable, "-m", "build", "--outdir", str(built), str(ROOT)])
        wheel = next(built.glob("*.whl"))
        _run([sys.executable, "-m", "pip", "wheel", "--quiet", "--wheel-dir", str(wheels), str(wheel)])
        _run([sys.executable, "-m", "venv", str(place / "venv")])
        scripts = place / "venv" / ("Scripts" if os.name == "nt" else "bin")
        offline = ["install", "--quiet", "--no-index", "--find-links", str(wheels), "halfsplit"]
        _run([str(scripts / "python"), "-m", "pip", *offline])
        return _use(scripts, place)


def _use(scripts: Path, place: Path) -> int:
    home, work = place / "home", place / "elsewhere"
    home.mkdir()
    work.mkdir()
    home.chmod(0o500)
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "LANG", "LC_ALL") if name in os.environ}
    environment = kept | {"HOME": str(home), "HALFSPLIT_DATA": str(place / "data"), "PATH": str(scripts)}
    worst = 0
    print(f"{'command':16}{'code':>6}{'seconds':>9}")
    for name, words in USES.items():
        start = time.perf_counter()
        done = subprocess.run(
            [str(scripts / words[0]), *words[1:]],
            cwd=work,
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )
        print(f"{name:16}{done.returncode:6}{time.perf_counter() - start:9.2f}")
        if done.returncode:
            print(done.stderr[-2000:])
        worst = worst or done.returncode
    return int(bool(worst))


def _run(words: Sequence[str]) -> None:
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
