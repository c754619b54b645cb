"""The pages of a big shop and of one a tenth of it: alone, and with eight clients at once.

    .venv/bin/python benchmarks/pages.py [--small] [--pause SECONDS] [--only WORD]

Every address is asked for by one client alone (median of three), then by eight in an order of
their own, each looking at a page for a moment before the next; --pause 0 lets them ask without
rest, which measures the queue rather than the page. Growth is that of the page alone. With --small
a hundredth of the shop, so that it does not rot. No test asserts a time; the goals are printed
beside the figures.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.util
import os
import random
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

from record import COATS, JARS, JOBS

ROOT = Path(__file__).resolve().parent.parent
CLIENTS = 8
ROUNDS, ALONE = 2, 3
"""How often every client asks for every page; how often one does alone."""
GOAL_MS, GOAL_GROWTH, GOAL_START_S, GOAL_WEIGHT = 150, 2.0, 2.0, 150_000
FINE_MS = 15.0
"""Below this a ratio says nothing: it is the noise of the machine."""


def main() -> None:
    """Measure both shops and print a line for each page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--small", action="store_true", help="a hundredth, so that it does not rot")
    parser.add_argument("--pause", type=float, default=1.0, help="of a client between pages [s]")
    parser.add_argument("--only", default="", help="only addresses that hold this word")
    told = parser.parse_args()
    share = 0.01 if told.small else 1.0
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ.pop("LACWRIGHT_HASTY", None)
    os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.bench.settings"
    with tempfile.TemporaryDirectory() as folder:
        whole, tenth = Path(folder) / "whole", Path(folder) / "tenth"
        pages = [p for p in furnish(tenth, share / 10) if told.only in p]
        furnish(whole, share)
        alone, busy = {}, {}
        for home in (tenth, whole):
            with served(home) as (address, seconds):
                print(f"{home.name}: server answers after {seconds:.2f} s"
                      f"        goal below {GOAL_START_S:g} s")  # fmt: skip
                if home is whole:
                    print(f"first page with style and script: {weight(address):,} bytes"
                          f"        goal below {GOAL_WEIGHT:,}")  # fmt: skip
                ask_all(address, pages, rounds=1, clients=1, pause=0)  # what is read once and kept
                alone[home] = ask_all(address, pages, ALONE, clients=1, pause=0)
                busy[home] = ask_all(address, pages, ROUNDS, CLIENTS, told.pause)
    show(pages, (alone[tenth], busy[tenth]), (alone[whole], busy[whole]))


def furnish(folder: Path, share: float) -> list[str]:
    """Fill a shop of this size, ending yesterday, and return the addresses to ask for."""
    from lacwright.shop import clock, close_record, find_home, open_record

    home = open_record(find_home(folder))
    big = module("big_shop", ROOT / "benchmarks")
    filling = module("bench_tests_filling", ROOT / "tests" / "bench", "filling")
    addresses = module("addresses", ROOT / "tests" / "bench")
    # Names of their own beside those of the big shop.
    filling.GOOD, filling.BAD, filling.BLEND, filling.OLD = "G1", "G2", "G3 two/thirds", "G4"
    big.BEGIN = clock.now_us() - big.SPAN - clock.DAY
    jars, jobs = max(round(JARS * share), 45), max(round(JOBS * share), 4)
    begin = time.perf_counter()
    shop = big.fill(jars=jars, jobs=jobs, coats=max(round(COATS * share), 100))
    filling.fill(home)
    print(
        f"{folder.name}: {shop.words()}; loaded in {time.perf_counter() - begin:.0f} s", flush=True
    )
    found = [url for name in addresses.names() if name not in addresses.WRITES_ONLY
             for url in addresses.examples(name)]  # fmt: skip
    close_record()
    # What there is of in both shops, with much behind it in the larger one.
    shared = "J20" if jars >= 40 else "J0"
    heavy = [f"/jars/one/{shared}", f"/jars/recall/{shared}", "/shelf/one/F0", "/shelf/went/F0",
             "/shelf/recall/F0", "/jobs/one/T1", "/pieces/one/W1", f"/log?q={shared}",
             "/log?kind=coat", "/search?q=J2", "/search?q=nothing+like+it"]  # fmt: skip
    return sorted({*found, *heavy})


def module(name: str, folder: Path, file: str = "") -> Any:
    """Return a module that lies beside no package."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, folder / f"{file or name}.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[name] = made = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(made)
    return sys.modules[name]


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[tuple[str, int], float]]:
    """Serve a shop; yield host and port, and the seconds from the start to the first page."""
    log = folder.with_suffix(".log")
    begin = time.perf_counter()
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-c", "from lacwright.cli.main import main; main()",
             "serve", "--port", "0", "--home", str(folder)],
            stdout=out, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        while not (found := re.search(r"http://([\d.]+):(\d+)/", log.read_text())):
            assert process.poll() is None, log.read_text()
            time.sleep(0.01)
        address = (found[1], int(found[2]))
        client = HTTPConnection(*address, timeout=60)
        client.request("GET", "/settings")
        assert client.getresponse().read()
        yield address, time.perf_counter() - begin
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=30)
        told = log.read_text()
        if "Traceback" in told:
            print(told[-3000:])
        shutil.rmtree(folder, ignore_errors=True)


def weight(address: tuple[str, int]) -> int:
    """Return the bytes of the first page with everything it fetches."""
    client = HTTPConnection(*address, timeout=60)

    def get(path: str) -> bytes:
        client.request("GET", path)
        return client.getresponse().read()

    page = get("/")
    return len(page) + sum(
        len(get(p))
        for p in {p.decode() for p in re.findall(rb'(?:src|href)="(/static/[^"]+)"', page)}
    )


def ask_all(
    address: tuple[str, int], pages: list[str], rounds: int, clients: int, pause: float
) -> dict[str, list[float]]:  # fmt: skip
    """Return the times [ms] of every page, asked for by so many clients at once."""
    took: dict[str, list[float]] = defaultdict(list)
    wrong: list[str] = []

    def client(number: int) -> None:
        order = random.Random(number)
        connection = HTTPConnection(*address, timeout=120)
        for _ in range(rounds):
            for page in order.sample(pages, len(pages)):
                begin = time.perf_counter()
                connection.request("GET", page)
                answer = connection.getresponse()
                answer.read()
                took[page].append(1000 * (time.perf_counter() - begin))
                if answer.status not in (200, 302, 422):
                    wrong.append(f"{answer.status} {page}")
                time.sleep(order.uniform(0, 2 * pause))
        connection.close()

    threads = [threading.Thread(target=client, args=(n,)) for n in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for told in sorted(set(wrong)):
        print(f"not answered: {told}")
    return took


Times = dict[str, list[float]]


def show(pages: list[str], tenth: tuple[Times, Times], whole: tuple[Times, Times]) -> None:
    """Print the times of every page in both shops, the slowest first."""
    print(f"\n[ms]{'':<58}{'alone':>16}{'8 clients, p95':>20}")
    print(f"{'':<60}{'tenth':>8}{'whole':>8}{'tenth':>10}{'whole':>8}   grows")
    rows = sorted(((p95(whole[1][p]), p) for p in pages), reverse=True)
    over = grown = 0
    for big, page in rows:
        small_alone, big_alone = (statistics.median(t[0][page]) for t in (tenth, whole))
        ratio = big_alone / small_alone
        marks = ""
        if big > GOAL_MS:
            over, marks = over + 1, f"{marks} over {GOAL_MS} ms"
        if ratio > GOAL_GROWTH and big_alone > FINE_MS:
            grown, marks = grown + 1, f"{marks} more than {GOAL_GROWTH:g} x"
        print(f"{page[:59]:<60}{small_alone:>8.0f}{big_alone:>8.0f}{p95(tenth[1][page]):>10.0f}"
              f"{big:>8.0f}{ratio:>7.1f}{marks}")  # fmt: skip
    print(f"\n{len(rows)} addresses; {over} over {GOAL_MS} ms with {CLIENTS} clients, {grown} that "
          f"grow more than {GOAL_GROWTH:g} times")  # fmt: skip


def p95(times: list[float]) -> float:
    """Return the time that 95 of 100 answers keep to."""
    return sorted(times)[max(0, -(-len(times) * 95 // 100) - 1)]


if __name__ == "__main__":
    main()
