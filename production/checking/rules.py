"""Checks a plan against its problem; shares no code with the planner.

Written to be read beside the list of rules, direct rather than clever. What a mix, an opening and a step
take is noted as it is met (`_Taken`), and looked at in the end: hands, copies, supplies.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from math import ceil

from production.checking.faults import DAY, SLIGHT, Busy, Fault, too_many_at_once
from production.checking.studio import Answered, Asked, Casts, Mixture, Pour, Task


def faults_in(asked: Asked, answered: Answered) -> list[Fault]:
    """Every rule that the plan breaks, with its place: empty for a plan that can be done as it stands."""
    check = _Check(asked, answered)
    for name, poured in asked.poured.items():
        check.poured(name, poured.compound, poured.casts, poured.filled_at)
    for mix in answered.mixes:
        check.mix(mix)
    check.quantities()
    check.routes()
    check.copies()
    check.hands()
    check.supplies()
    check.pins()
    return check.faults


class _Check:
    def __init__(self, asked: Asked, answered: Answered) -> None:
        self.asked, self.answered = asked, answered
        self.faults: list[Fault] = []
        self.busy: list[Busy] = []
        self.in_use: dict[str, list[Busy]] = defaultdict(list)
        self.drawn: dict[str, list[tuple[int, float, str]]] = defaultdict(list)
        # When each line's casts came out, with the drying of their compound.
        self.came_out: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for line, part, _, opened_at in asked.out:
            dry = asked.mixtures[asked.part(line, part).compound].dry if part else 0
            self.came_out[line].append((opened_at, dry))

    def fault(self, rule: str, place: str, said: str) -> None:
        self.faults.append(Fault(rule, place, said))

    def poured(self, name: str, compound: str, casts: Casts, filled_at: int) -> None:
        """A mix that is in its moulds at the start: opened when it has set, or its lines are left out."""
        place, opened = f"opened.{name}", self.answered.opened.get(name)
        if opened is None:
            if not {line for line, _, _ in casts} <= self.answered.unplaced:
                self.fault("opening", place, "is never opened")
            for line, part, count in casts:
                taken = (0, self.asked.minutes + 10 * DAY, place)
                self.in_use[self.asked.part(line, part).mould] += [taken] * count
            return
        self.take_out(place, casts, self.asked.mixtures[compound], filled_at, opened, 0)

    def take_out(
        self, place: str, casts: Casts, mixture: Mixture, filled_at: int, opened: int, since: int
    ) -> None:
        """An opening in one go: hands are busy, copies taken until its end and rest, casts begin to dry."""
        moulds = [(self.asked.moulds[self.asked.part(line, part).mould], n) for line, part, n in casts]
        waits = [mixture.open_after if m.open_after is None else m.open_after for m, _ in moulds]
        sets_at = filled_at + max(waits, default=mixture.open_after)
        if opened < sets_at:
            self.fault("setting", place, f"opened before it has set: at {opened}, set at {sets_at}")
        ends = opened + ceil(sum(mould.open * count for mould, count in moulds) - SLIGHT)
        self.busy.append((opened, ends, f"opening of {place}"))
        for (mould, count), (line, part, _) in zip(moulds, casts, strict=True):
            self.in_use[self.asked.part(line, part).mould] += [(since, ends + mould.rest, place)] * count
            self.came_out[line].append((ends, mixture.dry))

    def mix(self, mix: Pour) -> None:
        """One mix: what is in the jug, how long it takes, and what it holds of whom."""
        asked, place = self.asked, mix.place
        mixture = asked.mixtures[mix.compound]
        fill, slurry = 0.0, mixture.residue_g
        for line, part, count in mix.casts:
            made = asked.part(line, part)
            fill += asked.moulds[made.mould].fill * count
            slurry += made.ml * mixture.g_per_ml * count
            self.belongs(mix, line, part)
        if not mix.casts:
            self.fault("quantities", place, "is empty")
        if fill > mixture.working + SLIGHT:
            said = f"takes {fill:g} minutes to fill, workable for {mixture.working}"
            self.fault("working time", place, said)
        if slurry > mixture.jug_g + SLIGHT:
            self.fault(
                "jug", place, f"holds {slurry:.0f} g with residue, more than the jug of {mixture.jug_g:g}"
            )
        filled_at = mix.start + mixture.weigh + ceil(fill - SLIGHT)
        self.busy.append((mix.start, filled_at + mixture.clean_up, place))
        self.take_out(place, mix.casts, mixture, filled_at, mix.opened, mix.start)
        powder = slurry * mixture.powder_share
        self.drawn[mixture.powder].append((mix.start, powder, place))
        for supply, per_g in asked.recipes.get((mix.compound, mix.colour), ()):
            self.drawn[supply].append((mix.start, powder * per_g, place))
        self.matched(place, mix.casts)
        for compound, colour, start, end in asked.no_pours:
            meant = compound in (None, mix.compound) and colour in (None, mix.colour)
            if meant and start <= mix.start < end:
                self.fault("no pours", place, f"starts at {mix.start}; none is poured from {start} to {end}")

    def belongs(self, mix: Pour, line: str, part: str) -> None:
        """A cast in a mix is of its compound and colour, and poured no earlier than its line allows."""
        made, wanted = self.asked.part(line, part), self.asked.lines[line]
        if made.compound != mix.compound:
            self.fault("compound", mix.place, f"holds {part} of line {line}, which is of another compound")
        if (made.colour or wanted.colour) != mix.colour:
            self.fault("colour", mix.place, f"holds {part} of line {line}, which is of another colour")
        if mix.start < wanted.not_before:
            self.fault("not before", mix.place, f"pours line {line} too early, before {wanted.not_before}")

    def matched(self, place: str, casts: Casts) -> None:
        """All parts of a matched piece come from one mix."""
        counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        for line, part, count in casts:
            counts[line][part] += count
        for line, by_part in counts.items():
            made = self.asked.articles[self.asked.lines[line].article]
            if made.matched and len({by_part[part] for part in made.parts}) > 1:
                held = ", ".join(f"{count} {part}" for part, count in by_part.items())
                self.fault("matched parts", place, f"holds {held} of line {line}, whose parts must match")

    def quantities(self) -> None:
        """Each line gets as many casts of each part as it wants pieces."""
        have: dict[tuple[str, str], int] = defaultdict(int)
        for line, part, count, _ in self.asked.out:
            have[line, part] += count
        in_moulds = [poured.casts for poured in self.asked.poured.values()]
        for casts in (*in_moulds, *(mix.casts for mix in self.answered.mixes)):
            for line, part, count in casts:
                have[line, part] += count
        for name, wanted in self.asked.lines.items():
            for part in self.asked.articles[wanted.article].parts:
                count = have[name, part]
                short = count < wanted.quantity and name not in self.answered.unplaced
                if short or count > wanted.quantity:
                    self.fault("quantities", f"line {name}", f"has {count} of {wanted.quantity} {part}")

    def routes(self) -> None:
        """Each line goes through its steps in order, each after the wait before it."""
        given: dict[str, list[tuple[str, str, int]]] = defaultdict(list)
        for place, line, step, start in self.answered.steps:
            given[line].append((place, step, start))
        for line in self.asked.lines:
            self.route(line, given[line])

    def route(self, line: str, given: list[tuple[str, str, int]]) -> None:
        """The steps of one line."""
        wanted = self.asked.lines[line]
        made = self.asked.articles[wanted.article]
        order = {task.name: number for number, task in enumerate(made.tasks)}
        given.sort(key=lambda step: order[step[1]])
        names, needed = [step for _, step, _ in given], [task.name for task in made.tasks]
        if line in self.answered.unplaced:
            needed = needed[: len(names)]
        if names != needed:
            said = f"has the steps {', '.join(names) or 'none'}, not {', '.join(needed)}"
            self.fault("steps", f"line {line}", said)
            return
        if given and made.parts and not self.came_out[line]:
            self.fault("quantities", f"line {line}", "is finished without casts")
        dry = max((self.asked.mixtures[part.compound].dry for part in made.parts.values()), default=0)
        ends: int | None = None
        for task, (place, _, start) in zip(made.tasks, given, strict=False):
            due = (
                self.first_due(line, task)
                if ends is None
                else ends + (dry if task.wait is None else task.wait)
            )
            if start < due:
                self.fault("waits", place, f"{task.name} of line {line} at {start} begins before {due}")
            ends = start + ceil(task.each * wanted.quantity + task.once - SLIGHT)
            self.busy.append((start, ends, place))
            for supply, each, once in task.needs:
                self.drawn[supply].append((start, each * wanted.quantity + once, place))

    def first_due(self, line: str, task: Task) -> int:
        """When the first task of a line may begin: its last cast has waited, or dried."""
        outs = self.came_out[line] or [(max(0, self.asked.lines[line].not_before), 0)]
        return max(
            at + (dry if task.wait is None else task.wait + (dry if task.dry_too else 0)) for at, dry in outs
        )

    def copies(self) -> None:
        """Never more copies of a mould are in use than there are dry."""
        for name, taken in self.in_use.items():
            mould = self.asked.moulds[name]
            damp = [(-1, at, "") for at in mould.free_at if at > 0]
            self.first_over(too_many_at_once([*taken, *damp]), mould.copies, f"copies of {name}", "copies")

    def first_over(self, counts: Iterable[tuple[int, int, str]], most: int, what: str, rule: str) -> None:
        """A fault where a count is first over what there is."""
        over = [(minute, count, place) for minute, count, place in counts if count > most and place]
        if over:
            minute, count, place = over[0]
            self.fault(rule, place, f"{count} of {most} {what} are in use at {minute}")

    def hands(self) -> None:
        """Every task lies inside working hours, and never more at once than pairs of hands."""
        hours = self.asked.hours
        opens = [window.start for window in hours]
        inside: dict[int, list[Busy]] = defaultdict(list)
        for start, end, place in self.busy:
            number = bisect_right(opens, start) - 1
            if number < 0 or end > hours[number].end:
                said = f"from {start} to {end} is not inside working hours"
                self.fault("working hours", place, said)
            else:
                inside[number].append((start, end, place))
        for number, tasks in sorted(inside.items()):
            pairs = hours[number].pairs
            for minute, count, place in too_many_at_once(tasks):
                if count > pairs:
                    self.fault("hands", place, f"{count} tasks at {minute} for {pairs} pairs of hands")

    def supplies(self) -> None:
        """What is drawn of powder or any supply was there by then."""
        for name, drawn in self.drawn.items():
            stuff, used = self.asked.stuff[name], 0.0
            for minute, amount, place in sorted(drawn):
                used += amount
                there = stuff.opening + sum(got for at, got in stuff.receipts if at <= minute)
                if amount and used > there + SLIGHT:
                    said = f"uses {used:.2f} of {name} in all by {minute}, {there:.2f} are there"
                    self.fault("supplies", place, said)
                    break

    def pins(self) -> None:
        """A mix starts in each pin."""
        for number, (compound, colour, first, last) in enumerate(self.asked.pins):
            if not any(
                (mix.compound, mix.colour) == (compound, colour) and first <= mix.start <= last
                for mix in self.answered.mixes
            ):
                self.fault(
                    "pins", f"pins[{number}]", f"no mix of {compound} in {colour} from {first} to {last}"
                )
