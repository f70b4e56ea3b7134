"""A problem made ready for many simulations: names become numbers, amounts whole numbers.

Worked out once per problem and shared by every run: what is left to pour, as *units* (one
part of a line, or the whole set of parts where they are matched); the *streams* that units
queue in (all units alike in all but the line: same article, part and colour); and the
*jugs* that streams share (a compound in a colour). Amounts are whole milligrams and
thousandths of a minute, each rounded against us, so that sums are exact and no plan
relies on a rounding.
"""

from collections import Counter
from dataclasses import dataclass, field

from production.planning.backward import LatestStarts, latest_starts
from production.planning.calendar import WorkCalendar
from production.planning.measures import (
    PieceTakes,
    first_wait,
    line_tasks,
    needed,
    part_sets,
    set_minutes,
    thousandths_down,
    thousandths_up,
    whole_minutes,
)
from production.planning.problem import Article, Line, Part, Problem
from production.planning.streams import Amounts, Filled, Jug, MixNeeds, Stream, SupplyInHand, Takes, Unit

# Mixes whose needs are remembered; some ten megabytes.
MOST_NEEDS = 20_000


@dataclass(slots=True)
class Prepared:
    """A problem with everything worked out that no list rule changes.

    `tasks` per line is (wait, hands-on minutes) of each step, then of packing, numbered through
    all lines from its `task_from` (with one more at the end);
    `casts_to_open` counts the casts that must be out of the mould before its first task,
    which begins at `first_task_from` at the earliest. `task_draws` per line is what each task
    uses up, for lines of which one uses anything. `supplies` are the problem's, then the powder
    of each compound that has its own. `cannot` names lines that nothing of
    is poured, because no plan can finish them, with the limit that says so.
    """

    problem: Problem
    calendar: WorkCalendar
    latest: list[LatestStarts] = field(default_factory=list)
    tasks: list[tuple[tuple[int, int], ...]] = field(default_factory=list)
    task_from: list[int] = field(default_factory=lambda: [0])
    task_draws: dict[int, tuple[Amounts, ...]] = field(default_factory=dict)
    supplies: list[SupplyInHand] = field(default_factory=list)
    units: list[Unit] = field(default_factory=list)
    units_of: dict[int, list[int]] = field(default_factory=dict)  # by line
    casts_of: list[tuple[int, int]] = field(default_factory=list)  # by unit: its line, casts a piece
    streams: list[Stream] = field(default_factory=list)
    jugs: list[Jug] = field(default_factory=list)
    filled: list[Filled] = field(default_factory=list)
    free_copies: list[int] = field(default_factory=list)
    casts_to_open: list[int] = field(default_factory=list)
    first_task_from: list[int] = field(default_factory=list)
    cannot: dict[int, str] = field(default_factory=dict)
    mould_number: dict[str, int] = field(default_factory=dict)
    compound_number: dict[str, int] = field(default_factory=dict)
    line_number: dict[str, int] = field(default_factory=dict)
    supply_number: dict[str, int] = field(default_factory=dict)
    powder_number: dict[str, int] = field(default_factory=dict)  # supply, by compound
    jug_number: dict[tuple[str, str], int] = field(default_factory=dict)
    stream_number: dict[tuple[str, str, str], int] = field(default_factory=dict)
    _needs: dict[Takes, MixNeeds] = field(default_factory=dict)

    def article(self, line_number: int) -> Article:
        """The article of a line."""
        return self.problem.article_by_name[self.problem.lines[line_number].article]

    def needs_of(self, jug: int, takes: Takes) -> MixNeeds:
        """What a mix of these pieces needs; worked out once, because searches give the same mixes often."""
        needs = self._needs.get(takes)
        if needs is None:
            if len(self._needs) >= MOST_NEEDS:
                self._needs.clear()
            needs = self._needs[takes] = self._sum_of(jug, takes)
        return needs

    def _sum_of(self, jug: int, takes: Takes) -> MixNeeds:
        copies: Counter[int] = Counter()
        fill = slurry = opening = setting = 0
        for unit, pieces in takes:
            stream = self.streams[self.units[unit].stream]
            fill += stream.takes.fill_milliminutes * pieces
            slurry += stream.takes.slurry_mg * pieces
            opening += stream.takes.opening_milliminutes * pieces
            setting = max(setting, stream.set_minutes)
            for mould, count in stream.needs:
                copies[mould] += count * pieces
        in_moulds = tuple(sorted(copies.items()))
        return MixNeeds(fill, opening, setting, in_moulds, self.jugs[jug].draws(slurry))


def prepare(problem: Problem) -> Prepared:
    """Work out everything about a problem that all simulations of it share."""
    prepared = Prepared(problem, WorkCalendar(problem.windows))
    prepared.mould_number = {mould.name: n for n, mould in enumerate(problem.moulds)}
    prepared.compound_number = {compound.name: n for n, compound in enumerate(problem.compounds)}
    prepared.line_number = {line.id: n for n, line in enumerate(problem.lines)}
    _note_supplies(prepared)
    for line in problem.lines:
        prepared.latest.append(latest_starts(problem, line, prepared.calendar))
        prepared.tasks.append(line_tasks(problem, line))
        prepared.task_from.append(prepared.task_from[-1] + len(prepared.tasks[-1]))
        prepared.casts_to_open.append(0)
        prepared.first_task_from.append(_first_task_without_casts(problem, line))
    _note_out_of_mould(prepared)
    _note_filled(prepared)
    pieces = _pieces_in_progress(problem)
    for number, line in enumerate(problem.lines):
        _note_task_draws(prepared, number, line)
        _add_line(prepared, number, line, pieces)
    for stream in prepared.streams:
        stream.units.sort(key=lambda unit: (prepared.units[unit].latest_pour, unit))
    return prepared


def _note_supplies(prepared: Prepared) -> None:
    problem = prepared.problem
    powders = {compound.powder for compound in problem.compounds}
    for supply in problem.supplies:
        receipts = tuple((receipt.at, thousandths_down(receipt.amount)) for receipt in supply.receipts)
        opening = thousandths_down(supply.opening)
        prepared.supply_number[supply.name] = len(prepared.supplies)
        prepared.supplies.append(SupplyInHand(supply.name, opening, receipts, supply.name in powders))
    for compound in problem.compounds:
        if compound.powder is not None:
            prepared.powder_number[compound.name] = prepared.supply_number[compound.powder]
            continue
        receipts = tuple((receipt.at, thousandths_down(receipt.powder_g)) for receipt in compound.receipts)
        opening = thousandths_down(compound.powder_g)
        prepared.powder_number[compound.name] = len(prepared.supplies)
        prepared.supplies.append(SupplyInHand(compound.name, opening, receipts, True))


def _note_task_draws(prepared: Prepared, number: int, line: Line) -> None:
    article = prepared.article(number)
    draws = tuple(
        tuple(
            (prepared.supply_number[need.supply], needed(need.each, need.per_batch, line.quantity))
            for need in needs
        )
        for needs in (*(step.needs for step in article.steps), article.pack_needs)
    )
    if any(draws):
        prepared.task_draws[number] = draws


def _first_task_without_casts(problem: Problem, line: Line) -> int:
    """Where no casts say when a line's wait began, it began at the start (or `not_before`)."""
    article = problem.article_by_name[line.article]
    if article.parts:
        return 0
    if any(out.line == line.id for out in problem.out_of_mould):
        return line.not_before
    return max(0, line.not_before) + first_wait(article, 0)


def _part(article: Article, name: str) -> Part:
    return next(part for part in article.parts if part.name == name)


def _note_out_of_mould(prepared: Prepared) -> None:
    for out in prepared.problem.out_of_mould:
        number = prepared.line_number[out.line]
        article = prepared.article(number)
        dry = 0
        if article.parts:
            dry = prepared.problem.compound_by_name[_part(article, out.part).compound].dry_minutes
        ready_at = out.opened_at + first_wait(article, dry)
        prepared.first_task_from[number] = max(prepared.first_task_from[number], ready_at)


def _note_filled(prepared: Prepared) -> None:
    """Note the mixes in their moulds now, and which copies are free at the start."""
    problem = prepared.problem
    free = [mould.copies - sum(minute > 0 for minute in mould.free_at) for mould in problem.moulds]
    for poured in problem.poured:
        compound = problem.compound_by_name[poured.compound]
        copies: Counter[int] = Counter()
        casts, opening, latest_opening, parts = [], 0, problem.minutes, []
        for cast in poured.casts:
            number = prepared.line_number[cast.line]
            article = prepared.article(number)
            parts.append(_part(article, cast.part))
            mould = prepared.mould_number[parts[-1].mould]
            copies[mould] += cast.quantity
            free[mould] -= cast.quantity
            opening += thousandths_up(problem.moulds[mould].open_minutes) * cast.quantity
            casts.append((number, cast.quantity, first_wait(article, compound.dry_minutes)))
            prepared.casts_to_open[number] += cast.quantity
            latest_opening = min(latest_opening, prepared.latest[number].opening[cast.part])
        ready_at = poured.filled_at + set_minutes(problem, parts, compound)
        in_moulds = tuple(sorted(copies.items()))
        prepared.filled.append(
            Filled(poured.id, ready_at, whole_minutes(opening), latest_opening, in_moulds, tuple(casts))
        )
    prepared.free_copies = free


def _pieces_in_progress(problem: Problem) -> Counter[tuple[str, str]]:
    """Pieces per line and part that need no pouring; parts of a matched piece count in whole sets."""
    mixes: list[Counter[tuple[str, str]]] = [Counter()]
    for out in problem.out_of_mould:
        mixes[0][out.line, out.part] += out.quantity
    for poured in problem.poured:
        mixes.append(Counter())
        for cast in poured.casts:
            mixes[-1][cast.line, cast.part] += cast.quantity
    pieces: Counter[tuple[str, str]] = Counter()
    for counts in mixes:
        for line_id, part_name in list(counts):
            article = problem.article_by_name[problem.line_by_id[line_id].article]
            names = (
                [part.name for part in article.parts] if article.matched and article.parts else [part_name]
            )
            pieces[line_id, part_name] += min(counts[line_id, name] for name in names)
    return pieces


def _add_line(prepared: Prepared, number: int, line: Line, pieces: Counter[tuple[str, str]]) -> None:
    """Add what is left to pour of a line, unless no plan could finish it."""
    article = prepared.article(number)
    if any(minutes > prepared.calendar.longest_minutes for _, minutes in prepared.tasks[number]):
        # Nothing of it is poured: pieces that can never be finished would only take moulds.
        prepared.cannot[number] = "closed days"
        return
    units = []
    for parts in part_sets(article):
        left = line.quantity - min(pieces[line.id, part.name] for part in parts)
        if left <= 0:
            continue
        stream = _stream_of(prepared, article, parts, line.colour)
        takes = prepared.streams[stream].takes
        if takes.most_per_mix < 1:
            prepared.cannot[number] = takes.limit
            return
        latest = prepared.latest[number]
        wait = first_wait(article, prepared.problem.compound_by_name[parts[0].compound].dry_minutes)
        name = parts[0].name
        latest_pour = _before_barred(prepared, stream, latest.pour[name])
        units.append(Unit(number, stream, left, latest_pour, latest.opening[name], wait))
    for unit in units:
        stream_of_unit = prepared.streams[unit.stream]
        stream_of_unit.units.append(len(prepared.units))
        prepared.units_of.setdefault(number, []).append(len(prepared.units))
        prepared.units.append(unit)
        prepared.casts_of.append((number, len(stream_of_unit.parts)))
        prepared.casts_to_open[number] += unit.pieces * len(stream_of_unit.parts)


def _before_barred(prepared: Prepared, stream_number: int, latest: int) -> int:
    """The latest start of a mix, before the hours in which none of it is poured if it falls into them."""
    stream = prepared.streams[stream_number]
    jug = prepared.jugs[stream.jug]
    for start, end in reversed(jug.barred):
        if start <= latest < end:
            fill = whole_minutes(stream.takes.fill_milliminutes)
            hands = jug.weigh_and_mix_minutes + fill + jug.clean_up_minutes
            latest = prepared.calendar.last_fit_or_before(start, hands)
    return latest


def _stream_of(prepared: Prepared, article: Article, parts: tuple[Part, ...], ordered_colour: str) -> int:
    colour = parts[0].colour or ordered_colour
    name = (article.name, parts[0].name, colour)
    if name not in prepared.stream_number:
        number = len(prepared.streams)
        prepared.stream_number[name] = number
        jug = _jug_of(prepared, parts[0].compound, colour)
        takes = PieceTakes(prepared.problem, parts, prepared.calendar.longest_minutes)
        prepared.jugs[jug].add(number, takes)
        needs = tuple(sorted((prepared.mould_number[mould], count) for mould, count in takes.needs.items()))
        wait = set_minutes(prepared.problem, parts, prepared.problem.compound_by_name[parts[0].compound])
        draws = prepared.jugs[jug].draws(takes.slurry_mg)
        prepared.streams.append(Stream(jug, parts, takes, needs, wait, draws))
    return prepared.stream_number[name]


def _jug_of(prepared: Prepared, compound_name: str, colour: str) -> int:
    number = prepared.jug_number.get((compound_name, colour))
    if number is not None:
        return number
    problem = prepared.problem
    compound = problem.compound_by_name[compound_name]
    residue_mg = thousandths_up(compound.residue_g)
    needs = next(
        (
            recipe.needs
            for recipe in problem.recipes
            if (recipe.compound, recipe.colour) == (compound_name, colour)
        ),
        (),
    )
    number = prepared.jug_number[compound_name, colour] = len(prepared.jugs)
    prepared.jugs.append(
        Jug(
            compound=prepared.compound_number[compound_name],
            colour=colour,
            weigh_and_mix_minutes=compound.weigh_and_mix_minutes,
            clean_up_minutes=compound.clean_up_minutes,
            working_minutes=compound.working_minutes,
            residue_mg=residue_mg,
            holds_mg=thousandths_down(compound.jug_g) - residue_mg,
            powder=prepared.powder_number[compound_name],
            powder_share=compound.powder_share,
            pigments=tuple((prepared.supply_number[need.supply], need.per_powder_g) for need in needs),
            barred=tuple(
                sorted(
                    (one.start, one.end) for one in problem.no_pours if one.concerns(compound_name, colour)
                )
            ),
        )
    )
    return number
