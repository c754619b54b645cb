"""Every page in Chromium: nothing wider than 360 px, no serious finding of axe, light and dark.

One visit a page, since a visit is what costs time.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

SERIOUS = ("serious", "critical")
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
         "resultTypes": ["violations"]}  # fmt: skip
CONTRAST = {"runOnly": {"type": "rule", "values": ["color-contrast"]},
            "resultTypes": ["violations"]}  # fmt: skip
WIDER = """() => {
  const wide = document.documentElement.clientWidth;
  const out = [];
  if (document.documentElement.scrollWidth > wide) {
    for (const e of document.body.querySelectorAll("*")) {
      const box = e.getBoundingClientRect();
      if (box.right > wide + 1 && !e.closest(".scroll") && !e.closest(".skip"))
        out.push(`${e.tagName.toLowerCase()}.${e.className} reaches ${Math.round(box.right)}`);
    }
    out.push(`the page is ${document.documentElement.scrollWidth} px wide`);
  }
  return out;
}"""
SMALL = """() => {
  // 44 px: buttons, fields, links that stand alone (not within a sentence), headers of details.
  const out = [];
  for (const e of document.querySelectorAll("button, select, a.go, header a, " +
      "input:not([type=hidden]):not([type=checkbox]):not([type=radio]), textarea")) {
    const box = e.getBoundingClientRect();
    if (box.width && box.height && box.height < 43.5)
      out.push(`${e.tagName.toLowerCase()} "${(e.innerText || e.name || "").slice(0, 30)}" is ` +
               `${Math.round(box.height)} px high`);
  }
  return out;
}"""


@pytest.fixture(scope="module")
def axe() -> str:
    """Return axe-core, as it is run in a page."""
    from axe_playwright_python.base import AXE_SCRIPT

    return str(AXE_SCRIPT)


@pytest.fixture(scope="module")
def narrow(chromium: Any) -> Iterator[Any]:
    """Return a window of 360 px that all tests of this file share."""
    context = chromium.new_context(viewport={"width": 360, "height": 740})
    context.set_default_timeout(30_000)
    page = context.new_page()
    yield page
    context.close()


def test_every_page(address: str, looking: Any, helper: Any, narrow: Any, axe: str) -> None:
    addresses = helper("addresses")
    if address in addresses.WRITES_ONLY:
        pytest.skip("it answers no GET")
    for n, path in enumerate(addresses.examples(address)):
        url = looking.url + path
        answer = narrow.request.get(url, max_redirects=0)
        if not answer.headers["content-type"].startswith("text/html"):
            continue
        wrong = _wrong_with(narrow, axe, url, dark=n == 0)
        assert not wrong, path + ":\n" + "\n".join(wrong)


def _wrong_with(page: Any, axe: str, url: str, *, dark: bool) -> list[str]:
    told: list[str] = []
    strange: list[str] = []

    def listen(message: Any) -> None:
        if message.type in ("error", "warning") and "status of 422" not in message.text:
            told.append(f"the browser says: {message.text}")

    def look(request: Any) -> None:
        if not request.url.startswith((url.partition("/")[0] + "//127.0.0.1:", "data:")):
            strange.append(f"a request leaves the machine: {request.url}")

    page.on("console", listen)
    page.on("request", look)
    try:
        page.emulate_media(color_scheme="light")
        page.goto(url)
        wide = page.evaluate(WIDER)
        small = page.evaluate(SMALL)
        page.evaluate(axe)
        found = _findings(page, RULES, "light")
        if dark:
            page.emulate_media(color_scheme="dark")
            found += _findings(page, CONTRAST, "dark")
    finally:
        page.remove_listener("console", listen)
        page.remove_listener("request", look)
    return [*told, *strange, *wide, *small, *found]


def _findings(page: Any, rules: dict[str, Any], scheme: str) -> list[str]:
    out = page.evaluate("rules => axe.run(document, rules)", rules)
    return [
        f"axe, {scheme}: {v['id']} ({v['impact']}): {v['help']}: {node['html'][:160]} "
        + node["failureSummary"].replace("\n", " ")[:200]
        for v in out["violations"]
        if v["impact"] in SERIOUS
        for node in v["nodes"][:3]
    ]
