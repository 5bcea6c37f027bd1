"""What is kept of a picture: what it shows, and nothing of what the camera wrote beside it."""

from __future__ import annotations

import hashlib

import pytest
from PIL import Image

from enclosures.actions.entries import Refused
from enclosures.actions.photo_images import MAX_BYTES, picture_from, thumbnail_of, what_is_wrong_with
from tests.pictures import GPS, bomb, half_and_half, jpeg, opened, saved


def test_place_device_and_comment_are_gone() -> None:
    """The picture sent has them (GPSInfo is tag 0x8825 of Exif 2.3); the one kept has not a byte of them."""
    sent = jpeg(with_place=True)
    before = opened(sent).getexif()
    assert before.get_ifd(GPS)[2] == (48.0, 51.0, 24.0)
    assert before[0x010F] == "Camera"
    kept = picture_from(sent).data
    after = opened(kept)
    assert len(after.getexif()) == 0
    assert after.getexif().get_ifd(GPS) == {}
    assert not {"exif", "comment", "xmp", "icc_profile"} & set(after.info)
    for word in (b"Exif", b"Camera", b"taken at home"):
        assert word in sent
        assert word not in kept


# Exif 2.3, tag 0x0112: 1 as stored; 3 turned by 180; 6 to be turned clockwise by 90; 8 counter-clockwise.
@pytest.mark.parametrize(
    ("orientation", "size", "left", "top"),
    [(1, (640, 480), "red", ""), (3, (640, 480), "blue", ""), (6, (480, 640), "", "red"), (8, (480, 640), "", "blue")],
)
def test_a_picture_is_kept_as_the_camera_was_held(orientation: int, size: tuple[int, int], left: str, top: str) -> None:
    picture = picture_from(jpeg(orientation=orientation))
    kept = opened(picture.data)
    assert kept.size == (picture.width_px, picture.height_px) == size
    r, _, b = kept.getpixel((20, 20))
    assert ("red" if r > b else "blue") == (left or top)


def test_a_large_picture_is_made_smaller_and_a_small_one_left_at_its_size() -> None:
    large = picture_from(jpeg(half_and_half(4000, 3000)))
    assert (large.width_px, large.height_px) == (2048, 1536)
    assert (picture_from(jpeg()).width_px, picture_from(jpeg()).height_px) == (640, 480)
    assert max(opened(thumbnail_of(large.data)).size) == 320


def test_png_and_webp_become_jpeg_and_what_is_see_through_white() -> None:
    clear = Image.new("RGBA", (50, 40), (0, 0, 0, 0))
    for kind in ("PNG", "WEBP"):
        kept = opened(picture_from(saved(clear, kind)).data)
        assert kept.format == "JPEG"
        assert min(kept.getpixel((10, 10))) > 250


@pytest.mark.parametrize("mode", ["L", "P", "CMYK", "1", "I;16"])
def test_pictures_in_other_colours_are_kept_too(mode: str) -> None:
    image = Image.new(mode, (30, 20))
    kind = "JPEG" if mode == "CMYK" else "PNG"
    assert picture_from(saved(image, kind)).width_px == 30


def test_the_name_of_a_picture_is_the_digest_of_what_is_kept_and_the_same_each_time() -> None:
    once, again = picture_from(jpeg()), picture_from(jpeg(with_place=True))
    assert once.digest == hashlib.sha256(once.data).hexdigest()
    assert once == again, "what differs is only what was left out"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"This is a note, not a photo.\n" * 50, "not a photo in JPEG, PNG or WebP"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "not a photo"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "HEIC"),
        (b"\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00mif1heic", "HEIC"),
        (b"\xff\xd8\xff" + b"\x00" * (MAX_BYTES + 1), "15 MB"),
        (jpeg()[:400], "damaged"),
        (jpeg()[:-5000], "damaged"),
    ],
    ids=["empty", "text", "svg", "heic", "mif1", "large", "head only", "cut short"],
)
def test_what_is_no_photo_is_refused_with_a_sentence(data: bytes, words: str) -> None:
    with pytest.raises(Refused, match=words) as refused:
        picture_from(data)
    assert list(refused.value.errors) == ["photo"]


def test_heic_is_refused_with_the_way_to_set_the_camera() -> None:
    with pytest.raises(Refused, match="Most Compatible"):
        picture_from(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "ICO"])
def test_kinds_of_picture_nobody_s_camera_makes_are_not_even_tried(kind: str) -> None:
    with pytest.raises(Refused):
        picture_from(saved(half_and_half(64, 64), kind))


def test_a_picture_that_would_fill_the_memory_is_refused_by_its_head_alone() -> None:
    small_file = bomb()
    assert len(small_file) < 10_000
    with pytest.raises(Refused, match="million pixels"):
        picture_from(small_file)
    with pytest.raises(Refused, match="million pixels"):
        picture_from(bomb(8000, 7000))  # below what Pillow itself would warn of


def test_a_file_out_of_a_package_must_be_what_its_row_says_and_carry_no_camera_data() -> None:
    kept = picture_from(jpeg()).data
    assert what_is_wrong_with(kept, width_px=640, height_px=480) == ""
    assert "640 × 480" in what_is_wrong_with(kept, width_px=10, height_px=480)
    assert "EXIF" in what_is_wrong_with(jpeg(with_place=True), width_px=640, height_px=480)
    assert "JPEG" in what_is_wrong_with(saved(half_and_half(), "PNG"), width_px=640, height_px=480)
    assert "not a photo" in what_is_wrong_with(b"<html>", width_px=640, height_px=480)
