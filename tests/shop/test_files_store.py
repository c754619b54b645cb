"""Photos and papers: judged by content, stored once, whole before the record names them."""

import datetime as dt
import io
import os
import stat

import pytest

from lacwright.figures import Refusal
from lacwright.shop import files_store

JPEG = b"\xff\xd8\xff\xe0" + b"x" * 400
PNG = b"\x89PNG\r\n\x1a\n" + b"y" * 400
KINDS = {
    "image/jpeg": JPEG, "image/png": PNG,
    "image/webp": b"RIFF\x10\0\0\0WEBPVP8 " + b"z" * 40,
    "image/heic": b"\0\0\0\x18ftypheic" + b"z" * 40,
    "application/pdf": b"%PDF-1.7\n" + b"z" * 40,
    "text/plain": "Öl auf der Decke\n".encode(),
}  # fmt: skip


def files(home):
    return sorted(p.relative_to(home.files).as_posix() for p in home.files.rglob("*")
                  if p.is_file())  # fmt: skip


@pytest.mark.parametrize("media", KINDS)
def test_what_it_is_is_judged_by_its_content(home, media):
    staged = files_store.stage(home, io.BytesIO(KINDS[media]))
    assert staged.media == media
    place = files_store.keep(home, staged)
    assert place.read_bytes() == KINDS[media]
    # Two levels of folders, named by the content, read and written by the owner alone.
    assert files(home) == [f"{staged.sha256[:2]}/{staged.sha256[2:4]}/{staged.sha256}"]
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "content",
    [b"", b"\x7fELF\x02\x01\x01\0", b"MZ\x90\0\x03", b"text\0with a null", b"\xff\xfeU\0T\0",
     b"PK\x03\x04zip", b"half a letter \xc3"],
)  # fmt: skip
def test_all_else_is_refused_and_leaves_nothing(home, content):
    with pytest.raises(Refusal):
        files_store.stage(home, io.BytesIO(content))
    assert files(home) == []


def test_a_text_whose_letters_are_cut_between_two_reads_is_text(home, monkeypatch):
    monkeypatch.setattr(files_store, "CHUNK", 3)
    assert files_store.stage(home, io.BytesIO("aäöü".encode())).media == "text/plain"


def test_too_large_a_file_is_refused_and_leaves_nothing(home, monkeypatch):
    monkeypatch.setattr(files_store, "MOST_BYTES", 100)
    with pytest.raises(Refusal, match="larger than"):
        files_store.stage(home, io.BytesIO(JPEG))
    assert files(home) == []


def test_a_file_that_is_not_there(home, tmp_path):
    for path in (tmp_path / "none.jpg", tmp_path):
        with pytest.raises(Refusal):
            files_store.stage(home, path)


@pytest.fixture
def job(bench):
    """Return a bench with a job."""
    from lacwright.shop.services.jobs import start_job

    start_job(job="J-1", piece_name="box", areas_m2={"": 0.2}, entry=bench.at(1))
    return bench


def test_the_same_content_is_stored_once(job, shop, tmp_path):
    from lacwright.shop.models import File
    from lacwright.shop.services.attachments import attach

    one, other = tmp_path / "a.jpg", tmp_path / "b.jpeg"
    one.write_bytes(JPEG)
    other.write_bytes(JPEG)
    first = attach(to="job", name="J-1", source=one, words="the lid", entry=job.at(2))
    again = attach(to="piece", name="box", source=other, entry=job.at(3))
    assert (first.data["new_file"], again.data["new_file"]) == (True, False)
    assert File.objects.count() == 1
    assert len(files(shop)) == 1
    from lacwright.shop.models import Job
    from lacwright.shop.queries.jobs import show

    (told,) = show(Job.objects.get(key="J-1"), dt.UTC).as_json(dt.UTC)["files"]
    assert (told["name"], told["words"], told["media"]) == ("a.jpg", "the lid", "image/jpeg")
    assert os.path.isfile(told["path"])


def test_what_is_refused_or_tried_keeps_no_file(job, shop):
    from lacwright.shop.models import File
    from lacwright.shop.services.attachments import attach

    with pytest.raises(Refusal, match="no job 'J-2'"):
        attach(to="job", name="J-2", source=io.BytesIO(JPEG), entry=job.at(2))
    with pytest.raises(Refusal, match="nothing is attached to a 'shelf'"):
        attach(to="shelf", name="J-1", source=io.BytesIO(JPEG), entry=job.at(2))
    attach(to="job", name="J-1", source=io.BytesIO(JPEG), entry=job.at(2, dry_run=True))
    assert not File.objects.exists()
    assert files(shop) == []


def test_the_file_is_in_its_place_before_the_record_names_it(job, shop, monkeypatch):
    """A fault when the file is put in its place leaves the record as it was."""
    from lacwright.shop.models import Event, File
    from lacwright.shop.services.attachments import attach

    def full(*args, **kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files_store.os, "replace", full)
    with pytest.raises(Refusal, match="No space left"):
        attach(to="job", name="J-1", source=io.BytesIO(JPEG), entry=job.at(2))
    assert not File.objects.exists()
    assert not Event.objects.filter(kind="attach").exists()
    assert files(shop) == []


def test_a_name_with_folders_and_control_characters_is_tamed(job):
    from lacwright.shop.services.attachments import attach

    made = attach(to="job", name="J-1", source=io.BytesIO(JPEG),
                  file_name="../../etc/pass\x1b[31mwd.jpg", entry=job.at(2))  # fmt: skip
    assert made.data["name"] == "pass [31mwd.jpg"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_pipe_is_not_waited_for(home, tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(Refusal, match="no plain file"):
        files_store.stage(home, tmp_path / "pipe")
