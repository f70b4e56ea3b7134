"""Amounts and minutes of a mix and of a line's steps, as whole numbers rounded against us."""

from collections import Counter
from collections.abc import Iterable, Sequence
from math import ceil, floor

from production.planning.problem import Article, Compound, Line, Part, Problem

# Below any weight or time that means anything, above the noise of a float product.
NOISE = 1e-6


def thousandths_up(amount: float) -> int:
    """Whole thousandths of an amount that is needed, rounded up."""
    return ceil(amount * 1000 - NOISE)


def thousandths_down(amount: float) -> int:
    """Whole thousandths of an amount that is there, rounded down."""
    return floor(amount * 1000 + NOISE)


def whole_minutes(milliminutes: int) -> int:
    """Whole minutes that hold so many thousandths of a minute."""
    return -(-milliminutes // 1000)


def step_minutes(minutes_each: float, minutes_per_batch: float, quantity: int) -> int:
    """Whole minutes of hands for one step of `quantity` pieces, rounded up."""
    return ceil(minutes_each * quantity + minutes_per_batch - NOISE)


def needed(each: float, per_batch: float, quantity: int) -> int:
    """Whole thousandths of a supply for `quantity` pieces, rounded up."""
    return thousandths_up(each * quantity + per_batch)


def set_minutes(problem: Problem, parts: Iterable[Part], compound: Compound) -> int:
    """Minutes from the end of filling until all of these parts, poured in one mix, can be opened."""
    longest = 0
    for part in parts:
        own = problem.mould_by_name[part.mould].open_after_minutes
        longest = max(longest, compound.open_after_minutes if own is None else own)
    return longest


def first_wait(article: Article, dry_minutes: int) -> int:
    """Minutes from the opening of a cast to the first step (or packing) of its line."""
    if not article.steps:
        return article.pack_wait_minutes + dry_minutes
    wait = article.steps[0].wait_minutes
    return dry_minutes if wait is None else wait


def line_tasks(problem: Problem, line: Line) -> tuple[tuple[int, int], ...]:
    """(wait, hands-on) minutes of each step of a line and of its packing.

    The wait runs from the end of the task before; the first is 0, because it belongs to the
    casts (`first_wait`). A later step that waits for drying waits for the slowest compound
    of the article.
    """
    article = problem.article_by_name[line.article]
    dry = max((problem.compound_by_name[part.compound].dry_minutes for part in article.parts), default=0)
    tasks = [
        (
            dry if step.wait_minutes is None else step.wait_minutes,
            step_minutes(step.minutes_each, step.minutes_per_batch, line.quantity),
        )
        for step in article.steps
    ]
    tasks.append((article.pack_wait_minutes, article.pack_minutes))
    return ((0, tasks[0][1]), *tasks[1:])


def part_sets(article: Article) -> list[tuple[Part, ...]]:
    """The parts of an article by what must be poured together: one set if matched, else each alone."""
    if article.matched and article.parts:
        return [article.parts]
    return [(part,) for part in article.parts]


class PieceTakes:
    """What one piece (of one part, or of a matched set) takes of a mix.

    `needs` is copies by mould; `most_per_mix` pieces fit one mix at all, and `limit` says
    what bounds that: "mould", "working time", "jug" or "closed days" (no window is long
    enough).
    """

    __slots__ = ("fill_milliminutes", "limit", "most_per_mix", "needs", "opening_milliminutes", "slurry_mg")

    def __init__(self, problem: Problem, parts: Sequence[Part], longest_minutes: int) -> None:
        compound = problem.compound_by_name[parts[0].compound]
        moulds = [problem.mould_by_name[part.mould] for part in parts]
        # At least one thousandth, so that what costs nothing can still be divided by.
        self.fill_milliminutes = max(1, sum(thousandths_up(mould.fill_minutes) for mould in moulds))
        self.opening_milliminutes = max(1, sum(thousandths_up(mould.open_minutes) for mould in moulds))
        self.slurry_mg = max(1, sum(thousandths_up(part.ml * compound.slurry_g_per_ml) for part in parts))
        self.needs: Counter[str] = Counter(part.mould for part in parts)
        hands_minutes = longest_minutes - compound.weigh_and_mix_minutes - compound.clean_up_minutes
        jug_mg = thousandths_down(compound.jug_g) - thousandths_up(compound.residue_g)
        copies = min(problem.mould_by_name[name].copies // count for name, count in self.needs.items())
        self.most_per_mix, self.limit = min(
            (copies, "mould"),
            (compound.working_minutes * 1000 // self.fill_milliminutes, "working time"),
            (jug_mg // self.slurry_mg, "jug"),
            (hands_minutes * 1000 // self.fill_milliminutes, "closed days"),
            (longest_minutes * 1000 // self.opening_milliminutes, "closed days"),
        )
