"""Which signs of a text no font at hand can print, so that a paper says so instead of printing boxes."""

from __future__ import annotations

import functools
import html
import re
import shutil
import subprocess
import unicodedata
from pathlib import Path

from django.contrib.staticfiles import finders

# Everything here is in the studio's own Latin font (Basic Latin and Latin-1), and need not be looked up.
ALWAYS_THERE = 0x100
# Joiners, direction marks and choices of a shape print nothing by themselves.
NOT_DRAWN = ("Cf", "Cc", "Zs", "Zl", "Zp", "Cs", "Co", "Cn")
SHAPE_CHOICES = range(0xFE00, 0xFE10)


def missing_signs(text: str) -> tuple[str, ...]:
    """Signs of a text that neither the fonts of the papers nor this machine's fonts have, each once."""
    asked = {
        sign
        for sign in unicodedata.normalize("NFC", text)
        if ord(sign) >= ALWAYS_THERE
        and ord(sign) not in SHAPE_CHOICES
        and unicodedata.category(sign) not in NOT_DRAWN
    }
    return tuple(sorted(sign for sign in asked if not _is_there(sign)))


def without_signs(text: str, signs: tuple[str, ...]) -> str:
    """The text with these signs left out."""
    return unicodedata.normalize("NFC", text).translate(dict.fromkeys(map(ord, signs)))


def words_of(page: str) -> str:
    """The words of a page of markup, without its drawings."""
    bare = re.sub(r"<(svg|style|script|title)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]+>", " ", bare))


@functools.lru_cache(maxsize=4096)
def _is_there(sign: str) -> bool:
    return ord(sign) in _shipped() or _system_has(sign)


@functools.cache
def _shipped() -> frozenset[int]:
    """The signs of the fonts that are shipped for papers."""
    # Imported here because it is only wanted where something other than plain Latin is printed.
    from fontTools.ttLib import TTFont

    found = finders.find("shopfloor/fonts")
    folder = Path(found) if isinstance(found, str) else Path()
    signs: set[int] = set()
    for path in sorted(folder.glob("*.woff2")):
        with TTFont(path, lazy=True) as font:
            signs |= set(font.getBestCmap())
    return frozenset(signs)


def _system_has(sign: str) -> bool:
    """Whether a font of this machine has the sign, as the library that chooses fonts for the PDF sees it."""
    program = shutil.which("fc-list")
    if program is None:
        return False
    asked = [program, f":charset={ord(sign):x}", "family"]
    return bool(subprocess.run(asked, capture_output=True, text=True, timeout=20).stdout.strip())
