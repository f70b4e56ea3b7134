"""The settings of the list scheduler that the simulator plays."""

from dataclasses import dataclass

from production.planning.faults import check_number, check_whole


@dataclass(frozen=True, slots=True)
class ListRule:
    """When a mix may be poured, and with what.

    The most urgent pieces of a mix are poured no earlier than `pour_ahead_minutes` before
    their latest pour; others join them if their own latest pour is within
    `look_ahead_minutes` of it (or of now, if that is later). A mix that is less than
    `least_fill` full (0 to 1, of the jug or the working time) waits for the next window
    while it has a day in hand.
    """

    pour_ahead_minutes: int
    look_ahead_minutes: int
    least_fill: float

    def __post_init__(self) -> None:
        check_whole("pour_ahead_minutes", self.pour_ahead_minutes, 0)
        check_whole("look_ahead_minutes", self.look_ahead_minutes, 0)
        check_number("least_fill", self.least_fill)
