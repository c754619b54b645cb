"""A shop of its own for every test: a copy of one that was made once."""

import datetime as dt
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

os.environ["LACWRIGHT_HASTY"] = "1"  # before the settings are read: no test needs a power cut

from lacwright.shop import Home, close_record, find_home, open_record


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of an empty shop."""
    os.environ["TZ"] = "UTC"
    home = open_record(find_home(tmp_path_factory.mktemp("shop")))
    close_record()
    return home.folder


@pytest.fixture
def home(made_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Home]:
    """Return the home of an empty shop that nobody else uses; it is not open."""
    folder = tmp_path / "home"
    shutil.copytree(made_once, folder)
    monkeypatch.setenv("LACWRIGHT_HOME", str(folder))
    yield find_home(folder)
    close_record()


@pytest.fixture
def shop(home: Home) -> Home:
    """Return an open, empty shop."""
    return open_record(home)


class Bench:
    """Somebody at the bench of an empty shop, in March 2027, at noon unless he says otherwise."""

    NOW = dt.datetime(2027, 6, 1, tzinfo=dt.UTC)

    def us(self, day: int, hour: float = 12.0) -> int:
        """Return a moment of March 2027."""
        moment = dt.datetime(2027, 3, 1, tzinfo=dt.UTC) + dt.timedelta(days=day - 1, hours=hour)
        return round(moment.timestamp()) * 1_000_000

    def at(self, day: int, hour: float = 12.0, **more: Any) -> Any:
        """Return an entry for something done then."""
        from lacwright.shop.writing import Entry

        now = round(self.NOW.timestamp()) * 1_000_000
        return Entry(**{"at_us": self.us(day, hour), "now_us": now, **more})

    def flakes(self, name: str, g: float | None = 1000.0, day: int = 1, **more: Any) -> Any:
        """Buy flakes."""
        from lacwright.shop.ledger import grams
        from lacwright.shop.services.lots import add_lot

        amount = None if g is None else grams(g)
        told = {"grade": "garnet", "entry": self.at(day, 9), **more}
        return add_lot(name=name, kind="flakes", amount=amount, **told)

    def alcohol(self, name: str, ml: float | None = 5000.0, day: int = 1, **more: Any) -> Any:
        """Buy alcohol, 190 proof unless told otherwise."""
        from lacwright.shop.ledger import millilitres
        from lacwright.shop.services.lots import add_lot

        amount = None if ml is None else millilitres(ml)
        told = {"alcohol": "ethanol-190", "entry": self.at(day, 9), **more}
        return add_lot(name=name, kind="alcohol", amount=amount, **told)

    def shelf(self) -> None:
        """Buy a bag of garnet and a can of 190 proof."""
        self.flakes("garnet")
        self.alcohol("spirit")

    def mix(self, jar: str, day: int, flakes_g: float, alcohol_ml: float, **more: Any) -> Any:
        """Mix a jar from the bag and the can of the shelf."""
        from lacwright.shop.ledger import grams, millilitres
        from lacwright.shop.services.jars import Take, mix_jar

        told = {"flakes": "garnet", "spirit": "spirit", "entry": self.at(day), **more}
        takes = [Take("lot", told.pop("flakes"), grams(flakes_g)),
                 Take("lot", told.pop("spirit"), millilitres(alcohol_ml))]  # fmt: skip
        return mix_jar(jar=jar, takes=takes, **told)

    def blend(self, jar: str, day: int, *parts: tuple[str, Any], **more: Any) -> Any:
        """Pour jars together into a new one."""
        from lacwright.shop.services.jars import Take, mix_jar

        return mix_jar(jar=jar, takes=[Take("jar", name, amount) for name, amount in parts],
                       **{"entry": self.at(day), **more})  # fmt: skip

    def piece(self, name: str, kind: str = "piece") -> None:
        """Take a piece or a panel on, without any of what jobs know."""
        from lacwright.shop import names
        from lacwright.shop.models import Piece
        from lacwright.shop.writing import write

        def do(w: Any) -> dict[str, Any]:
            row = Piece(key=names.new(Piece, name, "piece"), kind=kind)
            row.place = names.new_place(Piece, row.key)
            row.save()
            row.opened = w.movement("open", refs={"piece": row.key},
                                    facts={"table": "piece", "kind": kind})  # fmt: skip
            row.save()
            return {}

        write("piece", {"name": name}, self.at(1, 8), do)

    def coat(
        self, day: int, jar: str, piece: str, amount: Any, *, pad: str | None = None,
        parts: tuple[str, ...] = (), number: int | None = None, hour: float = 12.0, **more: Any,
    ) -> int:  # fmt: skip
        """Lay a coat, as the ledger sees it; return the number of the movement."""
        from lacwright.shop.ledger import lay
        from lacwright.shop.writing import write

        refs = {"jar": jar, "piece": piece} | ({"applicator": pad} if pad else {})
        move = lay(source=f"jar:{jar}", through=pad and f"applicator:{pad}", on=f"piece:{piece}",
                   amount=amount, **more)  # fmt: skip
        facts = {"what": "coat", "number": number, "parts": list(parts), "before_g": None,
                 "after_g": None, "used_ml": None,
                 "amount_basis": "not said" if amount is None else "measured"}  # fmt: skip

        def do(w: Any) -> dict[str, Any]:
            w.movement("coat", refs=refs, moves=(move,), facts=facts)
            return {}

        answer = write("coat", {"n": number}, self.at(day, hour), do)
        assert answer.movement is not None
        return answer.movement

    def strip(self, day: int, piece: str, parts: tuple[str, ...] = ()) -> None:
        """Wash a piece off, wholly unless parts are named."""
        from lacwright.shop.ledger import clear
        from lacwright.shop.writing import write

        def do(w: Any) -> dict[str, Any]:
            moves = () if parts else (clear(place=f"piece:{piece}"),)
            w.movement("strip", refs={"piece": piece}, moves=moves, facts={"parts": list(parts)})
            return {}

        write("strip", {}, self.at(day), do)

    def test(self, jar: str, day: int, *, good: bool, hour: float = 12.0) -> Any:
        """Test a jar on glass beside a fresh control that is in time."""
        from lacwright.shop.services.proving import record_test
        from lacwright.shop.verdict import Times

        mine = Times(10, 90, 1200) if good else Times(seen_min=45)
        return record_test(of_kind="jar", of=jar, test="drying", jar=mine,
                           control=Times(8, 80, 1000), temp_c=21, rh=0.5,
                           entry=self.at(day, hour))  # fmt: skip


@pytest.fixture
def bench(shop: Home) -> Bench:
    """Return somebody at the bench of an open, empty shop."""
    return Bench()


@pytest.fixture
def django_queries(shop: Home) -> Any:
    """Return a context that lists the queries asked within it."""
    import contextlib

    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    @contextlib.contextmanager
    def asked() -> Iterator[list[dict[str, str]]]:
        with CaptureQueriesContext(connection) as context:
            queries: list[dict[str, str]] = []
            yield queries
        queries += context.captured_queries

    return asked


class Writers:
    """The program `writers.py` at work: it forks a child for every order."""

    def __init__(self, folder: Path, *before: str) -> None:
        import lacwright

        self.home, self.out = folder / "home", folder / "out"
        env = {k: v for k, v in os.environ.items() if not k.startswith("LACWRIGHT_")}
        env["PYTHONPATH"] = str(Path(lacwright.__file__).parents[1])
        program = [*before, sys.executable, str(Path(__file__).with_name("writers.py"))]
        self.process = subprocess.Popen(
            program, env=env, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        assert self.read() == "ready"

    def read(self) -> str:
        """Return the next line that it says."""
        assert self.process.stdout is not None
        return self.process.stdout.readline().strip()

    def order(self, do: str, *, wait: bool = True, **more: Any) -> int:
        """Start a child and return its number; `wait`: until it and all before it have ended."""
        told = {"do": do, "home": str(self.home), "out": str(self.out), "wait": wait, **more}
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(told) + "\n")
        self.process.stdin.flush()
        word, number = self.read().split()
        assert word == "child"
        return int(number)

    def said(self) -> list[str]:
        """Return what the children have said so far, whole lines."""
        text = self.out.read_text() if self.out.exists() else ""
        return text[: text.rfind("\n") + 1].splitlines()

    def stop(self) -> None:
        """End it."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(20)
        self.process.stdout.close()


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a shop with a jar J that much can be poured from, made once."""
    folder = tmp_path_factory.mktemp("furnished")
    program = Writers(folder)
    program.order("furnish")
    said = program.read()
    program.stop()
    assert said == "ended 0"
    return program.home


@pytest.fixture
def writers_of(furnished: Path, tmp_path: Path) -> Iterator[Callable[..., Writers]]:
    """Return what starts a program that writes into a record of its own, as one meant to last."""
    shutil.copytree(furnished, tmp_path / "home")
    programs = []

    def start(*before: str) -> Writers:
        programs.append(Writers(tmp_path, *before))
        return programs[-1]

    yield start
    for program in programs:
        program.stop()


@pytest.fixture
def writers(writers_of: Callable[..., Writers]) -> Writers:
    """Return such a program."""
    return writers_of()


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the backup of a filled shop that is kept for the tests of later versions."""
    import lzma

    packed = Path(__file__).with_name("data") / "record-0001.tar.xz"
    backup = tmp_path_factory.mktemp("kept") / "lacwright-20270601T120000Z.tar"
    backup.write_bytes(lzma.decompress(packed.read_bytes()))
    return backup


@pytest.fixture(scope="session")
def filled_once(kept: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of that shop."""
    from lacwright.shop.restore import restore

    home = Home(tmp_path_factory.mktemp("filled"))
    restore(home, kept)
    return home.folder


@pytest.fixture
def filled(filled_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Home]:
    """Return the home of such a shop that nobody else uses; it is open."""
    folder = tmp_path / "filled"
    shutil.copytree(filled_once, folder)
    monkeypatch.setenv("LACWRIGHT_HOME", str(folder))
    yield open_record(find_home(folder))
    close_record()


DEMO_DAY, DEMO_SEED = "2026-07-05", "3"
"""A Sunday in summer, and not the seed that is usual."""


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """Return the folder of the invented shop and the answer of its command; made once for all."""
    import contextlib
    import fcntl
    import io

    from lacwright.cli.main import run

    os.environ["TZ"] = "UTC"
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder, told = shared / "demo", shared / "demo.json"
    with open(shared / "demo.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not told.exists():
            out = io.StringIO()
            with contextlib.redirect_stdout(out):
                assert (
                    run(
                        [
                            "demo",
                            "--home",
                            str(folder),
                            "--now",
                            DEMO_DAY,
                            "--seed",
                            DEMO_SEED,
                            "--json",
                        ]
                    )
                    == 0
                )
            told.write_text(out.getvalue())
    return folder, json.loads(told.read_text())


@pytest.fixture
def demo_home(
    demo_once: tuple[Path, dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Home]:  # fmt: skip
    """Return the home of an invented shop of two years that nobody else uses; it is open."""
    folder = tmp_path / "demo"
    shutil.copytree(demo_once[0], folder)
    monkeypatch.setenv("LACWRIGHT_HOME", str(folder))
    yield open_record(find_home(folder))
    close_record()
