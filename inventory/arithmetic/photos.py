"""A photo as the studio keeps it: drawn anew, small enough for a phone, holding nothing but the picture."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from inventory.errors import PhotoRefused

MOST_BYTES = 15_000_000
# A phone's largest is about 50 million; a small file can claim far more and fill the memory when opened.
MOST_PIXELS = 64_000_000
LEAST_SIDE = 32
LARGE_SIDE = 1600
SMALL_SIDE = 480
QUALITY = 82
# Only what phones and cameras make: every further reader is one more that a made-up file could misuse.
FORMATS = ("JPEG", "PNG", "WEBP")


@dataclass(frozen=True)
class CleanPhoto:
    """A photo drawn anew as JPEG in sRGB, large and small; `width` and `height` are the large one's."""

    large: bytes
    small: bytes
    width: int
    height: int


def clean_photo(content: bytes, name: str = "The file") -> CleanPhoto:
    """Draw an uploaded photo anew, upright and at most 1600 px a side, with a small one of 480 px.

    What a camera writes beside the picture (place, time, owner, preview) does not come along, because only
    the dots are kept. Colours are carried over to sRGB, so that they look alike on every screen.

    Raises: PhotoRefused for a file that is too large, no JPEG, PNG or WebP picture, broken, or tiny.
    """
    check_bytes(len(content), name)
    try:
        with Image.open(BytesIO(content), formats=FORMATS) as opened:
            _check_size(opened.size, name)
            opened.draft("RGB", (LARGE_SIDE, LARGE_SIDE))
            picture = _upright_rgb(opened)
    # Pillow's readers answer a broken file with any of these.
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError) as fault:
        raise PhotoRefused(
            f"{name} is no picture that can be read. Send it as JPEG, PNG or WebP.", name=name
        ) from fault
    large = ImageOps.contain(picture, (LARGE_SIDE, LARGE_SIDE)) if _is_larger(picture) else picture
    small = large.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE))
    return CleanPhoto(_jpeg(large), _jpeg(small), *large.size)


def check_bytes(size: int, name: str) -> None:
    """Refuse a file of more bytes than a photo has, before anything of it is read. Raises: PhotoRefused."""
    if size > MOST_BYTES:
        raise PhotoRefused(
            f"{name} has {size / 1e6:.1f} MB. Send a photo of {MOST_BYTES / 1e6:.0f} MB at most.", bytes=size
        )


def _check_size(size: tuple[int, int], name: str) -> None:
    width, height = size
    if width * height > MOST_PIXELS:
        raise PhotoRefused(
            f"{name} is {width} by {height} dots. Send one of {MOST_PIXELS / 1e6:.0f} million dots at most.",
            width=width,
            height=height,
        )
    if min(size) < LEAST_SIDE:
        raise PhotoRefused(
            f"{name} is {width} by {height} dots, too few to see anything. Send a larger photo.",
            width=width,
            height=height,
        )


def _upright_rgb(opened: Image.Image) -> Image.Image:
    """Turned as it was held, on white where it is clear, in sRGB."""
    profile = opened.info.get("icc_profile")
    picture: Image.Image = ImageOps.exif_transpose(opened)
    if picture.has_transparency_data:
        picture = picture.convert("RGBA")
        picture = Image.alpha_composite(Image.new("RGBA", picture.size, "white"), picture)
    if picture.mode == "RGB" and profile:
        picture = _in_srgb(picture, profile)
    return picture.convert("RGB")


def _in_srgb(picture: Image.Image, profile: bytes) -> Image.Image:
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        # A camera's broken profile says nothing of its colours: the dots are taken as they are.
        return picture
    return turned or picture


def _is_larger(picture: Image.Image) -> bool:
    return max(picture.size) > LARGE_SIDE


def _jpeg(picture: Image.Image) -> bytes:
    out = BytesIO()
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    clean.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
