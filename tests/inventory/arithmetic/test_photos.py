"""A photo as it is kept: what comes along, what does not, and what is refused."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image, ImageCms

from inventory.arithmetic.photos import clean_photo
from inventory.errors import PhotoRefused

BRICK, SLATE = (148, 71, 58), (75, 85, 92)
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def sent(picture: Image.Image, form: str = "JPEG", **options: object) -> bytes:
    out = BytesIO()
    picture.save(out, form, **options)
    return out.getvalue()


def is_near(found: tuple[int, ...], wanted: tuple[int, ...]) -> bool:
    return all(abs(a - b) <= 4 for a, b in zip(found, wanted, strict=True))


def test_place_time_and_owner_stay_behind_and_the_picture_is_turned_upright():
    held = Image.new("RGB", (400, 200), BRICK)
    held.paste(SLATE, (0, 0, 200, 200))
    exif = Image.Exif()
    exif[0x0112] = 6  # held so that it must be turned a quarter clockwise
    exif[0x9003] = "2026:10:05 09:00:00"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)

    kept = clean_photo(sent(held, exif=exif, comment=b"Samphire Lane"))

    shown = Image.open(BytesIO(kept.large))
    assert shown.size == (kept.width, kept.height) == (200, 400)
    assert is_near(shown.getpixel((100, 20)), SLATE)
    assert is_near(shown.getpixel((100, 380)), BRICK)
    for file in (kept.large, kept.small):
        assert not Image.open(BytesIO(file)).getexif()
        assert b"Exif" not in file and b"Samphire" not in file and b"2026:10" not in file


def test_a_large_one_is_made_small_enough_for_a_phone():
    kept = clean_photo(sent(Image.new("RGB", (4000, 3000), BRICK)))

    assert (kept.width, kept.height) == (1600, 1200)
    assert Image.open(BytesIO(kept.small)).size == (480, 360)


def test_what_is_clear_in_a_png_becomes_white():
    kept = clean_photo(sent(Image.new("RGBA", (64, 64), (0, 0, 0, 0)), "PNG"))

    assert is_near(Image.open(BytesIO(kept.large)).getpixel((32, 32)), (255, 255, 255))


@pytest.mark.parametrize("profile", [SRGB, b"no profile at all"], ids=["sRGB", "broken"])
def test_the_profile_of_its_colours_is_used_and_left_behind(profile):
    kept = clean_photo(sent(Image.new("RGB", (64, 64), BRICK), icc_profile=profile))

    shown = Image.open(BytesIO(kept.large))
    assert shown.info.get("icc_profile") is None
    assert is_near(shown.getpixel((32, 32)), BRICK)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"order,article\n1041,tray\n", "no picture that can be read"),
        (b"", "no picture that can be read"),
        (sent(Image.new("RGB", (200, 200)))[:300], "no picture that can be read"),
        (sent(Image.new("RGB", (64, 64)), "GIF"), "Send it as JPEG, PNG or WebP."),
        (sent(Image.new("RGB", (8, 300))), "8 by 300 dots, too few"),
        (sent(Image.new("1", (9000, 9000)), "PNG"), "is 9000 by 9000 dots"),
        (b"\xff" * 15_000_001, "has 15.0 MB. Send a photo of 15 MB at most."),
    ],
    ids=["table", "nothing", "cut off", "gif", "sliver", "bomb", "heavy"],
)
def test_what_is_no_photo_is_refused_with_what_to_send(content, sentence):
    with pytest.raises(PhotoRefused) as refused:
        clean_photo(content, "mould.jpg")

    assert sentence in refused.value.message
