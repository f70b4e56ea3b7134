"""Orders become a week of pours: collects demand, hours and stores, plans, adopts.

Runs as a job, never in a request: the old plan stays usable until the new one is adopted.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.conf import settings

from inventory.operations.acts import Done, Tap, act
from inventory.queries.acts import acts_since
from orders.demand import open_demand
from orders.operations.assigning import offer_pieces
from production.operations.adopting import adopt_plan
from production.operations.locking import lock_mixing
from production.planning.effort import effort_for
from production.planning.solve import Progress as Made
from production.planning.solve import plan as best_plan
from production.queries.kept_plan import kept_plan
from production.queries.plan_age import why_plan_is_old
from production.queries.plan_words import progress_words
from production.queries.problem import build_problem
from shopfloor.jobs.operations import OutrunByEvents, ask, ask_all_to_stop, ask_to_stop
from shopfloor.jobs.queries import PLAN_WEEK, WHAT_HELPS
from shopfloor.journeys.looking import replace_look
from shopfloor.notices.operations import watch_notices
from shopfloor.studio.port import LiveStudio

# What these do changes which casts are still wanted.
MIXING_ACTS = ("production.start_mix", "production.stop_mix", "production.undo_start_mix")
Progress = Callable[[int, int, str], None]
Stop = Callable[[], bool]


@act("shopfloor.ask_for_plan")
def ask_for_plan(tap: Tap) -> Done:
    """Ask for a new plan of the week; one that is waiting or under way already is the answer.

    Changes: one job row; looks into the old plan's late lines are stopped. Again: the same job.
    """
    # What is looked into now is about to be old, and the hands of the machine are wanted here.
    ask_all_to_stop(WHAT_HELPS, now=tap.now)
    job_id = ask(PLAN_WEEK, PLAN_WEEK, {"request_key": str(tap.request_key), "by": tap.by}, now=tap.now)
    return Done("Planning the week. The old plan stays until the new one is there.", {"job_id": job_id})


@act("shopfloor.stop_planning")
def stop_planning(tap: Tap) -> Done:
    """Ask the planning under way to stop with the best plan so far.

    Changes: the job's stop mark. Again: nothing more.
    """
    ask_to_stop(PLAN_WEEK, now=tap.now)
    return Done("Stopping. The best plan found so far is kept.")


def plan_week(
    *,
    request_key: UUID,
    by: int | None,
    now: datetime,
    studio: LiveStudio,
    on_progress: Progress | None = None,
    should_stop: Stop | None = None,
    effort_percent: float | None = None,
) -> Callable[[], dict[str, Any]]:
    """Plan from the present orders; answers the function that adopts the result.

    `effort_percent` is hundredths of the tries that suit the size; None is what the settings say.

    Planning takes seconds and stays outside any transaction; adopting is short and belongs into the
    transaction of whoever asked.

    Changes: pieces are kept for lines that lacked them; on adopting, a new plan with its mixes and lines.
    Raises: on adopting, OutrunByEvents when a mix was started, stopped or taken back meanwhile: the plan
    would ask for the same casts again.
    """
    keep_pieces(request_key=uuid5(request_key, "keep"), by=by, now=now)
    because = why_plan_is_old(now=now).replace("since this plan", "since the plan before")
    task = build_problem(
        open_demand(studio.local(now).date()), now=now, hours=studio.hours, facts=studio.facts
    )

    def tell(made: Made) -> None:
        if on_progress:
            best = made.best
            saying = progress_words(made.stage, made.done, made.of, best.points, best.mixes)
            on_progress(made.done, made.of, saying)

    solution = best_plan(
        task.problem,
        effort=effort_for(len(task.problem.lines)).share(
            settings.PLAN_EFFORT_PERCENT if effort_percent is None else effort_percent
        ),
        keep=kept_plan(task),
        on_progress=tell,
        should_stop=should_stop,
        wall_seconds=settings.PLAN_WALL_SECONDS,
    )

    def adopt() -> dict[str, Any]:
        lock_mixing()
        if acts_since(now, MIXING_ACTS):
            raise OutrunByEvents("A mix was started or stopped while the week was planned.")
        # The key itself belongs to the tap that asked for the plan: each act has a key of its own.
        key = uuid5(request_key, "adopt")
        facts = adopt_plan(
            task=task, solution=solution, because=because, request_key=key, by=by, now=now
        ).facts
        # What was at risk is mended or late in the plan by now.
        watch_notices(studio, now=now, at_risk=())
        replace_look(plan_id=facts["plan_id"], late=facts["late"], request_key=request_key, by=by, now=now)
        return facts

    return adopt


@act("shopfloor.keep_pieces")
def keep_pieces(tap: Tap) -> Done:
    """Keep free pieces for the lines that lack them, so that the plan pours only what is missing.

    Changes: assignments. Again: nothing more.
    """
    offer_pieces(now=tap.now)
    return Done("Free pieces are kept for the orders that lack them.")
