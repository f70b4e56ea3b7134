"""Public holidays of a country or a part of one, from the `holidays` library.

A place is written as its ISO 3166 code: "GB", or "GB-SCT" for a part of it; "" is nowhere.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from types import MappingProxyType

# In the words of the page, where the library has them.
LANGUAGES = ("en_GB", "en_US")
WORD = re.compile(r"[A-Z][a-z]+|[A-Z]+(?![a-z])")
SMALL_WORDS = {"And": "and", "Of": "of", "The": "the"}


@lru_cache(maxsize=1)
def countries() -> tuple[tuple[str, str], ...]:
    """Codes and names of the countries that are known, by name."""
    from holidays.registry import COUNTRIES

    found = [(names[1], _spaced(names[0])) for names in COUNTRIES.values()]
    return tuple(sorted(found, key=lambda one: one[1]))


@lru_cache(maxsize=32)
def regions(country: str) -> tuple[tuple[str, str], ...]:
    """Codes and names of the parts of a country that have holidays of their own."""
    kind = _kind_of(country)
    if kind is None:
        return ()
    names: dict[str, str] = {}
    for name, code in getattr(kind, "subdivisions_aliases", {}).items():
        names.setdefault(code, name)
    return tuple(
        sorted(((code, names.get(code, code)) for code in kind.subdivisions), key=lambda one: one[1])
    )


@lru_cache(maxsize=64)
def public_holidays(place: str, first_year: int, last_year: int) -> Mapping[date, str]:
    """The public holidays of a place in these years with their names; none for a place that is not known."""
    country, _, region = place.partition("-")
    kind = _kind_of(country)
    if kind is None or (region and region not in kind.subdivisions):
        return MappingProxyType({})
    spoken = next((one for one in LANGUAGES if one in (kind.supported_languages or ())), None)
    options = {"subdiv": region or None, "years": range(first_year, last_year + 1), "language": spoken}
    return MappingProxyType(dict(sorted(kind(**options).items())))


def place_name(place: str) -> str:
    """A place in words: "United Kingdom, Scotland"."""
    country, _, region = place.partition("-")
    names = [dict(countries()).get(country, country), dict(regions(country)).get(region, region)]
    return ", ".join(name for name in names if name)


def _kind_of(country: str):  # type: ignore[no-untyped-def]
    import holidays

    names = {code for code, _ in countries()}
    return getattr(holidays, country) if country in names else None


def _spaced(name: str) -> str:
    return " ".join(SMALL_WORDS.get(word, word) for word in WORD.findall(name))
