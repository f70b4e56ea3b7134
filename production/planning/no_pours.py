"""Hours in which something is not poured: days that the owner keeps free of a colour, or of pours."""

from dataclasses import dataclass

from production.planning.faults import check_name, check_whole


@dataclass(frozen=True, slots=True)
class NoPours:
    """No mix starts from minute `start` on and before `end`: of this compound and colour, None of any."""

    compound: str | None
    colour: str | None
    start: int
    end: int

    def __post_init__(self) -> None:
        for field, name in (("compound", self.compound), ("colour", self.colour)):
            if name is not None:
                check_name(f"no_pours.{field}", name)
        check_whole("no_pours.from", self.start)
        check_whole(f"no_pours.to of that from {self.start}", self.end, self.start + 1)

    def concerns(self, compound: str, colour: str) -> bool:
        """Whether mixes of a compound and colour are meant."""
        return self.compound in (None, compound) and self.colour in (None, colour)
