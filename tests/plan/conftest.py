"""What the tests of plans share: a plan from the text of a piece file."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lacwright.files.piece import read_piece
from lacwright.plan import Plan, make_plan

MONDAY = dt.date(2027, 3, 1)
DRAWS = 200


@pytest.fixture
def planned(tmp_path: Path) -> Callable[..., Plan]:
    """Return what makes the plan of a piece file, of a Monday."""

    def made(text: str, **options: Any) -> Plan:
        path = tmp_path / "piece.toml"
        path.write_text(text, encoding="utf-8")
        return make_plan(read_piece(path), **{"today": MONDAY, "n": DRAWS, **options})

    return made
