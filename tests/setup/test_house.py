"""The import contracts of pyproject.toml fail on a house that breaks them."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("cli", "files", "plan", "film", "solution", "surface", "climate", "trade", "figures")
LINT = "from importlinter.cli import lint_imports_command as lint; lint()"


def lint(folder: Path, extra: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Check a house of empty rooms to which the modules of `extra` are added."""
    shutil.copy(ROOT / "pyproject.toml", folder)
    modules = {f"{room}/__init__.py": "" for room in ROOMS} | {"__init__.py": ""} | extra
    for name, text in modules.items():
        module = folder / "lacwright" / name
        module.parent.mkdir(parents=True, exist_ok=True)
        module.write_text(text)
    return subprocess.run(
        [sys.executable, "-c", LINT, "--no-cache"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_sound_house_is_kept(tmp_path: Path) -> None:
    answer = lint(
        tmp_path,
        {
            "cli/main.py": "import click\nimport lacwright.files\n",
            "files/piece.py": "import pydantic\nimport lacwright.plan\n",
            "climate/moist.py": "import numpy\nimport lacwright.trade\n",
            "film/layer.py": "def f():\n    import scipy.optimize\nimport lacwright.climate\n",
            "remedy/__init__.py": "import lacwright.plan\n",
        },
    )
    assert answer.returncode == 0, answer.stdout + answer.stderr
    assert "7 kept, 0 broken" in answer.stdout


@pytest.mark.parametrize(
    ("module", "text", "said"),
    [
        ("figures/up.py", "import lacwright.plan", "The house"),
        ("solution/aside.py", "import lacwright.surface", "The house"),
        ("attic/__init__.py", "", "attic"),
        ("helpers.py", "", "helpers"),
        ("plan/face.py", "import click", "click only in cli"),
        ("trade/rows.py", "def f():\n    import pydantic", "pydantic only in files"),
        ("climate/air.py", "from psychrolib import SetUnitSystem", "psychrolib is an oracle"),
        ("plan/solve.py", "def f():\n    import scipy.optimize", "scipy only in film"),
        ("climate/dry.py", "def f():\n    import numba", "numba only in the kernel"),
    ],
)
def test_a_breach_is_found(tmp_path: Path, module: str, text: str, said: str) -> None:
    answer = lint(tmp_path, {module: text + "\n"})
    assert answer.returncode == 1
    assert "1 broken" in answer.stdout
    assert said in answer.stdout[answer.stdout.index("Broken contracts") :]
