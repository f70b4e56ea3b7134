"""How many copies of each mould a run has in use at which minute."""

from collections import defaultdict

from production.planning.simulate import Run
from production.planning.state import MixRun

# Stands for the mixes that were in their moulds when the plan began, and for copies that are away.
FROM_BEFORE = -1


class CopiesInUse:
    """Stretches of time in which copies are in use, by mould."""

    def __init__(self, run: Run) -> None:
        self._moulds = run.prepared.problem.moulds
        # By mould: from, to, copies, number of the mix.
        self.stretches: dict[int, list[tuple[int, int, int, int]]] = defaultdict(list)
        for number, mix in enumerate(run.mixes):
            for mould, copies in mix.copies:
                self.stretches[mould].append((mix.start, self.back_at(mix, mould), copies, number))
        for filled, opened in zip(run.prepared.filled, run.filled_opened, strict=True):
            for mould, copies in filled.copies:
                out_at = run.prepared.problem.minutes if opened is None else opened + filled.opening_minutes
                back = out_at + self._moulds[mould].rest_minutes
                self.stretches[mould].append((-1, back, copies, FROM_BEFORE))
        for number, mould_kind in enumerate(self._moulds):
            self.stretches[number] += [
                (-1, minute, 1, FROM_BEFORE) for minute in mould_kind.free_at if minute > 0
            ]

    def back_at(self, mix: MixRun, mould: int) -> int:
        """When a copy of a mould that a mix is in could be filled again."""
        assert mix.opened is not None
        return mix.opened + mix.opening_minutes + self._moulds[mould].rest_minutes

    def most(self, mould: int, start: int, end: int, *, without: int) -> int:
        """The most copies in use at once between two minutes, those of one mix left out."""
        others = [
            (begins, ends, copies)
            for begins, ends, copies, number in self.stretches[mould]
            if number != without and begins < end and ends > start
        ]
        minutes = [start, *(begins for begins, _, _ in others if begins > start)]
        return max(
            sum(copies for begins, ends, copies in others if begins <= minute < ends) for minute in minutes
        )
