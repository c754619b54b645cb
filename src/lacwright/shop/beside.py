"""A record that is made beside its place and takes it once it is whole: refused, it leaves nothing.

For what makes a record out of something that may turn out to be no good, as an import does: no
empty record, no lock and no folder are left of it. Broken off by a power cut, a folder with a
hidden name may be left, but no record.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lacwright.figures import Refusal
from lacwright.shop import disk
from lacwright.shop import home as homes
from lacwright.shop.home import Home

KEPT = "no record was made"


@contextmanager
def made_beside(home: Home, doing: str) -> Iterator[Home]:
    """Yield a home in which a record can be made; it is moved to its place when all went well.

    Parameters
    ----------
    home : Home
        Where it is to be; there must be no record yet. What is made must be closed at the end.
    doing : str
        What makes it, for the refusals.

    Raises
    ------
    Refusal
        If there is a record already, or the rest of one; if nothing can be written there.
    """
    _refuse_taken(home)
    with disk.plainly("--home", KEPT):
        ground = next(path for path in (home.folder, *home.folder.parents) if path.exists())
        made = Home(Path(tempfile.mkdtemp(prefix=".lacwright-", dir=ground)))
    try:
        yield made
        with homes.alone(home, doing), disk.plainly("--home", KEPT):
            _refuse_taken(home)  # another program may have made one meanwhile
            disk.take_away(home.record)  # empty folders
            os.rename(made.record, home.record)
            for folder in (home.folder, *home.folder.parents):
                disk.sync_folder(folder)
                if folder == ground:
                    break
    finally:
        disk.take_away(made.folder)


def _refuse_taken(home: Home) -> None:
    homes.refuse_half_restored(home)
    if home.record.exists() and any(path.is_file() for path in home.record.rglob("*")):
        what = "there is one" if home.exists else "there is the rest of one"
        raise Refusal("record", f"{what} in {home.folder}", f"{KEPT}; name another folder with "
                      "--home, or move that one away")  # fmt: skip
