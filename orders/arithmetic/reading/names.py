"""Names of the range as order files write them."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field

_NEAR_LEAST = 0.5


@dataclass(frozen=True)
class RangeNames:
    """What is made: articles and colours by id, and the colours each article is made in."""

    articles: Mapping[int, str]
    colours: Mapping[int, str]
    made_in: Mapping[int, frozenset[int]]


@dataclass(frozen=True)
class LearnedNames:
    """What other names were said to mean: plain name -> id."""

    articles: Mapping[str, int] = field(default_factory=dict)
    colours: Mapping[str, int] = field(default_factory=dict)


def plain_name(name: str) -> str:
    """Give a name as it is compared: without capitals and extra spaces."""
    return " ".join(name.casefold().split())


def named(text: str, names: Mapping[int, str], learned: Mapping[str, int]) -> int | None:
    """Give the id of what `text` names, in the studio's own words or in ones learned; None if unknown."""
    plain = plain_name(text)
    for found, name in names.items():
        if plain_name(name) == plain:
            return found
    known = learned.get(plain)
    return known if known in names else None


class Named:
    """Looks names up, each text once: a file says the same few names in thousands of rows."""

    def __init__(self, names: RangeNames, learned: LearnedNames) -> None:
        self._names, self._learned = names, learned
        self._articles: dict[str, int | None] = {}
        self._colours: dict[str, int | None] = {}

    def article(self, text: str) -> int | None:
        """The id of the article a text names, None if unknown."""
        if text not in self._articles:
            self._articles[text] = named(text, self._names.articles, self._learned.articles)
        return self._articles[text]

    def colour(self, text: str) -> int | None:
        """The id of the colour a text names, None if unknown."""
        if text not in self._colours:
            self._colours[text] = named(text, self._names.colours, self._learned.colours)
        return self._colours[text]


def near_names(text: str, names: Mapping[int, str], most: int = 3) -> list[int]:
    """Give the ids of names that look like `text`, nearest first.

    Source: ratio of matching blocks as in Python's difflib (after Ratcliff and Metzener, 1988), from memory.
    """
    plain = {plain_name(name): found for found, name in names.items()}
    close = difflib.get_close_matches(plain_name(text), plain, n=most, cutoff=_NEAR_LEAST)
    return [plain[name] for name in close]
