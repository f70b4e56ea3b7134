"""Reading fields of an exchanged form, each fault naming the field by its path."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, TypeVar

from production.planning.faults import ProblemFault, check_name, check_number, check_whole, refuse

Read = TypeVar("Read")


class Fields:
    """One object of a form, with the path that leads to it."""

    def __init__(self, path: str, form: object) -> None:
        if not isinstance(form, Mapping):
            refuse(path or "the form", form, "an object")
        self.path = path
        self.form: Mapping[str, Any] = form

    def of(self, name: str) -> str:
        """The path of a field."""
        return f"{self.path}.{name}" if self.path else name

    def has(self, name: str) -> bool:
        """Whether an optional field is there."""
        return name in self.form

    def any(self, name: str) -> Any:
        """A field of any kind."""
        if name not in self.form:
            refuse(self.of(name), None, "given")
        return self.form[name]

    def whole(self, name: str) -> int:
        """A whole number."""
        value = self.any(name)
        # JSON of other languages may write 5 as 5.0.
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        check_whole(self.of(name), value)
        return int(value)

    def number(self, name: str) -> float:
        """A number that is not negative, whole if it is written so."""
        value = self.any(name)
        check_number(self.of(name), value)
        return value  # type: ignore[no-any-return]

    def hours(self, name: str) -> int:
        """Hours, as whole minutes."""
        return round(self.number(name) * 60)

    def text(self, name: str) -> str:
        """A text; numbers are taken as written, since ids often look like numbers."""
        value = self.any(name)
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            check_name(self.of(name), value)
        return str(value)

    def flag(self, name: str) -> bool:
        """True or false."""
        value = self.any(name)
        if not isinstance(value, bool):
            refuse(self.of(name), value, "true or false")
        return value

    def list(self, name: str) -> list[Any]:
        """A list of anything."""
        value = self.any(name)
        if not isinstance(value, list | tuple):
            refuse(self.of(name), value, "a list")
        return list(value)

    def part(self, name: str) -> "Fields":
        """An object inside this one."""
        return Fields(self.of(name), self.any(name))


def read_all(fields: Fields, name: str, read: Callable[[Fields], Read]) -> tuple[Read, ...]:
    """Read each object of a list; faults of the objects' own checks gain the path."""
    rows = fields.list(name)
    return tuple(
        _read_one(Fields(f"{fields.of(name)}[{place}]", row), read) for place, row in enumerate(rows)
    )


def read_named(fields: Fields, name: str, read: Callable[[str, Fields], Read]) -> tuple[Read, ...]:
    """Read each object of an object by its name."""
    inside = fields.part(name)
    return tuple(_read_one(inside.part(key), partial(read, key)) for key in inside.form)


def _read_one(fields: Fields, read: Callable[[Fields], Read]) -> Read:
    try:
        return read(fields)
    except ProblemFault as fault:
        if fault.field.startswith(fields.path.split("[")[0].split(".")[0]):
            raise
        raise ProblemFault(f"{fields.path}: {fault.field}", fault.value, fault.wanted) from fault
