"""Whether a mix finds its moulds at a minute, with all other mixes of a plan where they are."""

from collections import Counter
from dataclasses import dataclass

from production.planning.measures import whole_minutes
from production.planning.prepare import Prepared
from production.planning.simulate import Run
from production.planning.state import GivenMix, MixRun
from production.planning.streams import Amounts

QUARTER = 15


@dataclass(frozen=True, slots=True)
class NeedsOfMix:
    """What a mix takes, whenever it is poured: hands to its end, minutes until it may be opened."""

    mix: GivenMix
    hands_minutes: int
    set_after: int
    opening_minutes: int
    copies: tuple[tuple[int, int], ...]
    draws: Amounts
    not_before: int


@dataclass(frozen=True, slots=True)
class Clash:
    """Copies of a mould that another mix holds or needs.

    `mix` is that of the plan (None: it was in its moulds when the plan began, or a copy is damp), which has
    them from minute `from_minute` until they are free again at `until`; `is_later`: it starts after the
    moved mix would, and the copies would still be full or wet.
    """

    mould: str
    copies: int
    mix: MixRun | None
    from_minute: int
    until: int
    is_later: bool


@dataclass(frozen=True, slots=True)
class _Held:
    start: int
    end: int
    count: int
    mix: MixRun | None


def needs_of_mix(prepared: Prepared, mix: GivenMix) -> NeedsOfMix:
    """What a given mix takes."""
    jug = prepared.jugs[mix.jug]
    copies: Counter[int] = Counter()
    fill = slurry = opening = setting = not_before = 0
    for unit, pieces in mix.takes:
        line = prepared.problem.lines[prepared.units[unit].line]
        stream = prepared.streams[prepared.units[unit].stream]
        fill += stream.takes.fill_milliminutes * pieces
        slurry += stream.takes.slurry_mg * pieces
        opening += stream.takes.opening_milliminutes * pieces
        setting = max(setting, stream.set_minutes)
        not_before = max(not_before, line.not_before)
        for mould, needed in stream.needs:
            copies[mould] += needed * pieces
    filled_after = jug.weigh_and_mix_minutes + whole_minutes(fill)
    return NeedsOfMix(
        mix=mix,
        hands_minutes=filled_after + jug.clean_up_minutes,
        set_after=filled_after + setting,
        opening_minutes=whole_minutes(opening),
        copies=tuple(sorted(copies.items())),
        draws=jug.draws(slurry),
        not_before=not_before,
    )


class MouldUse:
    """When the copies of each mould are in use in a run, one of its mixes left out."""

    def __init__(self, run: Run, *, without: MixRun | None) -> None:
        self.prepared = run.prepared
        problem = self.prepared.problem
        self.held: dict[int, list[_Held]] = {number: [] for number in range(len(problem.moulds))}
        for number, mould in enumerate(problem.moulds):
            self.held[number] += [_Held(0, minute, 1, None) for minute in mould.free_at if minute > 0]
        for filled, opened in zip(self.prepared.filled, run.filled_opened, strict=True):
            out_at = problem.minutes if opened is None else opened + filled.opening_minutes
            for kind, count in filled.copies:
                rest = problem.moulds[kind].rest_minutes
                self.held[kind].append(_Held(0, out_at + rest, count, None))
        for mix in run.mixes:
            if mix is without or mix.opened is None:
                continue
            for kind, count in mix.copies:
                end = mix.opened + mix.opening_minutes + problem.moulds[kind].rest_minutes
                self.held[kind].append(_Held(mix.start, end, count, mix))

    def clash(self, needs: NeedsOfMix, minute: int) -> Clash | None:
        """The first mould that a mix started at a minute would not find, or would lack another mix."""
        opens = self.prepared.calendar.first_fit(minute + needs.set_after, needs.opening_minutes)
        out_at = (self.prepared.problem.minutes if opens is None else opens) + needs.opening_minutes
        for mould, count in needs.copies:
            kind = self.prepared.problem.moulds[mould]
            until = out_at + kind.rest_minutes
            free = kind.copies - count
            during = [one for one in self.held[mould] if one.start < until and one.end > minute]
            for at in sorted({minute, *(one.start for one in during if one.start > minute)}):
                there = [one for one in during if one.start <= at < one.end]
                if sum(one.count for one in there) > free:
                    # The one that is there longest, or the one that would come and find them wet.
                    last = max(there, key=lambda one: (one.start, one.end))
                    return Clash(kind.name, kind.copies, last.mix, last.start, last.end, at > minute)
        return None
