"""What can be wrong with a planning problem, and the small checks that say so.

ValueError
    ProblemFault    a field of a problem or of an exchanged form cannot be meant
"""

from collections import Counter
from collections.abc import Iterable
from typing import NoReturn


class ProblemFault(ValueError):
    """A field of a planning problem cannot be meant; names the field and the offending value."""

    def __init__(self, field: str, value: object, wanted: str) -> None:
        self.field = field
        self.value = value
        self.wanted = wanted
        self.message = f"{field} must be {wanted}, not {value!r}."
        super().__init__(self.message)


def refuse(field: str, value: object, wanted: str) -> NoReturn:
    """Raise `ProblemFault` for a field."""
    raise ProblemFault(field, value, wanted)


def check_whole(field: str, value: object, least: int | None = None) -> None:
    """Accept whole numbers (of at least `least`); True and False are not numbers here."""
    wanted = "a whole number" if least is None else f"a whole number of at least {least}"
    if isinstance(value, bool) or not isinstance(value, int):
        refuse(field, value, wanted)
    if least is not None and value < least:
        refuse(field, value, wanted)


def check_number(field: str, value: object, least: float = 0.0, above: bool = False) -> None:
    """Accept finite numbers of at least `least` (more than `least` when `above`)."""
    wanted = f"a number {'above' if above else 'of at least'} {least:g}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        refuse(field, value, wanted)
    # The first comparison is False for "not a number", the second catches infinity.
    if not (value > least if above else value >= least) or value > 1e15:
        refuse(field, value, wanted)


def check_name(field: str, value: object) -> None:
    """Accept texts that are not blank."""
    if not isinstance(value, str) or not value.strip():
        refuse(field, value, "a name")


def check_once(field: str, names: Iterable[str]) -> None:
    """Accept names of which none comes twice."""
    for name, count in Counter(names).items():
        if count > 1:
            refuse(field, name, "named once each")
