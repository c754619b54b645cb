"""A program of the tests: children that write into a record as one that is meant to last does.

It is started once, imports everything, and forks a child for every line on its standard input, so
that a child costs no start of Python. A line is JSON: {"do": ..., "home": ..., "out": ...}. What a
child has to say goes into the file `out` at once, since it may be killed at any moment. On standard
output stand the number of every child and how it ended; with "wait": false others go on beside it,
and are waited for with the next that waits.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import sys
import time
from typing import Any

assert "LACWRIGHT_HASTY" not in os.environ, "these writes must reach the disk"

from lacwright.figures import Refusal  # noqa: E402
from lacwright.shop import close_record, find_home, open_record  # noqa: E402
from lacwright.shop.opening import ready  # noqa: E402

ready()

from lacwright.shop.ledger import grams, millilitres  # noqa: E402
from lacwright.shop.services.amend import amend  # noqa: E402
from lacwright.shop.services.jars import Take, mix_jar, pour, weigh_jar  # noqa: E402
from lacwright.shop.services.lots import add_lot, count_lot  # noqa: E402
from lacwright.shop.writing import Entry  # noqa: E402

INJECTED = 400
"""Which call of a kind (pwrite64, fdatasync, ...) strace lets fail, counted in every child."""


def say(*words: Any) -> None:
    os.write(1, (" ".join(map(str, words)) + "\n").encode())


def furnish(home: str, **_: Any) -> None:
    """Make a record with a jar that much can be poured from."""
    open_record(find_home(home))
    add_lot(name="flakes", kind="flakes", amount=grams(50_000), entry=Entry(at_us=1))
    add_lot(name="spirit", kind="alcohol", amount=millilitres(200_000), entry=Entry(at_us=1))
    takes = [Take("lot", "flakes", grams(20_000)), Take("lot", "spirit", millilitres(80_000))]
    mix_jar(jar="J", takes=takes, entry=Entry(at_us=2))
    close_record()


def write_on(home: str, seed: int, **_: Any) -> None:
    """Write all kinds of things until killed; every token is told once it is acknowledged."""
    open_record(find_home(home))
    say("open")
    r = random.Random(seed)
    for n in range(100_000):
        token = f"{seed}-{n}"
        write_one(r, token, n)
        say("ack", token)


def write_one(r: random.Random, token: str, n: int) -> None:
    entry = Entry(at_us=r.randrange(10, 1_000), token=token)
    kind = r.randrange(5)
    if kind == 0:
        add_lot(name=f"lot {token}", kind="flakes", amount=grams(r.randrange(1, 99)), entry=entry)
    elif kind == 1:
        count_lot(name="flakes", amount=grams(r.randrange(1, 40_000)), entry=entry)
    elif kind == 2:
        # Late, and corrected: much is worked out anew.
        weigh_jar(jar="J", net_g=float(r.randrange(100, 50_000)), entry=entry)
    elif kind == 3:
        amend(movement=1, changes={"amount": grams(r.randrange(40_000, 60_000))},
              entry=Entry(token=token))  # fmt: skip
    else:
        pour(jar="J", to_kind="waste", amount=millilitres(r.randrange(1, 50)), entry=entry)


def pour_often(home: str, name: str, times: int, **_: Any) -> None:
    """Pour 10 g from the jar again and again, each with its own token."""
    r = random.Random(name)
    open_record(find_home(home))
    say("open")
    for n in range(times):
        answer = pour(jar="J", to_kind="waste", amount=grams(10.0),
                      entry=Entry(at_us=100, token=f"{name}-{n}"))  # fmt: skip
        say("ack", answer.movement)
        time.sleep(r.uniform(0, 0.08))  # as a person does: the other gets in between
    say("done")


def fail_once(home: str, call: str, n: int, token: str, **_: Any) -> None:
    """Write once, and let the n-th call of a kind in it fail; strace does that."""
    open_record(find_home(home))
    scratch = os.open(f"{home}/scratch", os.O_RDWR | os.O_CREAT)
    for _n in range(INJECTED - n - BEFORE.get(call, 0)):
        burn(call, scratch, home)
    try:
        pour(jar="J", to_kind="waste", amount=grams(10.0), entry=Entry(at_us=100, token=token))
        say("ack")
    except Refusal as refusal:
        say("refused", refusal)


BEFORE = {"unlink": 1}
"""Calls that opening a record makes: it writes a file and takes it away, to see that it can."""


def burn(call: str, scratch: int, home: str) -> None:
    """Make a call that has no consequences."""
    if call == "pwrite64":
        os.pwrite(scratch, b"x", 0)
    elif call == "fdatasync":
        os.fdatasync(scratch)
    elif call == "unlink":
        with contextlib.suppress(FileNotFoundError):
            os.unlink(f"{home}/is-not-there")


DO = {"furnish": furnish, "write_on": write_on, "pour_often": pour_often, "fail_once": fail_once}


def main() -> None:
    say("ready")
    children: list[int] = []
    for line in sys.stdin:
        order = json.loads(line)
        child = os.fork()
        if child == 0:
            code = 70
            try:
                out = os.open(order["out"], os.O_WRONLY | os.O_APPEND | os.O_CREAT)
                os.dup2(out, 1)
                DO[order["do"]](**order)
                code = 0
            finally:
                os._exit(code)
        say("child", child)
        children.append(child)
        if order.get("wait", True):
            while children:
                say("ended", os.waitpid(children.pop(0), 0)[1])


main()
