"""Links lead somewhere, words promise nothing, and Python in the pages is right."""

import doctest
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
LINK = re.compile(r"(?<!!)\[[^\]]*\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ (.+?)\s*$", re.MULTILINE)

# Words that would assure somebody of something. "safety data sheet" is the name of a document.
ASSURANCE = re.compile(
    r"\b(safe|safely|safest|unsafe|harmless|risk[- ]free|no risk|non[- ]?toxic|foolproof"
    r"|guarantee[sd]?|guaranteed|no danger|not dangerous|nothing can happen|perfectly fine)\b",
    re.IGNORECASE,
)
ELSEWHERE = re.compile(r"(?<![\w.])(/work|/tmp|/home|/root)\b|\b(pypi\.org|localhost)\b|✅|✓|✔")


def prose(page: Path) -> str:
    """Return a page without its blocks of code."""
    return re.sub(r"^ *```.*?^ *```$", "", page.read_text(), flags=re.MULTILINE | re.DOTALL)


def anchors(page: Path) -> set[str]:
    """Return what can be linked to in a page, as GitHub names it."""
    text = prose(page)
    names = set(re.findall(r'<a id="([^"]+)"', text))
    for heading in HEADING.findall(text):
        plain = re.sub(r"[`*]|\[([^\]]*)\]\([^)]*\)", r"\1", heading).lower()
        names.add(re.sub(r"[^\w\- ]", "", plain).replace(" ", "-"))
    return names


def test_links_lead_somewhere(page: Path) -> None:
    lost = []
    for target in LINK.findall(prose(page)):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        if not file.exists() or (anchor and anchor not in anchors(file)):
            lost.append(target)
    assert lost == []


def test_headings_are_told_apart(page: Path) -> None:
    if page.name == "CHANGELOG.md":
        return
    headings = HEADING.findall(prose(page))
    assert len(set(headings)) == len(headings)


def test_nothing_is_an_assurance(page: Path) -> None:
    text = page.read_text()
    assert [m[0] for m in ASSURANCE.finditer(text)] == []


def test_no_place_of_one_machine(page: Path) -> None:
    assert [m[0] for m in ELSEWHERE.finditer(page.read_text())] == []


def test_python_in_the_page_is_right(page: Path) -> None:
    failed, _ = doctest.testfile(str(page), module_relative=False)
    assert failed == 0


def test_every_page_is_reached_from_the_readme() -> None:
    reached, to_read = set(), [ROOT / "README.md"]
    while to_read:
        page = to_read.pop()
        if page in reached or page.suffix != ".md":
            continue
        reached.add(page)
        for target in LINK.findall(prose(page)):
            file = (page.parent / target.partition("#")[0]).resolve()
            if file.is_dir():
                file /= "README.md"
            if not re.match(r"[a-z]+:", target) and file.is_file():
                to_read.append(file)
    pages = {*(ROOT / "docs").rglob("*.md"), *ROOT.glob("*.md")}
    assert {str(p.relative_to(ROOT)) for p in pages - reached} == set()


def test_the_readme_begins_with_the_job_and_the_two_commands() -> None:
    text = (ROOT / "README.md").read_text()
    first = text.split("\n\n")[1]
    assert "bare wood" in first
    assert "record" in first
    assert "not there yet" in first
    assert text.index("python3 run.py\n") < text.index("python3 run.py test\n")
    assert text.index("python3 run.py test\n") < text.index("```console")
