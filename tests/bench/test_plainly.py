"""Sentences of the services in the words of a page: no options, no commands."""

import pytest

LABELS = {"in_spite": "Why, if the jar failed its test", "used_ml": "Or measured out"}


@pytest.mark.parametrize(
    ("told", "shown"),
    [
        ("say why with --in-spite", 'say why under "Why, if the jar failed its test"'),
        ("say --in-spite", 'fill in "Why, if the jar failed its test"'),
        ("give --amount too", "give amount too"),
        ("put that right first: 'record amend 3 --at ...'",
         "put that right first: movement 3 in the log"),
        ("put those right first with 'record amend'", "put those right first in the log"),
        ("take that back with 'lacwright record undo'", "take that back in the log"),
        ("if it was there, put that right: 'record amend 5' with --at or --set opening=yes.",
         "if it was there, put that right: movement 5 in the log."),
        ("it failed; let it pass ('jar test J7'); else pour it away",
         "it failed; let it pass; else pour it away"),
        ("write it down with 'jar change J7 --tare', or weigh it",
         "write it down, or weigh it"),
        ("change it there: 'lot change \"J7 resin\"'", "change it there: the pages"),
        # Names are names, whatever they look like.
        ("there is no jar 'jar 7' in the record", "there is no jar 'jar 7' in the record"),
        ("pad 'pad 1' is clean", "pad 'pad 1' is clean"),
    ],
)  # fmt: skip
def test_a_sentence_for_the_command_line_is_one_for_a_page(told: str, shown: str) -> None:
    from lacwright.bench.plainly import plain

    assert plain(told, LABELS) == shown
