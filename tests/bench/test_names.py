"""Names that an address can hardly hold: dots, slashes, signs; each leads to its page."""

import html
import re
from typing import Any

import pytest

ODD = ["..", ".", "~..", "a/../b", "a/./b", "/x", "x/", "a//b", "50% + 2?", "tin #4", "a&b;c",
       "ä ö", "back\\slash", "%2e%2e", "'\"<b>", "...", "rim/.."]  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_an_odd_name_comes_through_an_address(name: str) -> None:
    from lacwright.bench.addresses.names import Name

    there = Name().to_url(name)
    assert Name().to_python(there) == name
    # What a browser would take for a step in a folder.
    assert not {"..", "."} & set(there.split("/"))


@pytest.mark.parametrize("name", ODD)
def test_every_page_of_an_odd_name_is_found_from_its_list(client: Any, name: str) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.jobs import start_job
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.services.people import add_customer
    from lacwright.shop.writing import Entry

    add_lot(name=name, kind="flakes", grade="garnet", amount=grams(100), entry=Entry())
    add_customer(name=name, entry=Entry())
    start_job(job=name, piece_name=name, entry=Entry())
    for room in ("shelf", "settings/customers", "jobs", "pieces"):
        page = client.get(f"/{room}").content.decode()
        links = [html.unescape(link) for link in re.findall(r'href="([^"]+)"', page)]
        mine = [link for link in links if link.startswith((f"/{room}/one/", f"/{room}/of/"))]
        assert len(set(mine)) == 1, (room, links)
        answer = client.get(mine[0])
        assert answer.status_code == 200, mine
        assert html.escape(name) in answer.content.decode()


@pytest.mark.parametrize("path", ["/jars/one/nobody", "/jars/one/../..", "/jobs/one/a%2Fb",
                                  "/jars/one/", "/shelf/one/x/", "/pieces/one/%2e%2e"])  # fmt: skip
def test_a_name_that_is_not_there_is_said_in_a_sentence(client: Any, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    told = re.search(r'<p class="lead">(.+?)</p>', answer.content.decode())
    assert told is not None
    assert len(html.unescape(told[1])) < 160


def test_an_odd_name_in_a_browser(serving: Any, empty_folder: Any, laptop: Any) -> None:
    url = serving(empty_folder).url
    laptop.goto(f"{url}/settings/customers/add")
    laptop.get_by_label("Name").fill("../rim/..")
    laptop.get_by_role("button", name="Keep").click()
    laptop.get_by_role("heading", name="../rim/..").wait_for()
    laptop.get_by_role("link", name="Change this").click()
    laptop.get_by_label("Note").fill("odd")
    laptop.get_by_role("button", name="Keep").click()
    laptop.get_by_text("odd", exact=True).wait_for()
