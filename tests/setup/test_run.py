"""The logic of run.py: when a `.venv` stands, what is left to do, what a failure is called."""

import importlib.util
import json
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Return run.py, loaded for a folder that has a finished `.venv` of level "run"."""
    spec = importlib.util.spec_from_file_location("run_py", ROOT / "run.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name in ("VENV", "STATE", "BIN", "PYTHON", "LACWRIGHT", "SITE"):
        monkeypatch.setattr(module, name, tmp_path / getattr(module, name).relative_to(ROOT))
    monkeypatch.setattr(module, "ROOT", tmp_path)
    (tmp_path / "requirements").mkdir()
    for level in ("build", "run", "dev"):
        (tmp_path / "requirements" / f"{level}.lock").write_text(f"{level}==1\n")
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    for folder in (module.BIN, module.SITE / "pip", module.SITE / "numpy-2.dist-info"):
        folder.mkdir(parents=True)
    for file in (module.PYTHON, module.LACWRIGHT):
        file.touch()
    module.write_state("run")
    return module


EVERYTHING = ["venv", "packages", "project"]


def test_a_finished_venv_is_left_alone(run: ModuleType) -> None:
    assert run.steps_to("run", run.read_state()) == []


def test_tests_need_more_packages_in_the_same_venv(run: ModuleType) -> None:
    assert run.steps_to("dev", run.read_state()) == ["packages", "project"]


def test_a_venv_for_tests_serves_the_program_too(run: ModuleType) -> None:
    run.write_state("dev")
    assert run.steps_to("run", run.read_state()) == []
    assert run.steps_to("dev", run.read_state()) == []


def test_a_venv_that_cannot_take_packages_is_remade(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", "")
    (run.SITE / "pip").rmdir()
    run.write_state("run")
    assert run.steps_to("dev", run.read_state()) == EVERYTHING


@pytest.mark.parametrize("lock", ["build", "run"])
def test_another_lock_remakes(run: ModuleType, lock: str) -> None:
    (run.ROOT / "requirements" / f"{lock}.lock").write_text("other==2\n")
    assert run.steps_to("run", run.read_state()) == EVERYTHING


def test_another_description_reinstalls_the_project_only(run: ModuleType) -> None:
    (run.ROOT / "pyproject.toml").write_text("[project]\nname = 'other'\n")
    assert run.steps_to("run", run.read_state()) == ["project"]


@pytest.mark.parametrize("what", ["python", "base", "root"])
def test_another_python_or_a_moved_folder_remakes(run: ModuleType, what: str) -> None:
    assert run.steps_to("run", {**run.read_state(), what: "another"}) == EVERYTHING


@pytest.mark.parametrize("text", [None, "", "{", "[]", '{"installed": []}'])
def test_a_half_made_venv_is_remade(run: ModuleType, text: str | None) -> None:
    run.STATE.unlink() if text is None else run.STATE.write_text(text)
    assert run.steps_to("run", run.read_state()) == EVERYTHING


@pytest.mark.parametrize("what", ["PYTHON", "LACWRIGHT"])
def test_a_missing_program_remakes(run: ModuleType, what: str) -> None:
    getattr(run, what).unlink()
    assert run.steps_to("run", run.read_state()) == EVERYTHING


def test_a_missing_package_remakes_and_an_additional_one_does_not(run: ModuleType) -> None:
    (run.SITE / "own-1.dist-info").mkdir()
    assert run.steps_to("run", run.read_state()) == []
    (run.SITE / "numpy-2.dist-info").rmdir()
    assert run.steps_to("run", run.read_state()) == EVERYTHING


def test_a_failed_set_up_leaves_no_state(run: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(command: list[str], what: str) -> None:
        raise run.Obstacle(what)

    monkeypatch.setattr(run, "work", fail)
    with pytest.raises(run.Obstacle):
        run.set_up("dev")
    assert run.read_state() == {}


def test_a_python_without_ensurepip_names_the_debian_package(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(run.Obstacle, match=r"python3-venv"):
        run.make_venv(None)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("NewConnectionError: Temporary failure in name resolution", "does not answer"),
        ("error: Failed to fetch: `...`\n  Caused by: dns error", "does not answer"),
        ("WARNING: Retrying (Retry(total=4)) after connection broken", "does not answer"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE FILE", "not the one in the lock"),
        ("error: Hash mismatch for `click==8.5.1`", "not the one in the lock"),
        ("ERROR: No matching distribution found for scipy==1.17.1", "another Python"),
        ("No space left on device", "own words stand above"),
    ],
)
def test_a_failed_step_is_told_in_one_sentence(
    run: ModuleType, capsys: pytest.CaptureFixture[str], line: str, sentence: str
) -> None:
    told = run.sentence_for("installing run.lock", [line + "\n"])
    assert sentence in told
    assert "\n" not in told
    # What the sentence does not say in full is shown.
    assert (line in capsys.readouterr().err) == ("does not answer" not in sentence)


def test_children_write_bytecode_and_stay_in_the_venv(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("PYTHONDONTWRITEBYTECODE", "PYTHONPATH", "PIP_REQUIRE_HASHES", "KEPT"):
        monkeypatch.setenv(name, "1")
    environment = run.clean_environment()
    assert environment["KEPT"] == "1"
    assert {"PYTHONDONTWRITEBYTECODE", "PYTHONPATH", "PIP_REQUIRE_HASHES"}.isdisjoint(environment)


@pytest.mark.parametrize("words", [["tset"], ["check", "src"], ["plan", "x.toml"], ["--help-me"]])
def test_an_unknown_task_is_refused_before_anything_is_made(words: list[str]) -> None:
    answer = subprocess.run(
        [sys.executable, ROOT / "run.py", *words], capture_output=True, text=True, check=False
    )
    assert answer.returncode == 2
    assert answer.stderr.startswith("run.py: no such task here")
    assert answer.stderr.count("\n") == 1


def test_the_state_names_what_is_installed(run: ModuleType) -> None:
    assert json.loads(run.STATE.read_text())["installed"] == ["numpy-2.dist-info", "pip"]
