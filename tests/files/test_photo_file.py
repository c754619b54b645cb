"""Photographs in and out, marks on them, words on pictures."""

import io
import os
import stat
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from lacwright.figures import Refusal
from lacwright.files import photo_file
from lacwright.files.photo_file import (
    check_out,
    decode,
    encode,
    image_of,
    read_photo,
    write_picture,
)
from lacwright.files.photo_marks import read_board, read_corners
from lacwright.files.photo_words import across

ORIENTATION, GPS, EXIF, SPACE = 0x0112, 0x8825, 0x8769, 0xA001


def quarters(width=40, height=20):
    """Return a picture with a colour in each quarter: red, green / blue, white."""
    code = np.zeros((height, width, 3), dtype=np.uint8)
    code[: height // 2, : width // 2] = [200, 40, 30]
    code[: height // 2, width // 2 :] = [40, 180, 60]
    code[height // 2 :, : width // 2] = [30, 60, 190]
    code[height // 2 :, width // 2 :] = [235, 235, 235]
    return code


def saved(image, kind="PNG", **how):
    out = io.BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


def opened(photo):
    p = photo.pixels
    return np.stack([p & 255, p >> 8 & 255, p >> 16], axis=-1)


def test_points_come_as_they_are():
    code = np.random.default_rng(0).integers(0, 256, (31, 17, 3)).astype(np.uint8)
    photo = decode(saved(Image.fromarray(code)), "a.png")
    assert (opened(photo) == code).all()
    assert (photo.kind, photo.width, photo.height, photo.notes) == ("PNG", 17, 31, ())
    assert photo.pixels.max() < 1 << 24
    assert (np.asarray(image_of(photo.pixels))[..., :3] == code).all()


@pytest.mark.parametrize(("said", "turned"), [
    (1, lambda c: c), (2, lambda c: c[:, ::-1]), (3, lambda c: c[::-1, ::-1]),
    (4, lambda c: c[::-1]), (5, lambda c: c.transpose(1, 0, 2)),
    (6, lambda c: np.rot90(c, -1)), (7, lambda c: c[::-1, ::-1].transpose(1, 0, 2)),
    (8, lambda c: np.rot90(c)),
])  # fmt: skip
def test_how_the_camera_was_held(said, turned):
    # Exif 2.3, tag Orientation: which side of the stored picture is up.
    code = quarters()
    exif = Image.Exif()
    exif[ORIENTATION] = said
    photo = decode(saved(Image.fromarray(code), exif=exif), "a.png")
    assert (opened(photo) == turned(code)).all()


def test_a_jpeg_is_read_to_within_its_own_loss():
    data = saved(Image.fromarray(quarters(64, 64)), "JPEG", quality=95, subsampling=0)
    inside = opened(decode(data, "a.jpg"))[4:28, 4:28]
    assert np.abs(inside.astype(int) - [200, 40, 30]).max() <= 4


def linear_profile():
    """Return an sRGB profile whose curve is a straight line: a known other space."""
    raw = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", raw[128:132])[0]
    tags = [struct.unpack(">4sII", raw[132 + 12 * n : 144 + 12 * n]) for n in range(count)]
    for name, offset, size in tags:
        if name in (b"rTRC", b"gTRC", b"bTRC"):
            assert size >= 12
            raw[offset : offset + 12] = struct.pack(">4sII", b"curv", 0, 0)
    return bytes(raw)


def test_the_colour_profile_is_honoured():
    # IEC 61966-2-1: linear 128/255 is sRGB 188.
    code = np.full((16, 16, 3), 128, dtype=np.uint8)
    photo = decode(saved(Image.fromarray(code), icc_profile=linear_profile()), "a.png")
    assert np.abs(opened(photo).astype(int) - 188).max() <= 1
    assert any("own profile" in note for note in photo.notes)
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    same = decode(saved(Image.fromarray(code), icc_profile=plain), "a.png")
    assert (opened(same) == 128).all()
    assert same.notes == ()
    odd = decode(saved(Image.fromarray(code), icc_profile=b"no profile at all"), "a.png")
    assert any("cannot be read" in note for note in odd.notes)


def test_a_camera_that_says_another_space_without_a_profile_is_told():
    exif = Image.Exif()
    exif.get_ifd(EXIF)[SPACE] = 65535
    photo = decode(saved(Image.fromarray(quarters(64, 64)), "JPEG", exif=exif), "a.jpg")
    assert any("brings no colour profile" in note for note in photo.notes)


def test_transparent_places_are_background():
    code = np.dstack([quarters(), np.full((20, 40), 255, dtype=np.uint8)])
    code[:, 30:, 3] = 0
    photo = decode(saved(Image.fromarray(code)), "a.png")
    assert photo.clear is not None
    assert photo.clear[:, 30:].all()
    assert not photo.clear[:, :30].any()
    assert (opened(photo)[:, 30:] == 255).all()
    # An opaque picture with a channel for it has no background.
    code[..., 3] = 255
    assert decode(saved(Image.fromarray(code)), "a.png").clear is None


def test_palette_and_16_bits():
    flat = Image.fromarray(quarters()).quantize(8)
    assert np.abs(opened(decode(saved(flat), "a.png")).astype(int) - quarters()).max() <= 2
    rows = b"".join(b"\0" + struct.pack(">48H", *([51400, 25700, 12850] * 16)) for _ in range(16))
    chunks = [(b"IHDR", struct.pack(">IIBBBBB", 16, 16, 16, 2, 0, 0, 0)),
              (b"IDAT", zlib.compress(rows)), (b"IEND", b"")]  # fmt: skip
    data = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )
    photo = decode(data, "deep.png")
    assert (opened(photo) == [200, 100, 50]).all()
    assert photo.notes == ("16 bits a colour are read as 8",)


@pytest.mark.parametrize(("data", "says"), [
    (b"", "is empty"),
    (b"GIF89a" + bytes(40), "no JPEG, PNG or HEIC"),
    (saved(Image.fromarray(quarters(64, 64)), "JPEG")[:500], "broken or cut off"),
    (b"\x89PNG\r\n\x1a\n" + bytes(60), "broken or cut off"),
    (saved(Image.new("L", (30, 30), 99)), "grey picture"),
    (saved(Image.new("I;16", (30, 30))), "grey picture"),
    (saved(Image.new("CMYK", (30, 30)), "JPEG"), "printing inks"),
    (saved(Image.new("RGB", (4, 900))), "4 x 900 points"),
    (b"\0\0\0\x18ftypheic" + bytes(200), "HEIC|broken"),
])  # fmt: skip
def test_what_is_no_photo_is_refused_in_a_sentence(data, says):
    with pytest.raises(Refusal, match=says) as told:
        decode(data, "x.jpg")
    assert str(told.value).startswith("x.jpg: ")
    assert "\n" not in str(told.value)


def test_a_small_file_that_unfolds_into_a_huge_picture_is_not_unfolded(monkeypatch):
    head = struct.pack(">IIBBBBB", 40_000, 40_000, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1000))
    data = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(part)) + name + part + struct.pack(">I", zlib.crc32(name + part))
        for name, part in ((b"IHDR", head), (b"IDAT", body), (b"IEND", b""))
    )
    monkeypatch.setattr(Image.Image, "tobytes", lambda *_: pytest.fail("it was unfolded"))
    with pytest.raises(Refusal, match="far too many points"):
        decode(data, "bomb.png")
    monkeypatch.setattr(photo_file, "MOST_PIXELS", 100)
    with pytest.raises(Refusal, match="20 x 20 points"):
        decode(saved(Image.new("RGB", (20, 20))), "a.png")


def test_too_many_bytes(tmp_path, monkeypatch):
    monkeypatch.setattr(photo_file, "MOST_BYTES", 100)
    (tmp_path / "a.png").write_bytes(saved(Image.fromarray(quarters())) + bytes(200))
    with pytest.raises(Refusal, match="larger than"):
        read_photo(tmp_path / "a.png")
    with pytest.raises(Refusal, match="cannot be read"):
        read_photo(tmp_path / "none.jpg")


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_within_makes_it_smaller_and_keeps_the_colours(kind):
    data = saved(Image.fromarray(quarters(800, 400)), kind)
    photo = decode(data, "a", within=20_000)
    assert 15_000 < photo.width * photo.height <= 20_000
    assert photo.width / photo.height == pytest.approx(2, rel=0.03)
    middle = opened(photo)[photo.height // 4, photo.width // 4]
    assert np.abs(middle.astype(int) - [200, 40, 30]).max() <= 4


def test_heic(tmp_path):
    heif = pytest.importorskip("pillow_heif", reason="pillow-heif is an extra")
    code = np.kron(quarters(8, 4), np.ones((16, 16, 1), dtype=np.uint8))
    heif.from_pillow(Image.fromarray(code)).save(tmp_path / "a.heic", quality=95)
    photo = read_photo(tmp_path / "a.heic")
    assert photo.kind == "HEIC"
    assert np.abs(opened(photo)[8, 8].astype(int) - [200, 40, 30]).max() <= 6
    grey = (tmp_path / "a.heic").read_bytes()[:300]
    with pytest.raises(Refusal, match="broken or cut off"):
        decode(grey, "cut.heic")


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_place_time_and_camera_are_not_written(kind):
    exif = Image.Exif()
    exif[0x010F], exif[0x0132] = "Maker", "2027:01:01 10:00:00"
    exif.get_ifd(GPS)[1] = "N"
    data = saved(Image.fromarray(quarters(64, 64)), "JPEG", exif=exif, comment=b"at home")
    made = encode(image_of(decode(data, "a.jpg").pixels), kind)
    assert b"Maker" not in made
    assert b"at home" not in made
    again = Image.open(io.BytesIO(made))
    again.load()
    assert dict(again.getexif()) == {}
    assert "sRGB" in ImageCms.getProfileDescription(
        ImageCms.ImageCmsProfile(io.BytesIO(again.info["icc_profile"]))
    )
    assert made == encode(image_of(decode(data, "a.jpg").pixels), kind)


def test_written_whole_or_not_at_all(tmp_path, monkeypatch):
    name = str(tmp_path / "out.png")
    image = image_of(decode(saved(Image.fromarray(quarters())), "a.png").pixels)
    write_picture(name, image)
    first = (tmp_path / "out.png").read_bytes()
    (tmp_path / "out.png").chmod(0o640)
    write_picture(name, image)
    assert stat.S_IMODE((tmp_path / "out.png").stat().st_mode) == 0o640

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal, match="No space left"):
        write_picture(name, across(image.resize((400, 300)), "another picture"))
    assert (tmp_path / "out.png").read_bytes() == first
    assert [p.name for p in tmp_path.iterdir()] == ["out.png"]


def test_where_it_is_written_is_looked_at_first(tmp_path):
    photo = tmp_path / "board.jpg"
    photo.write_bytes(saved(Image.fromarray(quarters()), "JPEG"))
    assert check_out(str(tmp_path / "a.JPEG")) == "JPEG"
    for name, says in ((tmp_path / "a.gif", "no JPEG or PNG"), (photo, "the photo itself"),
                       (tmp_path / "no" / "a.png", "folder")):  # fmt: skip
        with pytest.raises(Refusal, match=says):
            check_out(str(name), "-o", photo)


def test_marks(tmp_path):
    board = read_board("0.25, 0.5, 75 %, 1", 40, 20)
    assert board.sum() == 20 * 10
    assert board[10:, 10:30].all()
    askew = read_board("0.5,0 1,0.5 0.5,1 0,0.5", 200, 100)
    assert askew.mean() == pytest.approx(0.5, abs=0.01)
    white = np.zeros((10, 20), dtype=np.uint8)
    white[2:5, 3:9] = 255
    Image.fromarray(white).save(tmp_path / "mask.png")
    drawn = read_board(str(tmp_path / "mask.png"), 40, 20)
    assert drawn.sum() == 4 * 3 * 6
    assert drawn[4:10, 6:18].all()
    assert read_corners("10%,20% 0.9,.2 0.9,0.8", "--card").tolist() == [
        [0.1, 0.2], [0.9, 0.2], [0.9, 0.8],
    ]  # fmt: skip
    for text, says in (
        ("0.5,0.1,0.4,0.9", "holds nothing"), ("0,0,2,1", "outside the photo"),
        ("0,0 1,1", "three corners"), ("left half", "marks nothing"),
        ("none.png", "cannot be read"),
        ("0.1,0.1,x", "no corners"),
    ):  # fmt: skip
        with pytest.raises(Refusal, match=says):
            read_board(text, 40, 20)
    with pytest.raises(Refusal, match="of one shape"):
        read_board(str(tmp_path / "mask.png"), 30, 30)


def test_words_lie_across_the_lower_part_and_nowhere_else():
    plain = Image.new("RGB", (600, 400), (200, 160, 120))
    made = np.asarray(across(plain, "A guess: amber by its name alone, 4 coats"))
    assert (made[:200] == [200, 160, 120]).all()
    strip = np.flatnonzero((made != [200, 160, 120]).any(axis=(1, 2)))
    # Four tenths of the light of the board, rounded down.
    assert np.abs(made[strip[0]].astype(int) - [80, 64, 48]).max() <= 1
    assert 0.6 < strip[0] / 400 < 0.85
    white = (made[strip] > 230).all(axis=2).any(axis=0)  # letters
    assert np.flatnonzero(white)[[0, -1]].tolist() == pytest.approx([165, 435], abs=60)
    with pytest.raises(Refusal, match="too small"):
        across(Image.new("RGB", (60, 20)), "A guess: amber by its name alone, 4 coats")
