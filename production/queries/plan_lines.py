"""Lines of the planning problem: what every demand still wants, board by board."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from inventory.ports import StudioFacts
from production.models import ArticlePart, Cast
from production.planning.demand import Demand
from production.planning.problem import Article, Line, Part
from production.planning.supplies import StepNeed
from production.queries.making import Making, SetOfCasts, casts_in_the_making, sort_by_demand
from production.queries.plan_clock import PlanClock
from production.queries.plan_range import CastingRange
from production.queries.plan_steps import (
    PlannedRoute,
    needs_of,
    planned_steps,
    steps_left,
    steps_of_routes,
)
from production.queries.planning_task import CannotBeMade, TaskLine
from production.queries.progress import PieceHere, pieces_here

Thing = TypeVar("Thing")


class PlanLines:
    """The lines of all demands with the articles they need, and what of them is in moulds or out.

    `in_moulds` counts casts by mix, then by line and part; `out` by line, part and the minute they came out.
    `poured_in` names the colours that are still to be poured, by compound. `materials` names materials by
    id; of `spoken_for` (thousandths, by id) ready pieces take what they are packed in.
    """

    def __init__(
        self,
        demands: Sequence[Demand],
        clock: PlanClock,
        facts: StudioFacts,
        materials: Mapping[int, str] | None = None,
    ) -> None:
        self.demands, self.clock, self.facts = demands, clock, facts
        self.materials = materials or {}
        self.spoken_for: Counter[int] = Counter()
        self.unboxed: dict[int, str] = {}
        self.casts = casts_in_the_making()
        kept = {piece for demand in demands for piece in demand.kept_piece_ids}
        found = pieces_here(now=clock.now, piece_ids=kept) if kept else []
        self.pieces: dict[int, PieceHere] = {piece.id: piece for piece in found}
        self.range = CastingRange(
            {d.article_id for d in demands} | {cast.part.article_id for cast in self.casts},
            {d.colour_id for d in demands} | {cast.piece_colour_id for cast in self.casts},
            now=clock.now,
        )
        self.routes = steps_of_routes({article.route_id for article in self.range.articles.values()})
        self.board_of: Counter[str] = Counter()
        self.articles: dict[str, Article] = {}
        self.part_ids: dict[str, dict[str, int]] = {}
        self.lines: list[Line] = []
        self.task_lines: dict[str, TaskLine] = {}
        self.in_moulds: dict[int, Counter[tuple[str, str]]] = defaultdict(Counter)
        self.out: Counter[tuple[str, str, int]] = Counter()
        self.poured_in: dict[int, set[int]] = defaultdict(set)
        self.cannot: list[CannotBeMade] = []
        self._add_demands()

    def _add_demands(self) -> None:
        lacking = {
            d.wanted_by: d.quantity - sum(piece in self.pieces for piece in d.kept_piece_ids)
            for d in self.demands
        }
        making, spare = sort_by_demand(
            self.casts,
            self.demands,
            {pk: [part.pk for part in parts] for pk, parts in self.range.parts.items()},
            {pk: article.is_matched for pk, article in self.range.articles.items()},
            lacking,
        )
        for demand in self.demands:
            self._add_kept(demand)
            own = making.get(demand.wanted_by, Making())
            self._add_sets(demand, own.sets)
            self._add_to_pour(demand, lacking[demand.wanted_by] - len(own.sets), own.singles)
        self._add_spare(spare)

    def _add_kept(self, demand: Demand) -> None:
        """Pieces on the shelf that still want time or hands: those of the same mixes are one board."""
        groups: dict[tuple[object, ...], list[PieceHere]] = defaultdict(list)
        for piece_id in demand.kept_piece_ids:
            piece = self.pieces.get(piece_id)
            if piece is not None and piece.is_ready:
                self._speak_for_packaging(demand)
            elif piece is not None:
                groups[piece.article_id, piece.next_step, piece.mix_numbers].append(piece)
        for pieces in groups.values():
            for board in _boards(pieces, self.facts.drying_board_pieces):
                article = self._article_on_the_shelf(demand, board)
                line_id = self._add_line(demand, article, len(board))
                self.out[line_id, "", self.clock.now_minute] += len(board)

    def _speak_for_packaging(self, demand: Demand) -> None:
        """What a piece is packed in that is ready; a wished one stays on the shelf."""
        article = self.range.articles[demand.article_id]
        if demand.weight and article.packaging_id:
            self.spoken_for[article.packaging_id] += article.packaging_each

    def _add_sets(self, demand: Demand, sets: Sequence[SetOfCasts]) -> None:
        """Pieces whose parts are all in moulds or out of them: those of the same mixes are one board."""
        groups: dict[tuple[int, ...], list[SetOfCasts]] = defaultdict(list)
        for casts in sets:
            groups[tuple(sorted({cast.mix_id for cast in casts}))].append(casts)
        for alike in groups.values():
            for board in _boards(alike, self.facts.drying_board_pieces):
                line_id = self._add_line(demand, self._article(demand), len(board))
                for casts in board:
                    for cast in casts:
                        self._note_cast(line_id, cast)

    def _add_to_pour(self, demand: Demand, pieces: int, singles: Sequence[Cast]) -> None:
        """Pieces still to be poured, some of whose parts may be there already."""
        if pieces <= 0:
            return
        sentence = self.range.why_not(demand.article_id, demand.colour_id)
        if sentence:
            self._leave_out(demand, pieces, sentence)
            self._add_spare(singles)
            return
        left = list(singles)
        for board in _boards(range(pieces), self.facts.drying_board_pieces):
            line_id = self._add_line(demand, self._article(demand), len(board))
            used: Counter[int] = Counter()
            for cast in list(left):
                if used[cast.part_id] < len(board):
                    used[cast.part_id] += 1
                    left.remove(cast)
                    self._note_cast(line_id, cast)
        for part in self.range.parts[demand.article_id]:
            self.poured_in[part.compound_id].add(part.own_colour_id or demand.colour_id)

    def _add_spare(self, casts: Iterable[Cast]) -> None:
        """Casts that nobody waits for: they hold their copies until hands open them, no more."""
        groups: dict[tuple[int, int], list[Cast]] = defaultdict(list)
        for cast in casts:
            if cast.out_at is None:
                groups[cast.mix_id, cast.part_id].append(cast)
        for alike in groups.values():
            article = self._article_to_open(alike[0])
            line_id = f"spare {len(self.lines) + 1}"
            colour = str(self.range.colours[alike[0].piece_colour_id])
            self.lines.append(Line(line_id, article, colour, len(alike), self.clock.minutes, weight=0))
            for cast in alike:
                self._note_cast(line_id, cast)

    def _leave_out(self, demand: Demand, pieces: int, sentence: str) -> None:
        self.cannot.append(
            CannotBeMade(
                wanted_by=demand.wanted_by,
                label=demand.label,
                article_id=demand.article_id,
                colour_id=demand.colour_id,
                quantity=pieces,
                ship_by=demand.ship_by,
                weight=demand.weight,
                kind=demand.kind,
                sentence=sentence,
            )
        )

    def _add_line(self, demand: Demand, article: str, quantity: int) -> str:
        self.board_of[demand.wanted_by] += 1
        board = self.board_of[demand.wanted_by]
        line_id = f"{demand.wanted_by}/{board}"
        colour = str(self.range.colours[demand.colour_id])
        ship_by = self.clock.ship_by(demand.ship_by)
        self.lines.append(Line(line_id, article, colour, quantity, ship_by, demand.weight))
        self.task_lines[line_id] = TaskLine(
            wanted_by=demand.wanted_by,
            board=board,
            label=demand.label,
            article_id=demand.article_id,
            colour_id=demand.colour_id,
            quantity=quantity,
            ship_by=demand.ship_by,
            weight=demand.weight,
            kind=demand.kind,
        )
        return line_id

    def _note_cast(self, line_id: str, cast: Cast) -> None:
        """A cast that is in its mould, or out of it and waiting."""
        if cast.out_at is None:
            self.in_moulds[cast.mix_id][line_id, cast.part.name] += 1
        else:
            self.out[line_id, cast.part.name, self.clock.minute(cast.out_at)] += 1

    def _article(self, demand: Demand) -> str:
        """The article as it is poured and finished for a demand."""
        article, parts = self.range.articles[demand.article_id], self.range.parts[demand.article_id]
        boxed = self._boxed(demand)
        known = article.name if boxed or not article.packaging_id else self.unboxed.get(article.pk, "")
        if known not in self.articles:
            dry = max((part.compound.dry_hours * 60 for part in parts), default=0)
            steps = self.routes[article.route_id]
            route = planned_steps(steps, dry_minutes=dry, materials=self.materials)
            # Parts of two compounds or colours cannot come from one mix, whatever the article says.
            matched = article.is_matched and len({(p.compound_id, p.own_colour_id) for p in parts}) == 1
            known = known or self._free_name(f"{article} for the shelf")
            cast = tuple(_part(part) for part in parts)
            self.articles[known] = self._finished(known, cast, route, article.pack_minutes, boxed, matched)
            self.part_ids[known] = {part.name: part.pk for part in parts}
            if known != article.name:
                self.unboxed[article.pk] = known
        return known

    def _boxed(self, demand: Demand) -> tuple[StepNeed, ...]:
        """What a piece of a demand is packed in; a wished one stays on the shelf as it is."""
        article = self.range.articles[demand.article_id]
        name = self.materials.get(article.packaging_id or 0)
        if not demand.weight or name is None:
            return ()
        return needs_of({name: article.packaging_each})

    def _finished(
        self,
        name: str,
        parts: tuple[Part, ...],
        route: PlannedRoute,
        pack_minutes: int,
        boxed: tuple[StepNeed, ...],
        matched: bool = False,
    ) -> Article:
        needs = {need.supply: need for need in (*route.pack_needs, *boxed)}
        pack_needs = tuple(needs.values())
        return Article(name, parts, route.steps, pack_minutes, route.pack_wait_minutes, matched, pack_needs)

    def _article_on_the_shelf(self, demand: Demand, board: Sequence[PieceHere]) -> str:
        """An article without parts, with the steps these pieces still need."""
        first = board[0]
        due = max(self.clock.minute(piece.due_at) for piece in board)
        still = max(0, due - self.clock.now_minute)
        left = first.steps[first.steps.index(first.next_step) :] if first.next_step else ()
        route = steps_left(left, still_minutes=still, materials=self.materials)
        pack_minutes = self.range.articles[first.article_id].pack_minutes
        name = self._free_name(f"{first.article} on the shelf")
        self.articles[name] = self._finished(name, (), route, pack_minutes, self._boxed(demand))
        return name

    def _article_to_open(self, cast: Cast) -> str:
        """An article of one part that is only taken out of its mould."""
        part = next(part for part in self.range.parts[cast.part.article_id] if part.pk == cast.part_id)
        name = self._free_name(f"{part} to open")
        self.articles[name] = Article(name, (_part(part),), (), 0)
        return name

    def _free_name(self, name: str) -> str:
        """A name that no other article has, for one that is not in the range."""
        taken = {article.name for article in self.range.articles.values()} | set(self.articles)
        wanted, number = name, 2
        while name in taken:
            name, number = f"{wanted} {number}", number + 1
        return name


def _part(part: ArticlePart) -> Part:
    """A part for the planner. The volume of an unmeasured mould does not matter: nothing is poured in it."""
    ml = (part.mould.volume_ul or 1000) / 1000
    colour = part.own_colour.name if part.own_colour else None
    return Part(part.name, part.mould.name, ml, part.compound.name, colour)


def _boards(things: Sequence[Thing], most: int) -> Iterable[Sequence[Thing]]:
    """Things in groups of at most `most`, as they lie on drying boards."""
    for first in range(0, len(things), max(1, most)):
        yield things[first : first + max(1, most)]
