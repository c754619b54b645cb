"""Files of the record against what refers to them."""

from __future__ import annotations

from lacwright.shop import disk
from lacwright.shop.files_store import path_of
from lacwright.shop.findings import Collector
from lacwright.shop.home import Home
from lacwright.shop.models import File


def check_files(
    home: Home, found: Collector, progress: disk.Progress
) -> tuple[tuple[str, ...], int]:  # fmt: skip
    """Hash every file that is referred to; return what is left over, and how many were looked at.

    Parameters
    ----------
    home : Home
        The shop.
    found : Collector
        Gets what is missing or damaged.
    progress : callable
        Told how far it is.
    """
    wanted = dict(File.objects.order_by("sha256").values_list("sha256", "size"))
    done, whole = 0, sum(wanted.values())
    for sha, size in wanted.items():
        path = path_of(home, sha)
        if not path.is_file():
            found.add("file-missing", sha)
        elif path.stat().st_size != size or disk.hash_of(path) != sha:
            found.add("file-damaged", sha)
        done += size
        progress("files", done, whole)
    known = {path_of(home, sha) for sha in wanted}
    left = [str(path.relative_to(home.record)) for path in sorted(home.files.rglob("*"))
            if path.is_file() and path not in known]  # fmt: skip
    return tuple(left), len(wanted)
