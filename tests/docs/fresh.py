"""A process without the record and its commands imported, which forks a child for every order.

It reads on its standard input a line of JSON for every order, [folder, shop, arguments], and
writes a line for each when its child has ended: [code, what it said on stderr]. Libraries and the
model, which knows of no record, are imported before, since that takes most of the time of a
command; nothing of Django is set up.
"""

import contextlib
import importlib
import io
import json
import os
import sys
from collections import deque

LIBRARIES = ("click", "numpy", "json", "csv", "decimal", "zoneinfo", "sqlite3", "platformdirs",
             "django.conf", "django.db.models", "django.db.backends.sqlite3.base",
             "django.db.migrations.executor", "django.urls", "django.core.serializers.json",
             "django.forms", "pydantic", "tomllib", "lacwright.plan")  # fmt: skip
ROOMS = ("lacwright.cli.", "lacwright.shop", "lacwright.files", "lacwright.bench")
AT_ONCE = 4


def carry_out(folder: str, shop: str, args: list[str]) -> tuple[int, str]:
    """Run a command in this process, which has not run one before."""
    os.chdir(folder)
    os.environ["LACWRIGHT_HOME"] = shop
    assert not [name for name in sys.modules if name.startswith(ROOMS)]
    from lacwright.cli.main import run

    said = io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
        code = run(args)
    return code, said.getvalue()


def main() -> None:
    """Carry out every order in a child of its own."""
    for name in LIBRARIES:
        importlib.import_module(name)
    running = deque[tuple[int, int]]()
    for line in sys.stdin:
        back, answer = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                told = carry_out(*json.loads(line))
            except BaseException as fault:
                told = (70, f"{type(fault).__name__}: {fault}")
            os.write(answer, json.dumps(told).encode())
            os._exit(0)
        os.close(answer)
        running.append((child, back))
        if len(running) == AT_ONCE:
            ended(*running.popleft())
    while running:
        ended(*running.popleft())


def ended(child: int, back: int) -> None:
    """Wait for a child and tell what it answered."""
    with os.fdopen(back) as pipe:
        print(pipe.read(), flush=True)
    os.waitpid(child, 0)


if __name__ == "__main__":
    main()
