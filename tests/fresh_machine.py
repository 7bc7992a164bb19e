"""``python -m tests.fresh_machine [FOLDER]``: the wheel on a machine that has nothing and reaches nothing.

From a copy of the source that is read only it builds the source archive and from that the wheel, gathers
the wheels that it needs into a folder, makes a new virtual environment, installs from that folder alone, and
uses the commands from another working folder, with an empty home that cannot be written to but for the data
and the cache folder, and with every way to a network shut. Prints one table of times: of the first run, and
of the quickest after it.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
FLOORS: Final = ("diagnose", "knowledge", "tui")
UNIT: Final = ("--unit", "willow-flat-v210")
USES: Final[Mapping[str, Sequence[str]]] = {
    "--version": ("halfsplit", "--version"),
    "--help": ("halfsplit", "--help"),
    "rank": ("halfsplit", "rank", *UNIT, "--saw", "complaint=wont_open"),
    "rank, two findings": (
        *("halfsplit", "rank", *UNIT),
        *("--saw", "complaint=wont_open", "--saw", "level_glass=high"),
    ),
    "sheet check": ("halfsplit", "sheet", "check", UNIT[1]),
    "calc": ("halfsplit", "calc", "gauge", "reading=18psi", "range=30psi"),
    "procedure": ("halfsplit", "procedure", "show", "set_point", *UNIT),
    "book list": ("halfsplit", "book", "list", "causes"),
    "rig run": ("halfsplit", "rig", "run", *UNIT, "--fault", "supply_shut"),
    "walk by lines": ("python", "-m", "tui", "walk", "--plain", "--new", *UNIT),
    "history list": ("halfsplit", "history", "list"),
    "report": ("halfsplit", "report", "newest", "--html", "report.html"),
    "self-check": ("halfsplit", "self-check"),
}
"""What is run, in this order; each must end with 0, as nothing that is typed is wrong."""
TIMES: Final = 3
NO_NETWORK: Final = dict.fromkeys(("http_proxy", "https_proxy", "all_proxy"), "http://127.0.0.1:9")
"""Nothing listens there; whoever asks for a network fails."""


def main(arguments: list[str]) -> int:
    """Build, install, use; 1 when one of them fails."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(arguments[0] if arguments else folder)
        source, wheels, built = place / "source", place / "wheels", place / "built"
        before = _read_only_copy(source)
        _run([sys.executable, "-m", "build", "--outdir", str(built), str(source)])
        wheel = next(built.glob("*.whl"))
        left_out = _floor_files(source) - set(zipfile.ZipFile(wheel).namelist())
        changed = before ^ _stamps(source)
        print(f"Files that the wheel lacks: {sorted(left_out) or 'none'}")
        print(f"Files that building changed in the source: {sorted(map(str, changed)) or 'none'}")
        _run([sys.executable, "-m", "pip", "wheel", "--quiet", "--wheel-dir", str(wheels), str(wheel)])
        _run([sys.executable, "-m", "venv", str(place / "venv")])
        scripts = place / "venv" / ("Scripts" if os.name == "nt" else "bin")
        offline = ["install", "--quiet", "--no-index", "--find-links", str(wheels), "halfsplit"]
        _run([str(scripts / "python"), "-m", "pip", *offline], os.environ | NO_NETWORK)
        return int(bool(left_out or changed)) or _use(scripts, place)


def _read_only_copy(source: Path) -> set[tuple[Path, int, int]]:
    """Copy what belongs to the project, take the right to write from it, and give its stamps."""
    skipped = shutil.ignore_patterns(
        ".git", "*cache*", "*venv*", "*.egg-info", ".hypothesis", "build", "dist"
    )
    shutil.copytree(ROOT, source, ignore=skipped)
    for path in [*source.rglob("*"), source]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    return _stamps(source)


def _stamps(source: Path) -> set[tuple[Path, int, int]]:
    files = [path for path in source.rglob("*") if path.is_file()]
    return {(path, path.stat().st_size, path.stat().st_mtime_ns) for path in files}


def _floor_files(source: Path) -> set[str]:
    """Every file of the three floors: code, book, examples, templates, styles."""
    paths = [path for floor in FLOORS for path in (source / floor).rglob("*") if path.is_file()]
    return {path.relative_to(source).as_posix() for path in paths}


def _use(scripts: Path, place: Path) -> int:
    home, work = place / "home", place / "elsewhere"
    home.mkdir()
    work.mkdir()
    home.chmod(0o500)
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "LANG", "LC_ALL") if name in os.environ}
    folders = {"HALFSPLIT_DATA": str(place / "data"), "HALFSPLIT_CACHE": str(place / "cache")}
    environment = kept | NO_NETWORK | folders | {"HOME": str(home), "PATH": str(scripts)}
    worst = 0
    print(f"{'command':20}{'code':>6}{'first s':>9}{'least s':>9}")
    for name, words in USES.items():
        seconds = []
        for _ in range(1 + TIMES):
            start = time.perf_counter()
            done = subprocess.run(
                [str(scripts / words[0]), *words[1:]],
                cwd=work,
                env=environment,
                stdin=subprocess.DEVNULL,
                capture_output=True,
                text=True,
            )
            seconds.append(time.perf_counter() - start)
            worst = worst or done.returncode
            if done.returncode:
                print(done.stderr[-2000:])
                break
        print(f"{name:20}{done.returncode:6}{seconds[0]:9.2f}{min(seconds[1:], default=seconds[0]):9.2f}")
    return int(bool(worst))


def _run(words: Sequence[str], environment: Mapping[str, str] = os.environ) -> None:
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL, env=environment)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
