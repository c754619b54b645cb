"""The pages of a big shop and of one a tenth of it: alone, and with eight clients at once.

    .venv/bin/python benchmarks/pages.py [--small] [--pause SECONDS] [--only WORD]

Every address is asked for by one client alone (median of five); of the big shop also by eight, in
an order of their own, each looking at a page for a moment before the next; --pause 0 lets them ask
without rest, which measures the queue rather than the page. Growth is that of the page alone. With
--small a hundredth of the shop, two clients and no rest, so that it does not rot. No test asserts
a time; the goals are printed beside the figures.
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
ROUNDS, ALONE = 3, 5
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
    share, clients, rounds, alone, pause = (
        (0.01, 2, 1, 0, 0.0) if told.small else (1.0, CLIENTS, ROUNDS, ALONE, told.pause)
    )
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ.pop("LACWRIGHT_HASTY", None)
    os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.bench.settings"
    times: list[Times] = []
    with tempfile.TemporaryDirectory() as folder:
        for name, size in (("tenth", share / 10), ("whole", share)):
            home = Path(folder) / name
            pages = {k: url for k, url in furnish(home, size).items() if told.only in url}
            with served(home) as (address, seconds):
                print(f"{name}: server answers after {seconds:.2f} s"
                      f"        goal below {GOAL_START_S:g} s")  # fmt: skip
                first = ask_all(address, pages, rounds=1, clients=1, pause=0)  # read once and kept
                times.append(ask_all(address, pages, alone, clients=1, pause=0) or first)
                if name == "whole":
                    print(f"first page with style and script: {weight(address):,} bytes"
                          f"        goal below {GOAL_WEIGHT:,}", flush=True)  # fmt: skip
                    times.append(ask_all(address, pages, rounds, clients, pause))
    show(pages, clients, *times)


def furnish(folder: Path, share: float) -> dict[str, str]:
    """Fill a shop of this size, ending yesterday, and return the addresses to ask for.

    Of what has a number of its own in each shop the names are the same, not the addresses.
    """
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
    found = {f"{name} {n}": url for name in addresses.names() if name not in addresses.WRITES_ONLY
             for n, url in enumerate(addresses.examples(name))}  # fmt: skip
    close_record()
    # What there is of in both shops, with much behind it in the larger one.
    shared = "J20" if jars >= 40 else "J0"
    heavy = [f"/jars/one/{shared}", f"/jars/recall/{shared}", "/shelf/one/F0", "/shelf/went/F0",
             "/shelf/recall/F0", "/jobs/one/T1", "/pieces/one/W1", f"/log?q={shared}",
             "/log?kind=coat", "/search?q=J2", "/search?q=nothing+like+it"]  # fmt: skip
    return {**found, **{url: url for url in heavy if url not in found.values()}}


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


Times = dict[str, list[float]]


def ask_all(
    address: tuple[str, int], pages: dict[str, str], rounds: int, clients: int, pause: float
) -> Times:  # fmt: skip
    """Return the times [ms] of every page by its name, asked for by so many clients at once."""
    took: dict[str, list[float]] = defaultdict(list)
    wrong: list[str] = []

    def client(number: int) -> None:
        order = random.Random(number)
        connection = HTTPConnection(*address, timeout=120)
        for _ in range(rounds):
            for name, page in order.sample(sorted(pages.items()), len(pages)):
                begin = time.perf_counter()
                connection.request("GET", page)
                answer = connection.getresponse()
                answer.read()
                took[name].append(1000 * (time.perf_counter() - begin))
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


def show(pages: dict[str, str], clients: int, tenth: Times, whole: Times, busy: Times) -> None:
    """Print the times of every page in both shops, the slowest first."""
    print(f"\n[ms]{'':<64}{'alone':>16}{f'{clients} clients':>12}")
    print(f"{'':<68}{'tenth':>8}{'whole':>8}{'p95':>12}   grows")
    over = grown = 0
    for name in sorted(pages, key=lambda name: -p95(busy[name])):
        small, big = (statistics.median(t[name]) for t in (tenth, whole))
        ratio, late, marks = big / small, p95(busy[name]), ""
        if late > GOAL_MS:
            over, marks = over + 1, f"{marks} over {GOAL_MS} ms"
        if ratio > GOAL_GROWTH and big > FINE_MS:
            grown, marks = grown + 1, f"{marks} more than {GOAL_GROWTH:g} x"
        print(f"{pages[name][:67]:<68}{small:>8.0f}{big:>8.0f}{late:>12.0f}{ratio:>8.1f}{marks}")
    print(f"\n{len(pages)} addresses; {over} over {GOAL_MS} ms with {clients} clients, "
          f"{grown} that grow more than {GOAL_GROWTH:g} times; goal none")  # fmt: skip


def p95(times: list[float]) -> float:
    """Return the time that 95 of 100 answers keep to."""
    return sorted(times)[max(0, -(-len(times) * 95 // 100) - 1)]


if __name__ == "__main__":
    main()
