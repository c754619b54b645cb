"""lacwright names."""

import json

import pytest

from lacwright.cli.main import run
from lacwright.trade import table

LISTS = ("alcohols", "woods", "grades", "methods", "abrasives")


@pytest.mark.parametrize("what", LISTS)
def test_every_name_with_its_line_mark_and_source(capsys, what):
    assert run(["names", what, "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["schema"] == "lacwright.names/1"
    assert out["what"] == what
    assert [e["key"] for e in out["names"]] == [row.key for row in table(what)]
    for entry in out["names"]:
        assert entry["line"].strip()
        assert entry["mark"]
        assert entry["source"]
        for name in (entry["key"], *entry["also"]):
            assert table(what).find(name, "test").key == entry["key"]


@pytest.mark.parametrize("what", LISTS)
def test_text_begins_with_a_sentence(capsys, what):
    assert run(["names", what]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == (
        f"These {len(table(what).rows)} {what} can be written; other names in brackets."
    )
    assert len(lines) == 1 + len(table(what).rows)


def test_an_unknown_list_names_the_nearest(capsys):
    assert run(["names", "wood"]) == 2
    assert capsys.readouterr().err.strip() == (
        "names: there is no list of 'wood'; did you mean 'woods'."
    )
