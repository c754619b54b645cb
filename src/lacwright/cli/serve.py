"""`lacwright serve`: the pages of the shop, in the browser of this machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lacwright.cli.show import emit, json_option

if TYPE_CHECKING:
    from lacwright.shop import Home


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=8080, show_default=True,
              help="0: any that is free.")  # fmt: skip
@click.option("--home", metavar="FOLDER", help="Folder of the shop (or LACWRIGHT_HOME).")
@click.option("--open", "show", is_flag=True, help="Open the browser as well.")
@json_option
def serve(port: int, home: str | None, show: bool, as_json: bool) -> None:
    """Serve the pages of the shop on this machine, until Ctrl-C.

    Nobody else on the network can reach them, and nothing is fetched from elsewhere.
    """
    from lacwright.shop import find_home

    serve_pages(find_home(home), port=port, show=show, as_json=as_json)


def of_pages() -> None:
    """Have Django made ready for the pages, by whoever in this process is the first to ask."""
    import os

    os.environ["DJANGO_SETTINGS_MODULE"] = "lacwright.bench.settings"


def serve_pages(home: Home, *, port: int, show: bool = False, as_json: bool = False) -> None:
    """Serve a shop until it is stopped, and say where."""
    import sys

    from lacwright.bench.serve import serve as serve_

    def ready(address: str) -> None:
        emit(schema="lacwright.serve/1", keys={"address": address, "home": str(home.folder)},
             lines=[f"Open {address} in a browser on this machine; Ctrl-C stops it.",
                    f"The record is in {home.folder}."], as_json=as_json)  # fmt: skip
        sys.stdout.flush()
        if show:
            import webbrowser

            webbrowser.open(address)

    serve_(home, port=port, ready=ready)
