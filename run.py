"""Set the project up and start it; `python3 run.py help` lists what it does.

Needs Python 3.11 or newer and nothing else: it makes `.venv`, installs what the lock files name
(with uv where there is one, else with pip) and hands over to it. What stands is left alone.
"""

import contextlib
import hashlib
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

if sys.version_info < (3, 11):
    sys.stderr.write(
        f"run.py: lacwright needs Python 3.11 or newer and this is {sys.version.split()[0]}: "
        "start it with a newer one, for example python3.11 run.py\n"
    )
    sys.exit(2)

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STATE = VENV / "set-up.json"
WINDOWS = os.name == "nt"
BIN = VENV / ("Scripts" if WINDOWS else "bin")
PYTHON = BIN / ("python.exe" if WINDOWS else "python")
LACWRIGHT = BIN / ("lacwright.exe" if WINDOWS else "lacwright")
SITE = VENV / (
    "Lib/site-packages" if WINDOWS else "lib/python{}.{}/site-packages".format(*sys.version_info)
)
EXAMPLE = "examples/table.toml"
# Comes as source only (an oracle of the tests), so it is built here, by the locked setuptools.
BUILT_HERE = "psychrolib"

HELP = """\
python3 run.py                   set up, then print the plan of an example
python3 run.py setup             set up only
python3 run.py lacwright ARGS    the command line, for example: lacwright plan examples/table.toml
python3 run.py lacwright demo --serve
                                 a shop of invented work, in the browser
python3 run.py test [ARGS]       the tests; ARGS go to pytest, paths count from the project folder
python3 run.py check             lint, formatting, types, import contracts
python3 run.py help              this list
"""


class Obstacle(Exception):
    """Something the reader has to mend; its text is one sentence."""


def main(args: list[str]) -> int:
    """Do what `args` ask and return the exit code."""
    command, rest = (args[0], args[1:]) if args else ("plan", [])
    if command in ("help", "-h", "--help"):
        sys.stdout.write(HELP)
        return 0
    known = {"plan": "run", "setup": "run", "lacwright": "run", "test": "dev", "check": "dev"}
    if command not in known or (rest and command not in ("lacwright", "test")):
        wrong = command if command not in known else " ".join([command, *rest])
        raise Obstacle(f"no such task here: '{wrong}'; python3 run.py help lists what there is")
    set_up(known[command])
    if command == "lacwright":
        return hand_over([LACWRIGHT, *rest], Path.cwd())
    if command == "test":
        return hand_over([PYTHON, "-m", "pytest", "-n", "2", *rest], ROOT)
    if command == "check":
        return check()
    if command == "plan":
        return plan()
    return 0


def plan() -> int:
    """Print the plan of the example, and say where to look next."""
    command = [LACWRIGHT, "plan", EXAMPLE]
    code = subprocess.run(command, cwd=ROOT, env=clean_environment(), check=False).returncode
    if code == 0:
        tell("a shop of invented work, in the browser: python3 run.py lacwright demo --serve")
    return code


def check() -> int:
    """Run every check, also after one has failed, and return 1 if any has."""
    checks = {
        "lint": [PYTHON, "-m", "ruff", "check", "."],
        "formatting": [PYTHON, "-m", "ruff", "format", "--check", "."],
        "types": [PYTHON, "-m", "mypy"],
        "import contracts": [BIN / "lint-imports"],
    }
    failed = []
    for name, command in checks.items():
        tell(f"checking {name}")
        if subprocess.run(command, cwd=ROOT, env=clean_environment(), check=False).returncode:
            failed.append(name)
    tell(f"failed: {', '.join(failed)}" if failed else "all checks passed")
    return 1 if failed else 0


# --- setting up ---------------------------------------------------------------------------------


def set_up(level: str) -> None:
    """Bring `.venv` to `level` ("run", or "dev" with what tests need); quiet if it is there."""
    if not steps_to(level, read_state()):
        return
    with one_at_a_time():
        # Whoever held the lock may have done it meanwhile.
        steps = steps_to(level, read_state())
        if not steps:
            return
        started = time.monotonic()
        # From here to the last line a broken-off set-up shows by the missing state.
        STATE.unlink(missing_ok=True)
        uv = shutil.which("uv")
        if "venv" in steps:
            make_venv(uv)
        if "packages" in steps:
            install_packages(uv, level)
        install_project(uv)
        tell("compiling")
        subprocess.run(
            [PYTHON, "-m", "compileall", "-qq", "-j", "0", SITE, ROOT / "src"],
            env=clean_environment(),
            check=False,
        )
        compile_model()
        write_state(level)
        tell(f"set up in {time.monotonic() - started:.0f} s")


def steps_to(level: str, state: dict) -> list[str]:
    """Name what is left to do from `state` to `level`; nothing if it stands."""
    everything = ["venv", "packages", "project"]
    if not state or any(state.get(key) != value for key, value in surroundings().items()):
        return everything
    if not (PYTHON.exists() and LACWRIGHT.exists() and set(state["installed"]) <= installed()):
        return everything
    if state["locks"] not in (locks(level), locks("dev")):
        # The locks of "dev" contain those of "run": from there packages are only added.
        can_grow = state["locks"] == locks("run") and importable_pip_or_uv()
        return everything[1:] if can_grow else everything
    return ["project"] if state["project"] != project() else []


def surroundings() -> dict:
    """Return what makes a `.venv` useless when it changes."""
    return {"python": sys.version, "base": sys.base_prefix, "root": str(ROOT)}


def locks(level: str) -> str:
    """Return the fingerprint of the lock files of `level`."""
    names = ("build", level)
    return fingerprint(*((ROOT / "requirements" / f"{name}.lock").read_bytes() for name in names))


def project() -> str:
    """Return the fingerprint of the project's own description."""
    return fingerprint((ROOT / "pyproject.toml").read_bytes())


def fingerprint(*parts: bytes) -> str:
    """Return one hash of `parts`."""
    return hashlib.sha256(b"".join(hashlib.sha256(part).digest() for part in parts)).hexdigest()


def installed() -> set[str]:
    """Return the names in site-packages; the version of each package is in one of them."""
    return set(os.listdir(SITE)) - {"__pycache__"} if SITE.is_dir() else set()


def importable_pip_or_uv() -> bool:
    """Say whether packages can be added to the `.venv` that stands."""
    return bool(shutil.which("uv")) or (SITE / "pip").is_dir()


def read_state() -> dict:
    """Return what the last completed set-up noted; empty if there is none."""
    try:
        state = json.loads(STATE.read_text(encoding="utf-8"))
        return state if {"installed", "locks", "project"} <= state.keys() else {}
    except (OSError, ValueError, AttributeError):
        return {}


def write_state(level: str) -> None:
    """Note a completed set-up, in one move."""
    state = {
        **surroundings(),
        "locks": locks(level),
        "project": project(),
        "installed": sorted(installed()),
    }
    half = STATE.with_suffix(".part")
    half.write_text(json.dumps(state, indent=1), encoding="utf-8")
    half.replace(STATE)


def make_venv(uv: str | None) -> None:
    """Make `.venv` anew; with uv it needs no pip of its own."""
    needed = ["venv"] if uv else ["venv", "ensurepip"]
    specs = [importlib.util.find_spec(name) for name in needed]
    # A folder left empty still has a spec, but no origin.
    if not all(spec and spec.origin for spec in specs):
        raise Obstacle(
            "this Python cannot make a virtual environment: on Debian and its kin install the "
            "package python3-venv (apt-get install python3-venv), then start again"
        )
    if VENV.is_symlink() or VENV.is_file():
        VENV.unlink()
    elif VENV.exists():
        tell("removing the old .venv")
        shutil.rmtree(VENV)
    tell(f"making .venv with Python {sys.version.split()[0]}")
    # Inside an activated .venv, sys.executable is the one that has just been removed.
    base = getattr(sys, "_base_executable", sys.executable)
    work([base, "-m", "venv", *(["--without-pip"] if uv else []), VENV], "making .venv")


def install_packages(uv: str | None, level: str) -> None:
    """Install what the lock files name, every file checked against its hash."""
    for name in ("build", level):
        lock = ROOT / "requirements" / f"{name}.lock"
        count = len(re.findall(r"(?m)^\w", lock.read_text(encoding="utf-8")))
        tell(f"installing {name}.lock, {count} packages, with {'uv' if uv else 'pip'}")
        options = ["--require-hashes", "--no-build-isolation", "--only-binary", ":all:"]
        if name != "build":
            options += ["--no-binary", BUILT_HERE]
        work([*installer(uv), *options, "-r", lock], f"installing {name}.lock")


def install_project(uv: str | None) -> None:
    """Install the project itself so that edits count at once; needs no network."""
    tell("installing lacwright")
    offline = "--offline" if uv else "--no-index"
    options = [offline, "--no-deps", "--no-build-isolation", "-e", "."]
    work([*installer(uv), *options], "installing lacwright")


def compile_model() -> None:
    """Compile the drying model, with a line before; without this, the first user would wait.

    Where it fails, all the rest of the program works: it is compiled, and told, at its first use.
    """
    code = (
        "import sys; from lacwright.drying import compile_now;"
        "compile_now(lambda line: print('run.py: ' + line, file=sys.stderr, flush=True))"
    )
    subprocess.run([PYTHON, "-c", code], env=clean_environment(), check=False)


def installer(uv: str | None) -> list:
    """Return the beginning of an install command."""
    if uv:
        return [uv, "pip", "install", "--python", PYTHON]
    # Compiling comes later, in parallel; old pips build old projects by the new way only if told.
    quick = ["--no-compile", "--use-pep517", "--no-input", "--progress-bar", "off"]
    return [PYTHON, "-m", "pip", "install", *quick]


# --- running and telling ------------------------------------------------------------------------

# pip: "Collecting click==8.5.1 (from ...)"; uv: "Downloading scipy (33.6MiB)", "Building x==1".
FETCHED = re.compile(r"\s*(?:(?:Collecting|Building) ([\w.-]+==[\w.]+)|Downloading ([\w-]+) \()")
HASHES = re.compile(r"do not match the hashes|hash mismatch", re.I)
NETWORK = re.compile(
    r"name resolution|getaddrinfo|new connection|max retries|network is unreachable|dns error|"
    r"connection (refused|reset|timed out|broken)|timed? ?out|error sending request|"
    r"failed to fetch|could not connect|proxyerror|cannot connect to proxy|retrying \(",
    re.I,
)
NO_WHEEL = re.compile(r"no matching distribution|no solution found|no usable wheels", re.I)


def work(command: list, what: str) -> None:
    """Run one step of the set-up, show what it fetches, and turn its failure into a sentence."""
    lines = []
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=clean_environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
    ) as process:
        for line in process.stdout:
            lines.append(line)
            fetched = FETCHED.match(line)
            if fetched:
                tell(f"  {fetched[1] or fetched[2]}")
    if process.returncode:
        raise Obstacle(sentence_for(what, lines))


def sentence_for(what: str, lines: list[str]) -> str:
    """Return one sentence for a failed step; shows the step's own words unless they add nothing."""
    text = "".join(lines)
    if NETWORK.search(text) and not HASHES.search(text):
        return f"{what} failed: the package index does not answer; check the network and try again"
    sys.stderr.write("".join(lines[-15:]))
    if HASHES.search(text):
        return f"{what} failed: a fetched file is not the one in the lock file"
    if NO_WHEEL.search(text):
        return (
            f"{what} failed: a package has no file for Python {sys.version.split()[0]} on this "
            "machine; start run.py with another Python, 3.11 to 3.13"
        )
    return f"{what} failed: its own words stand above"


def hand_over(command: list, folder: Path) -> int:
    """Become `command`, run in `folder`: its signals and its exit code are then its own."""
    sys.stdout.flush()
    sys.stderr.flush()
    if WINDOWS:
        return subprocess.run(command, cwd=folder, env=clean_environment(), check=False).returncode
    os.chdir(folder)
    os.execve(command[0], [str(word) for word in command], clean_environment())


def clean_environment() -> dict[str, str]:
    """Return the environment without what would bend the `.venv` or keep bytecode from it."""
    bent = {
        "PYTHONDONTWRITEBYTECODE",
        "PYTHONHOME",
        "PYTHONPATH",
        "PIP_PREFIX",
        "PIP_REQUIRE_HASHES",
        "PIP_TARGET",
        "PIP_USER",
        "UV_REQUIRE_HASHES",
    }
    kept = {name: value for name, value in os.environ.items() if name not in bent}
    return {**kept, "PIP_DISABLE_PIP_VERSION_CHECK": "1"}


@contextlib.contextmanager
def one_at_a_time():
    """Hold a lock, so that two set-ups in one folder do not undo each other (not on Windows)."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    with open(__file__, "rb") as handle:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            tell("another set-up is at work in this folder: waiting for it")
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def tell(line: str) -> None:
    """Say how far it is."""
    print(f"run.py: {line}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except Obstacle as obstacle:
        tell(str(obstacle))
        sys.exit(2)
    except OSError as error:
        tell(f"{error.filename or 'a file'}: {error.strerror or error}")
        sys.exit(2)
    except KeyboardInterrupt:
        tell("stopped before the end")
        sys.exit(130)
