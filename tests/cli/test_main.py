"""How every command ends: exit codes, one line for bad input, no traceback."""

import subprocess
import sys

import pytest

import lacwright
from lacwright.cli import climate as command
from lacwright.cli.main import COMMANDS, main, run

GOOD = ["climate", "--temp", "21", "--rh", "0.5"]


def test_done_is_0_and_says_nothing_on_stderr(capsys):
    assert run(GOOD) == 0
    out = capsys.readouterr()
    assert out.out
    assert out.err == ""


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["climate", "--temp", "21", "--rh", "45"], "--rh"),
        (["climate", "--temp", "21\n\x1b[31m22", "--rh", "0.5"], "--temp"),
        (["climate"], "--temp"),
        (["climat"], "climat"),
        (["--nothing"], "--nothing"),
        ([""], "lacwright"),
    ],
)
def test_refused_is_2_with_one_line_on_stderr_and_nothing_on_stdout(capsys, args, words):
    assert run(args) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert len(out.err.splitlines()) == 1
    assert words in out.err
    assert "Traceback" not in out.err


def test_an_internal_fault_is_1_without_a_traceback(capsys, monkeypatch):
    def broken(**_):
        raise ZeroDivisionError("of ours")

    monkeypatch.delenv("LACWRIGHT_TRACE", raising=False)
    monkeypatch.setattr(command.climate, "callback", broken)
    assert run(GOOD) == 1
    out = capsys.readouterr()
    assert out.out == ""
    assert "internal fault" in out.err
    assert "of ours" in out.err
    assert "Traceback" not in out.err
    monkeypatch.setenv("LACWRIGHT_TRACE", "1")
    with pytest.raises(ZeroDivisionError):
        run(GOOD)


def test_stopping_it_is_no_fault(capsys, monkeypatch):
    def stopped(**_):
        raise KeyboardInterrupt

    monkeypatch.setattr(command.climate, "callback", stopped)
    assert run(GOOD) == 2
    assert "stopped" in capsys.readouterr().err


def test_without_a_command_it_shows_its_help(capsys):
    assert run([]) == 0
    out = capsys.readouterr()
    assert "Commands:" in out.out
    assert out.err == ""


def test_version(capsys):
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.strip().endswith(lacwright.__version__)


@pytest.mark.parametrize("args", [["--help"], ["-h"]])
def test_help_lists_every_command_and_its_line(capsys, args):
    assert run(args) == 0
    out = capsys.readouterr().out
    for name, (_, line) in COMMANDS.items():
        assert name in out
        assert line.split()[0] in out


def test_help_of_a_command_shows_examples_of_quantities(capsys):
    assert run(["climate", "--help"]) == 0
    out = capsys.readouterr().out
    assert "--temp" in out
    assert "45 %" in out


def test_main_exits_with_the_code(capsys):
    with pytest.raises(SystemExit) as exit_:
        main(["climate", "--temp", "21", "--rh", "45"])
    assert exit_.value.code == 2


def test_a_reader_that_has_seen_enough_is_no_fault():
    code = "from lacwright.cli.main import main; main(['climate', '--temp', '21', '--rh', '0.5'])"
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 0


def test_help_imports_no_command_and_no_model():
    code = (
        "import sys; from lacwright.cli.main import run; run(['--help']); "
        "print(*(m for m in sys.modules if m.startswith('lacwright.cli.') or m in "
        "('numpy', 'scipy', 'pydantic', 'psychrolib', 'lacwright.climate')), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert sorted(done.stderr.split()) == ["lacwright.cli.lazy", "lacwright.cli.main"]
