"""--plot: a file for a drawing, looked at before anything is computed."""

from __future__ import annotations

from pathlib import Path

from lacwright.figures import Refusal


def check_plot(name: str | None) -> None:
    """Refuse a file that is no SVG or lies nowhere; None is no wish for one."""
    if name is None:
        return
    file = Path(name)
    if file.suffix.lower() != ".svg":
        raise Refusal("--plot", f"'{name}' is no SVG", "write e.g. --plot drawing.svg")
    if not file.parent.is_dir():
        raise Refusal("--plot", f"there is no folder '{file.parent}'", "name one that is there")


def write_plot(name: str, svg: str) -> None:
    """Write a drawing into its file."""
    try:
        Path(name).write_text(svg, encoding="utf-8")
    except OSError as error:
        raise Refusal("--plot", f"'{name}' cannot be written ({error.strerror})",
                      "name another file") from None  # fmt: skip
