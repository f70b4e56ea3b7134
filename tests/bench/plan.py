"""`manage.py bench plan`: the planner's ladder on invented problems, beside the portfolio of list rules.

    bench plan [--lines N ...] [--load L ...] [--seeds K] [--share PERCENT] [--without STAGE ...] [--quick]

Every problem is planned in a process of its own, so that its memory is its own. Seconds are those of the
processor, which other work on the machine does not stretch; only a solver with two workers takes fewer by the
clock. `--share` gives every stage that share of its tries, `--without` gives some stages none.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

LINES = (10, 50, 200, 1000, 5000)
LOADS = (0.9,)
SEEDS = 5
QUICK_LINES = (10, 50, 200)
QUICK_SHARE = 10
# The simulator alone, for how its time grows.
GROWTH_LINES = (200, 1000, 5000)
GROWTH_RUNS = 3
REPLAYS, LATER_MINUTES = 40, 60
REPLAYED_RULES = 6
PROMISE_LINES = 200
PROMISES = 5
KB_PER_MB = 1024
STAGES = ("urgency", "nudge", "group", "move")
COLUMNS = (
    ("lines", "problem"),
    ("load", "problem"),
    ("points", "portfolio"),
    ("late", "portfolio"),
    ("mixes", "portfolio"),
    ("early", "portfolio"),
    ("points", "plan"),
    ("late", "plan"),
    ("mixes", "plan"),
    ("early", "plan"),
    ("points", "bound"),
    ("mixes", "bound"),
    ("fewer points", "gain"),
    ("fewer mixes", "gain"),
    ("first", "seconds"),
    ("all", "seconds"),
    ("tries", "effort"),
    ("MB", "memory"),
    ("ended", "effort"),
)


def run(arguments: Sequence[str]) -> int:
    """Plan every problem asked for and print what came of it."""
    asked = _asked(arguments)
    if asked.one:
        print(json.dumps(_plan_one(*asked.one, share=asked.share, without=asked.without)))
        return 0
    share = QUICK_SHARE if asked.quick and asked.share == 100 else asked.share
    rungs = asked.lines or (QUICK_LINES if asked.quick else LINES)
    left_out = f", but none of {' and '.join(asked.without)}" if asked.without else ""
    print(
        f"{asked.seeds} seeds a rung; median (lowest to highest). {share:g} % of the usual tries{left_out}."
    )
    print("| " + " | ".join(f"{group} {name}" for name, group in COLUMNS) + " |")
    print("|" + "---|" * len(COLUMNS), flush=True)
    for lines in rungs:
        for load in asked.load:
            found = [
                _in_a_process(lines, load, seed, share, asked.without) for seed in range(1, asked.seeds + 1)
            ]
            print(_row(lines, load, found), flush=True)
    _say_growth([lines for lines in GROWTH_LINES if lines <= max(rungs)], asked.load[0])
    _say_replay([lines for lines in GROWTH_LINES if lines <= max(rungs)], asked.load[0])
    _say_promise(asked.load[0])
    return 0


def _asked(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="manage.py bench plan", allow_abbrev=False)
    parser.add_argument("--lines", type=int, nargs="+", help="sizes of the problems")
    parser.add_argument(
        "--load", type=float, nargs="+", default=LOADS, help="how busy hands are kept, 0.5 to 1.1"
    )
    parser.add_argument("--seeds", type=int, default=SEEDS, help="problems of each size and load")
    parser.add_argument("--share", type=float, default=100, help="per cent of the usual tries")
    parser.add_argument("--without", nargs="*", choices=STAGES, default=(), help="stages to leave out")
    parser.add_argument("--quick", action="store_true", help="small sizes with few tries, to try the bench")
    parser.add_argument("--one", nargs=3, metavar=("LINES", "LOAD", "SEED"), help="one problem, as JSON")
    return parser.parse_args(arguments)


def _in_a_process(lines: int, load: float, seed: int, share: float, without: Sequence[str]) -> dict[str, Any]:
    one = ["--one", str(lines), str(load), str(seed), "--share", str(share), "--without", *without]
    called = [sys.executable, "-c", "import sys; from tests.bench.plan import run; run(sys.argv[1:])", *one]
    answer = subprocess.run(called, stdout=subprocess.PIPE, check=True, text=True)
    return dict(json.loads(answer.stdout))


def _plan_one(lines: str, load: str, seed: str, *, share: float, without: Sequence[str]) -> dict[str, Any]:
    """The portfolio and the whole ladder on one problem."""
    from production.planning.effort import effort_for
    from production.planning.forms import problem_from_form
    from production.planning.nudges import late_lines
    from production.planning.portfolio import best_of_rules, rules_for
    from production.planning.prepare import prepare
    from production.planning.solve import Progress, plan
    from tests.bench.load import a_load_form

    problem = problem_from_form(a_load_form(int(lines), int(seed), float(load)))
    listed = best_of_rules(prepare(problem), rules_for(len(problem.lines)))
    stages: dict[str, tuple[float, int, float]] = {}
    began = time.process_time()

    def tell(progress: Progress) -> None:
        seconds = round(time.process_time() - began, 2)
        stages.setdefault("first", (progress.best.points, progress.best.mixes, seconds))
        stages[progress.stage] = (progress.best.points, progress.best.mixes, seconds)

    effort = replace(
        effort_for(len(problem.lines)).share(share), **{f"{stage}_tries": 0 for stage in without}
    )
    made = plan(problem, effort=effort, on_progress=tell)
    return {
        "all": time.process_time() - began,
        "first": stages["first"][2],
        "stages": stages,
        "portfolio": _figures(listed.score, len(late_lines(listed))),
        "plan": _figures(made.score, len(made.late)),
        "bound": (made.bounds.points, made.bounds.mixes) if made.bounds else (None, None),
        "tries": made.tries,
        "ended": made.ended + (f", without {made.missing}" if made.missing else ""),
        "MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KB_PER_MB,
    }


def _figures(score: Any, late: int) -> tuple[float, int, int, float]:
    return score.points, late, score.mixes, score.early_piece_days


def _row(lines: int, load: float, found: list[dict[str, Any]]) -> str:
    """A line of the table: of every figure the median and the spread over the seeds."""
    cells = [f"{lines:,}", f"{load:g}"]
    for whose in ("portfolio", "plan"):
        cells += [_spread([each[whose][place] for each in found]) for place in range(4)]
    cells += [_spread([each["bound"][place] for each in found]) for place in range(2)]
    cells += [
        _spread([_fewer(each["portfolio"][place], each["plan"][place]) for each in found], " %")
        for place in (0, 2)
    ]
    cells += [_spread([each[name] for each in found], digits=1) for name in ("first", "all")]
    cells += [_spread([each[name] for each in found]) for name in ("tries", "MB")]
    endings = [each["ended"] for each in found]
    cells.append(", ".join(f"{endings.count(ending)} {ending}" for ending in sorted(set(endings))))
    return "| " + " | ".join(cells) + " |"


def _fewer(before: float, after: float) -> float | None:
    """By how many hundredths a figure fell; None where there was nothing to fall."""
    return None if before == 0 else 100 * (before - after) / before


def _spread(figures: Sequence[float | None], unit: str = "", *, digits: int = 0) -> str:
    known = [figure for figure in figures if figure is not None]
    if not known:
        return "-"
    low, middle, high = min(known), statistics.median(known), max(known)
    if round(low, digits) == round(high, digits):
        return f"{middle:.{digits}f}{unit}"
    return f"{middle:.{digits}f}{unit} ({low:.{digits}f} to {high:.{digits}f})"


def _say_growth(sizes: Sequence[int], load: float) -> None:
    """One list rule played at each size, and by which power of the lines its time grows."""
    from production.planning.forms import problem_from_form
    from production.planning.portfolio import GRID
    from production.planning.prepare import prepare
    from production.planning.simulate import simulate
    from tests.bench.load import a_load_form

    seconds = []
    for lines in sizes:
        prepared = prepare(problem_from_form(a_load_form(lines, 1, load)))
        times = [_seconds(lambda prepared=prepared: simulate(prepared, GRID[0])) for _ in range(GROWTH_RUNS)]
        seconds.append(min(times))
    told = ", ".join(f"{1000 * each:.1f} ms at {lines:,}" for lines, each in zip(sizes, seconds, strict=True))
    if len(sizes) > 1:
        power = math.log(seconds[-1] / seconds[0]) / math.log(sizes[-1] / sizes[0])
        told += f"; grows as n^{power:.2f} from {sizes[0]} to {sizes[-1]:,} lines"
    if told:
        print(f"\nThe studio played once: {told}.")


def _say_replay(sizes: Sequence[int], load: float) -> None:
    """Mixes taken out one at a time: played from where that differs, and played from the start."""
    from production.planning.forms import problem_from_form
    from production.planning.portfolio import best_of_rules, rules_for
    from production.planning.prepare import prepare
    from production.planning.simulate import simulate
    from production.planning.tape import record
    from tests.bench.load import a_load_form

    for lines in sizes:
        prepared = prepare(problem_from_form(a_load_form(lines, 1, load)))
        run = best_of_rules(prepared, rules_for(lines)[:REPLAYED_RULES])
        given = run.given_mixes()
        tape = record(prepared, run.rule, run.offsets or None, given)
        from_start = partial(simulate, prepared, run.rule, offsets=run.offsets or None)
        replayed = played = 0.0
        for place in range(0, len(given), max(1, len(given) // REPLAYS)):
            without = [*given[:place], *given[place + 1 :]]
            later = [*without, replace(given[place], not_before=given[place].not_before + LATER_MINUTES)]
            for changed in (without, later):
                replayed += _seconds(partial(tape.replay, changed))
                played += _seconds(partial(from_start, given=changed))
        print(
            f"Mixes taken out or put later, {lines:,} lines: played from where that differs"
            f" {played / replayed:.1f} times as fast as from the start."
        )


def _say_promise(load: float) -> None:
    """The earliest ship-by of one more line behind a plan of the list rules."""
    from production.planning.calm import Keep, KeptMix
    from production.planning.effort import Effort
    from production.planning.forms import problem_from_form
    from production.planning.problem import CastCount
    from production.planning.promise import earliest_ship_by
    from production.planning.solve import plan
    from tests.bench.load import a_load_form

    problem = problem_from_form(a_load_form(PROMISE_LINES, 1, load))
    made = plan(problem, effort=Effort(rules=6))
    mixes = tuple(
        KeptMix(
            mix.start,
            mix.compound,
            mix.colour,
            tuple(CastCount(cast.line, cast.part, cast.quantity) for cast in mix.casts),
        )
        for mix in made.mixes
    )
    keep = Keep(mixes, 0, made.rule, made.urgency)
    times = []
    for place in range(PROMISES):
        new = replace(problem.lines[place * 7], id="new", ship_by=problem.lines[-1].ship_by)
        asked = replace(problem, lines=(*problem.lines, new))
        times.append(_seconds(lambda asked=asked: earliest_ship_by(asked, keep, {"new"})))
    told = f"{statistics.median(times):.2f} s, the slowest {max(times):.2f} s"
    print(f"\nThe earliest ship-by of one more line at {PROMISE_LINES}: {told}.")


def _seconds(act: Any) -> float:
    began = time.process_time()
    act()
    return time.process_time() - began
