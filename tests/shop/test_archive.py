"""The whole shop as one open archive, and back, with nothing lost."""

from __future__ import annotations

import hashlib
import io
import json
import tarfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, open_record


@pytest.fixture
def archive(filled: Home, tmp_path: Path) -> Path:
    from lacwright.shop.archive import export

    return export(filled, tmp_path / "shop.tar").path


def members(path: Path) -> dict[str, bytes]:
    with tarfile.open(path) as tar:
        return {m.name: tar.extractfile(m).read() for m in tar.getmembers()}  # type: ignore[union-attr]


def rows(held: dict[str, bytes], name: str) -> list[Any]:
    (member,) = (m for m in held if m.endswith(f"-{name}.jsonl"))
    return [json.loads(line) for line in held[member].splitlines()]


def test_there_and_back_nothing_is_lost(filled: Home, tmp_path: Path, home: Home) -> None:
    from lacwright.shop.archive import export, import_archive
    from lacwright.shop.audit import audit
    from lacwright.shop.tables import content_hash

    first = export(filled, tmp_path / "one.tar")
    assert first.content == content_hash()
    files = {p.name: p.read_bytes() for p in filled.files.rglob("*") if p.is_file()}
    open_record(home)
    assert content_hash() != first.content
    done = import_archive(home, first.path)
    assert done.content == content_hash() == first.content
    assert audit(home).findings == ()
    assert {p.name: p.read_bytes() for p in home.files.rglob("*") if p.is_file()} == files
    second = export(home, tmp_path / "two.tar")
    assert second.content == first.content
    one, two = members(first.path), members(second.path)
    assert {n: b for n, b in one.items() if n != "manifest.json"} == {
        n: b for n, b in two.items() if n != "manifest.json"}  # fmt: skip
    # What is written afterwards goes on behind what was taken in.
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    add_lot(name="later", kind="flakes", amount=grams(1), entry=Entry())
    assert audit(home).findings == ()


def test_it_is_open_json_lines_in_order_with_headers_and_hashes(archive: Path) -> None:
    held = members(archive)
    tables = [name for name in held if name.startswith("tables/")]
    assert tables == [f"tables/{n:02}-{name}.jsonl" for n, name in enumerate(
        ("setting", "movement", "request", "place", "customer", "lot", "jar", "applicator",
         "piece", "job", "file", "line"), 1)]  # fmt: skip
    head, *lines = rows(held, "line")
    assert head == {
        "table": "line",
        "version": "0001_first",
        "columns": ["id", "movement_id", "about_id", "place_id", "lot_id", "ug"],
    }
    manifest = json.loads(held.pop("manifest.json"))
    assert manifest["rows"]["line"] == len(lines)
    assert manifest["members"] == {
        name: {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
        for name, data in held.items()
    }
    assert b"micrograms" in held["README.txt"]


def test_large_whole_numbers_stay_exact(filled: Home, tmp_path: Path, home: Home) -> None:
    from lacwright.shop.archive import export, import_archive
    from lacwright.shop.models import Movement
    from lacwright.shop.writing import Entry, write

    large = {"n": 2**53 + 1, "more": [2**62 + 1, -(2**53) - 1], "float": 0.1 + 0.2}

    def do(w: Any) -> dict[str, Any]:
        w.movement("note", facts=large)
        return {}

    number = write("note", {}, Entry(at_us=2**53 + 1, now_us=2**53 + 1), do).movement
    path = export(filled, tmp_path / "one.tar").path
    open_record(home)
    import_archive(home, path)
    row = Movement.objects.get(id=number)
    assert row.at_us == 2**53 + 1
    assert {key: row.body[key] for key in large} == large


def test_only_into_an_empty_shop(filled: Home, archive: Path) -> None:
    from lacwright.shop.archive import import_archive
    from lacwright.shop.tables import content_hash

    before = content_hash()
    with pytest.raises(Refusal, match="it is not empty"):
        import_archive(filled, archive)
    assert content_hash() == before


def test_a_dry_run_checks_all_and_takes_in_nothing(archive: Path, home: Home) -> None:
    from lacwright.shop.archive import import_archive
    from lacwright.shop.tables import content_hash

    open_record(home)
    before = content_hash()
    assert import_archive(home, archive, dry_run=True).dry_run
    assert content_hash() == before
    assert not any(path.is_file() for path in home.files.rglob("*"))


def test_an_archive_is_never_written_over(filled: Home, archive: Path) -> None:
    from lacwright.shop.archive import export

    was = archive.read_bytes()
    with pytest.raises(Refusal, match="it is there already"):
        export(filled, archive)
    assert archive.read_bytes() == was
    with pytest.raises(Refusal, match="no archive was made"):
        export(filled, archive / "inside.tar")


def test_lost_files_are_named_and_stay_named(filled: Home, tmp_path: Path, home: Home) -> None:
    from lacwright.shop.archive import export, import_archive
    from lacwright.shop.audit import audit

    (file,) = (path for path in filled.files.rglob("*") if path.is_file())
    file.unlink()
    done = export(filled, tmp_path / "one.tar")
    assert (done.files, done.missing_files) == (0, (file.name,))
    open_record(home)
    assert import_archive(home, done.path).missing_files == (file.name,)
    assert [finding.code for finding in audit(home).findings] == ["file-missing"]


# --- an archive is not trusted --------------------------------------------------------------------


def change(held: dict[str, bytes], name: str, do: Callable[[list[Any]], None]) -> None:
    """Change the rows of a table and its hash in the manifest: as somebody would who knows how."""
    (member,) = (m for m in held if m.endswith(f"-{name}.jsonl"))
    lines = [json.loads(line) for line in held[member].splitlines()]
    do(lines)
    held[member] = "".join(json.dumps(line) + "\n" for line in lines).encode()
    fit(held)


def fit(held: dict[str, bytes]) -> None:
    manifest = json.loads(held["manifest.json"])
    manifest["members"] = {n: {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
                           for n, data in held.items() if n != "manifest.json"}  # fmt: skip
    held["manifest.json"] = json.dumps(manifest).encode()


def cell(name: str, row: int, column: str, value: Any) -> Callable[[dict[str, bytes]], None]:
    def do(lines: list[Any]) -> None:
        lines[row][lines[0]["columns"].index(column)] = value

    return lambda held: change(held, name, do)


def drop(name: str, row: int) -> Callable[[dict[str, bytes]], None]:
    return lambda held: change(held, name, lambda lines: lines.pop(row))


def head(name: str, **told: Any) -> Callable[[dict[str, bytes]], None]:
    return lambda held: change(held, name, lambda lines: lines[0].update(told))


def text(held: dict[str, bytes], name: str, data: bytes) -> None:
    (member,) = (m for m in held if m.endswith(f"-{name}.jsonl"))
    held[member] = held[member] + data
    fit(held)


@pytest.mark.parametrize(
    ("how", "says"),
    [
        (lambda h: h.update({"tables/06-lot.jsonl": h["tables/06-lot.jsonl"][:-9]}),
         "another size"),
        (lambda h: h.update({"tables/06-lot.jsonl": h["tables/06-lot.jsonl"].replace(b"A", b"B")}),
         "its hash differs"),
        (cell("line", 2, "ug", 1.5), "tables/12-line.jsonl, line 3: ug: 1.5 is no whole number"),
        (cell("line", 2, "ug", 2**63), "is no whole number"),
        (cell("line", 2, "ug", True), "is no whole number"),
        (cell("line", 2, "ug", None), "nothing is given"),
        (cell("line", 2, "place_id", 9999), "place_id: there is no place 9999"),
        (cell("line", 2, "lot_id", "1"), "there is no lot '1'"),
        (cell("line", 2, "id", 1), "id 1 is there twice"),
        (cell("movement", 3, "token", "x" * 99), "it has 99 characters, 80 are the most"),
        (cell("movement", 3, "kind", 7), "7 is no text"),
        (cell("movement", 3, "author", "a\0b"), "a character that no text has"),
        (cell("movement", 3, "root_id", 99), "there is no movement 99"),
        (cell("movement", 3, "body", {"refs": {}}), "its body has no moves"),
        (cell("movement", 3, "body", []), "its body has no refs"),
        (cell("movement", 3, "author", "C"), "what was read is not what was written"),
        (cell("lot", 3, "price", "1e5"), "is no price"),
        (cell("lot", 3, "bought", "2027-02-30"), "day is out of range"),
        (cell("lot", 3, "density_g_ml", "heavy"), "is no number"),
        (cell("lot", 3, "said", "yes"), "is neither true nor false"),
        (drop("line", 5), "what was read is not what was written"),
        (head("line", columns=["id", "ug"]), "it lacks the columns"),
        (head("line", columns=["id", "movement_id", "about_id", "place_id", "lot_id", "mg"]),
         "its columns are not those of line (mg)"),
        (head("line", table="lot"), "it is not the table that it should be"),
        (head("line", columns=7), "its columns are not said"),
        (head("line", columns=["id", "ug", "ug"]), "its columns are not those of line"),
        (head("line", version=None), "its version is not said"),
        (head("line", version="0777_later"), "by a newer lacwright (0777_later)"),
        (lambda h: text(h, "line", b"[1, 2\n"), "delimiter"),
        (lambda h: text(h, "line", b"[1, 2]\n"), "not as many values"),
        (lambda h: text(h, "line", b"[NaN]\n"), "NaN is no number"),
        (lambda h: text(h, "line", b"[" * 50_000 + b"\n"), "line"),
        (lambda h: text(h, "movement", b'["\\ud800"]\n'), "surrogates"),
        (lambda h: (h.pop("tables/12-line.jsonl"), fit(h)), "tables are missing or unknown (line)"),
        (cell("lot", 3, "key", "nobody"), "its movements name what it does not hold"),
        (lambda h: h.update({"manifest.json": json.dumps(
            json.loads(h["manifest.json"]) | {"rows": {}}).encode()}),
         "the list at its end is not whole"),
        (lambda h: h.update({"manifest.json": h["manifest.json"].replace(
            b'"0001_first"', b'"0001_first", "0777_later"')}), "by a newer lacwright (0777_later)"),
    ],
)  # fmt: skip
def test_what_is_not_right_is_refused_and_nothing_is_taken_in(
    archive: Path, home: Home, how: Callable[[dict[str, bytes]], Any], says: str
) -> None:
    from lacwright.shop.archive import import_archive
    from lacwright.shop.tables import content_hash

    held = members(archive)
    how(held)
    other = write(archive.with_name("other.tar"), held)
    open_record(home)
    before = content_hash()
    with pytest.raises(Refusal) as refused:
        import_archive(home, other)
    assert says in str(refused.value)
    assert content_hash() == before


def test_strange_columns_are_refused_before_anything_is_written(
    archive: Path, home: Home, django_queries: Any
) -> None:
    """Of the last table: what comes before it is not taken in first."""
    from lacwright.shop.archive import import_archive

    held = members(archive)
    head("line", columns=["id", "movement_id", "about_id", "place_id", "lot_id", "mg"])(held)
    other = write(archive.with_name("other.tar"), held)
    open_record(home)
    with django_queries() as asked, pytest.raises(Refusal) as refused:
        import_archive(home, other)
    assert str(refused.value) == (
        "other.tar, tables/12-line.jsonl: its columns are not those of line (mg); use an archive "
        "that this version wrote, or an earlier one."
    )
    assert [query["sql"] for query in asked] == []
    assert not any(path.is_file() for path in home.files.rglob("*"))


def test_a_refused_import_leaves_no_files(
    archive: Path, home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lacwright.shop import disk
    from lacwright.shop.archive import import_archive

    held = members(archive)
    cell("movement", 3, "author", "C")(held)
    open_record(home)
    with pytest.raises(Refusal, match="not what was written"):
        import_archive(home, write(archive.with_name("other.tar"), held))
    assert list(home.files.iterdir()) == []

    def full(stream: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk, "sync", full)
    with pytest.raises(Refusal, match="the disk is full"):
        import_archive(home, archive)
    assert not any(path.is_file() for path in home.files.rglob("*"))


def test_a_full_shop_keeps_its_own_file_when_an_import_is_refused(
    filled: Home, archive: Path
) -> None:
    from lacwright.shop.archive import import_archive
    from lacwright.shop.audit import audit

    with pytest.raises(Refusal, match="it is not empty"):
        import_archive(filled, archive)
    assert audit(filled).findings == ()


def test_one_that_somebody_made_to_fit_does_not_pass_the_audit(archive: Path, home: Home) -> None:
    """Hashes and content agree, but what was observed was changed: its seal tells."""
    from lacwright.shop.archive import import_archive
    from lacwright.shop.seals import canonical

    held = members(archive)
    cell("movement", 3, "author", "C")(held)
    whole = hashlib.sha256()
    for name in sorted(n for n in held if n.startswith("tables/")):
        first, *lines = (json.loads(line) for line in held[name].splitlines())
        for told in ([first["table"], first["columns"]], *lines):
            whole.update(f"{canonical(told)}\n".encode())
    manifest = json.loads(held["manifest.json"])
    held["manifest.json"] = json.dumps(manifest | {"content": whole.hexdigest()}).encode()
    other = write(archive.with_name("other.tar"), held)
    open_record(home)
    with pytest.raises(Refusal, match="does not pass the audit: movements were changed"):
        import_archive(home, other)


def test_a_backup_is_no_archive(kept: Path, shop: Home) -> None:
    from lacwright.shop.archive import import_archive

    with pytest.raises(Refusal, match=r"nothing that belongs in it|no archive"):
        import_archive(shop, kept)
    close_record()


def write(path: Path, held: dict[str, bytes]) -> Path:
    with tarfile.open(path, "w") as tar:
        for name, data in held.items():
            told = tarfile.TarInfo(name)
            told.size = len(data)
            tar.addfile(told, io.BytesIO(data))
    return path
