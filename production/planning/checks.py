"""Whether the fields of a problem fit each other; its own fields are checked by each class."""

from collections import Counter
from collections.abc import Container
from typing import TYPE_CHECKING

from production.planning.faults import check_number, check_once, check_whole, refuse

if TYPE_CHECKING:
    from production.planning.problem import Problem


def check_problem(problem: "Problem") -> None:
    """Check names, windows and casts in progress of a whole problem.

    Raises
    ------
    ProblemFault
        For the first thing that does not fit.
    """
    check_whole("minutes", problem.minutes, 1)
    check_number("late_step_days", problem.late_step_days)
    _check_windows(problem)
    check_once("compounds", (compound.name for compound in problem.compounds))
    check_once("moulds", (mould.name for mould in problem.moulds))
    check_once("articles", (article.name for article in problem.articles))
    check_once("orders.id", (line.id for line in problem.lines))
    check_once("poured.id", (poured.id for poured in problem.poured))
    check_once("supplies", (supply.name for supply in problem.supplies))
    check_once("recipes", (f"{recipe.compound} in {recipe.colour}" for recipe in problem.recipes))
    _check_names(problem)
    _check_supplies(problem)
    _check_in_progress(problem)
    _check_copies(problem)


def _check_windows(problem: "Problem") -> None:
    before = 0
    for window in problem.windows:
        if window.start < before:
            refuse(
                "hands.from", window.start, f"in time order and not before {before}, where the last one ends"
            )
        if window.end > problem.minutes:
            refuse("hands.to", window.end, f"inside the calendar of {problem.minutes} minutes")
        before = window.end


def _check_names(problem: "Problem") -> None:
    for article in problem.articles:
        for part in article.parts:
            of = f" of part {part.name} of article {article.name}"
            _check_known("mould" + of, part.mould, problem.mould_by_name, "moulds")
            _check_known("compound" + of, part.compound, problem.compound_by_name, "compounds")
    for line in problem.lines:
        _check_known(f"article of line {line.id}", line.article, problem.article_by_name, "articles")
    for poured in problem.poured:
        _check_known(
            f"compound of poured {poured.id}", poured.compound, problem.compound_by_name, "compounds"
        )
        for cast in poured.casts:
            _check_cast(problem, f"poured {poured.id}", cast.line, cast.part)
    for out in problem.out_of_mould:
        _check_cast(problem, "out_of_mould", out.line, out.part)
    for pin in problem.pins:
        _check_known("pins.compound", pin.compound, problem.compound_by_name, "compounds")
    for barred in problem.no_pours:
        if barred.compound is not None:
            _check_known("no_pours.compound", barred.compound, problem.compound_by_name, "compounds")


def _check_supplies(problem: "Problem") -> None:
    """Whether what draws on supplies names those that there are."""
    known = problem.supply_by_name
    for compound in problem.compounds:
        if compound.powder is not None:
            _check_known(f"powder of compound {compound.name}", compound.powder, known, "supplies")
    for recipe in problem.recipes:
        of = f" of {recipe.compound} in {recipe.colour}"
        _check_known("compound of a recipe", recipe.compound, problem.compound_by_name, "compounds")
        for need in recipe.needs:
            _check_known("recipes.needs" + of, need.supply, known, "supplies")
            if need.supply == problem.compound_by_name[recipe.compound].powder:
                refuse("recipes.needs" + of, need.supply, "another supply than the compound's powder")
    for article in problem.articles:
        for step in article.steps:
            for each in step.needs:
                _check_known(
                    f"needs of step {step.name} of article {article.name}", each.supply, known, "supplies"
                )
        for each in article.pack_needs:
            _check_known(f"pack_needs of article {article.name}", each.supply, known, "supplies")


def _check_known(field: str, name: str, known: Container[str], among: str) -> None:
    if name not in known:
        refuse(field, name, f"one of the {among}")


def _check_cast(problem: "Problem", where: str, line_id: str, part_name: str) -> None:
    line = problem.line_by_id.get(line_id)
    if line is None:
        refuse(f"line of a cast in {where}", line_id, "one of the orders")
    names = [part.name for part in problem.article_by_name[line.article].parts]
    if not names and where == "out_of_mould":
        names = [""]
    if part_name not in names:
        refuse(f"part of line {line_id} in {where}", part_name, f"one of {', '.join(names) or 'no parts'}")


def _check_in_progress(problem: "Problem") -> None:
    have: Counter[tuple[str, str]] = Counter()
    for poured in problem.poured:
        for cast in poured.casts:
            have[cast.line, cast.part] += cast.quantity
    for out in problem.out_of_mould:
        have[out.line, out.part] += out.quantity
    for (line_id, part), count in have.items():
        wanted = problem.line_by_id[line_id].quantity
        if count > wanted:
            refuse(f"casts in progress of line {line_id}, part {part or 'all'}", count, f"at most {wanted}")


def _check_copies(problem: "Problem") -> None:
    taken: Counter[str] = Counter()
    for poured in problem.poured:
        for cast in poured.casts:
            article = problem.article_by_name[problem.line_by_id[cast.line].article]
            mould = next(part.mould for part in article.parts if part.name == cast.part)
            taken[mould] += cast.quantity
    for mould_kind in problem.moulds:
        used = taken[mould_kind.name] + sum(minute > 0 for minute in mould_kind.free_at)
        if used > mould_kind.copies:
            refuse(
                f"copies of mould {mould_kind.name}",
                mould_kind.copies,
                f"at least the {used} that are in use or damp at the start",
            )
