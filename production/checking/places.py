"""Reading fields out of what JSON gave, each refusal with the path that leads to the field.

ValueError
    Malformed    a field of a form cannot be meant
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NoReturn

from production.checking.limits import MOST_AMOUNT, MOST_LETTERS, MOST_MINUTES

SHOWN_LETTERS = 60


class Malformed(ValueError):
    """A field that cannot be meant: `path` such as `orders[3].quantity`, and a sentence on what is wrong."""

    def __init__(self, path: str, wanted: str, found: str) -> None:
        self.path = path
        self.message = f"{path or 'the file'} must be {wanted}, not {found}."
        super().__init__(self.message)


@dataclass(frozen=True)
class Place:
    """One value of a form with the path that leads to it."""

    path: str
    value: Any

    def refuse(self, wanted: str) -> NoReturn:
        """Raise `Malformed` for this place."""
        raise Malformed(self.path, wanted, shown(self.value))

    def has(self, name: str) -> bool:
        """Whether an optional field is there."""
        return name in self._fields()

    def at(self, name: str) -> Place:
        """A field of this object, which must be there."""
        fields = self._fields()
        path = f"{self.path}.{name}" if self.path else name
        if name not in fields:
            raise Malformed(path, "given", "left out")
        return Place(path, fields[name])

    def rows(self, most: int) -> list[Place]:
        """The places of a list."""
        if not isinstance(self.value, list):
            self.refuse("a list")
        if len(self.value) > most:
            raise Malformed(self.path, f"a list of at most {most}", f"one of {len(self.value)}")
        return [Place(f"{self.path}[{number}]", value) for number, value in enumerate(self.value)]

    def named(self, most: int) -> Iterator[tuple[str, Place]]:
        """The fields of this object with their names."""
        fields = self._fields()
        if len(fields) > most:
            raise Malformed(self.path, f"an object of at most {most} names", f"one of {len(fields)}")
        for name, value in fields.items():
            place = Place(f"{self.path}.{name}", value)
            _check_text(name, Place(self.path, name))
            yield name, place

    def whole(self, least: int, most: int) -> int:
        """A whole number from `least` to `most`; 5.0 is one too."""
        value = self.value
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            self.refuse(f"a whole number from {least} to {most}")
        return int(value)

    def minute(self) -> int:
        """A minute of the calendar or near it."""
        return self.whole(-MOST_MINUTES, 2 * MOST_MINUTES)

    def number(self, least: float = 0, most: float = MOST_AMOUNT, *, above: bool = False) -> float:
        """A number from `least` (above it, if `above`) to `most`."""
        value = self.value
        wanted = f"a number {'above' if above else 'from'} {least:g}{' and up' if above else ''} to {most:g}"
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(wanted)
        if not (value > least if above else value >= least) or not value <= most:
            self.refuse(wanted)
        return float(value)

    def text(self) -> str:
        """A name; a whole number is taken as written, since ids often look like numbers."""
        value = self.value
        if isinstance(value, int) and not isinstance(value, bool):
            return str(value)
        return _check_text(value, self)

    def one_of(self, known: object, kind: str) -> str:
        """A name that is in `known`."""
        name = self.text()
        if name not in known:  # type: ignore[operator]
            self.refuse(f"one of the {kind}")
        return name

    def flag(self) -> bool:
        """True or false."""
        if not isinstance(self.value, bool):
            self.refuse("true or false")
        return self.value

    def _fields(self) -> dict[str, Any]:
        if not isinstance(self.value, dict):
            self.refuse("an object")
        return self.value


def shown(value: Any) -> str:
    """A value as a sentence can hold it: never more than a line of it."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    words = {None: "null", True: "true", False: "false"}
    if value is None or isinstance(value, bool):
        return words[value]
    if isinstance(value, int) and abs(value) > 10**30:
        return "a number of more than 30 figures"
    text = repr(value)
    return text if len(text) <= SHOWN_LETTERS else text[:SHOWN_LETTERS] + "..."


def _check_text(value: Any, place: Place) -> str:
    if not isinstance(value, str) or not value.strip():
        place.refuse("a name")
    if len(value) > MOST_LETTERS:
        raise Malformed(place.path, f"a name of at most {MOST_LETTERS} letters", f"one of {len(value)}")
    return value
