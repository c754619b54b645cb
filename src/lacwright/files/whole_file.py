"""A file that is read whole, up to a size."""

from __future__ import annotations

from pathlib import Path

from lacwright.figures import Refusal


def read_file(path: str | Path, *, most_bytes: int, mend: str) -> bytes:
    """Return what a file holds.

    Parameters
    ----------
    path : str or Path
        The file.
    most_bytes : int
        A larger one is refused.
    mend : str
        What to do with a larger one.

    Raises
    ------
    Refusal
        With the name of the file: for a folder, for one that cannot be read, or is too large.
    """
    file, name = Path(path), Path(path).name
    try:
        if file.is_dir():
            raise Refusal(name, "it is a folder", "name the file in it")
        with file.open("rb") as stream:
            data = stream.read(most_bytes + 1)
    except OSError as error:
        raise Refusal(name, f"it cannot be read ({error.strerror})", "check its name") from None
    if len(data) > most_bytes:
        raise Refusal(name, f"it is larger than {most_bytes / 1e6:g} MB", mend)
    return data
