"""What a move would do, or why it cannot be, in the words of the screens."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time

from django.utils.timezone import localtime

from inventory.ports import StudioHours
from production.planning.calendar import DAY, instant_of, minute_of
from production.planning.moving import (
    CLOSING,
    GONE,
    MOULD,
    NO_POURS,
    NOBODY_IN,
    PAST,
    SUPPLY,
    CannotMove,
    LineMoved,
    Moved,
)
from production.queries.planning_task import TaskLine
from production.queries.tried_moves import TriedMove
from production.queries.wording import clock, counted, span_words

SHIFTS_NAMED, OTHERS_NAMED = 3, 4


def day_words(day: date) -> str:
    """A day as the screens say it: "Thu 8"."""
    return f"{day:%a} {day.day}"


def at_words(at: datetime) -> str:
    """A day and time in full: "Thu 8, 09:15"."""
    local = localtime(at)
    return f"{day_words(local.date())}, {local:%H:%M}"


def effect_words(move: TriedMove, moved: Moved, hours: StudioHours) -> list[str]:
    """What the move does, a sentence each: its own orders, others, other mixes, hands of that day."""
    said = [_own(lines) for lines in _by_demand(move, moved.own)]
    said = [words for words in said if words] or ["Nobody waits for it: it is for the shelf."]
    others = _by_demand(move, moved.others)
    said += [_other(lines) for lines in others[:OTHERS_NAMED]]
    if len(others) > OTHERS_NAMED:
        said.append(f"{counted(len(others) - OTHERS_NAMED, 'more order')} leave another day than now.")
    said += _shifted(move, moved)
    if moved.mixes_after != moved.mixes_before:
        more = moved.mixes_after - moved.mixes_before
        said.append(f"{counted(abs(more), 'mix')} {'more' if more > 0 else 'fewer'}.")
    hands = _hands(move, moved, hours)
    return [*said, hands] if hands else said


def refusal_words(move: TriedMove, refused: CannotMove) -> str:
    """Why it cannot be, and the first time that works: one or two sentences."""
    at, words = at_words(move.to), ""
    if refused.reason == GONE:
        return "Nobody waits for the pieces of this mix any more. Plan again."
    if refused.reason == PAST:
        words = f"{at} is over."
    elif refused.reason == NOBODY_IN:
        words = f"{at}: nobody is in."
    elif refused.reason == NO_POURS:
        words = f"{at}: {move.mix.colour} is not poured that day."
    elif refused.reason == CLOSING and refused.window is not None:
        until = clock(instant_of(refused.window.end, move.task.start))
        takes = span_words(refused.hands_minutes)
        words = f"{at}: from weighing to clean jug it takes {takes}, and hands end {until}."
    elif refused.reason == MOULD:
        words = f"{at}: {_mould(move, refused)}"
    elif refused.reason == SUPPLY:
        words = f"{at}: powder or pigment for it is not there by then."
    else:
        words = f"{at}: hands are at another mix that was put there by hand."
    first = move.first_free
    return f"{words} First free: {at_words(first)}." if first else words


# Lines -------------------------------------------------------------------------------------------------


def _by_demand(move: TriedMove, lines: Iterable[LineMoved]) -> list[list[tuple[TaskLine, LineMoved]]]:
    found: dict[str, list[tuple[TaskLine, LineMoved]]] = {}
    for line in lines:
        task_line = move.task.lines.get(line.line)
        if task_line is not None and task_line.weight:
            found.setdefault(task_line.label, []).append((task_line, line))
    return list(found.values())


def _own(lines: Sequence[tuple[TaskLine, LineMoved]]) -> str:
    task_line, line = max(lines, key=lambda one: _packed(one[1].packed_after))
    spare_after = None if line.packed_after is None else line.ship_by - line.packed_after
    if spare_after is None:
        return f"{task_line.label} finds no place in the calendar."
    if spare_after < 0:
        return _late(task_line.label, line)
    before = max(_packed(one.packed_before) for _, one in lines)
    spare_before = line.ship_by - before
    leaves = f"leaves {day_words(task_line.ship_by)}, spare {span_words(spare_after)}"
    if spare_before < 0:
        return f"{task_line.label} is in time again: {leaves}."
    was = f" (now {span_words(spare_before)})" if spare_before != spare_after else ""
    return f"{task_line.label} still {leaves}{was}."


def _other(lines: Sequence[tuple[TaskLine, LineMoved]]) -> str:
    task_line, line = max(lines, key=lambda one: _packed(one[1].packed_after))
    if line.late_after == 0:
        return f"{task_line.label} is in time again."
    if line.late_after is None:
        return f"{task_line.label} finds no place in the calendar any more."
    return _late(task_line.label, line)


def _late(label: str, line: LineMoved) -> str:
    before = "" if line.late_before == 0 else ", no place now"
    if line.late_before:
        before = f", {line.late_before} d now"
    return f"{label} leaves {line.late_after} d late{before}."


def _packed(minute: int | None) -> int:
    """Minutes to compare; what has no place is later than anything."""
    return 10**9 if minute is None else minute


# Mixes, moulds and hands ---------------------------------------------------------------------------------


def _shifted(move: TriedMove, moved: Moved) -> list[str]:
    start = move.task.start
    if len(moved.shifted) > SHIFTS_NAMED:
        most = max(abs(one.start_after - one.start_before) for one in moved.shifted)
        return [f"{len(moved.shifted)} other mixes start at another time, by {span_words(most)} at most."]
    return [
        f"Mix {move.number_of(one.mix)} goes from {at_words(instant_of(one.start_before, start))}"
        f" to {at_words(instant_of(one.start_after, start))}."
        for one in moved.shifted
    ]


def _mould(move: TriedMove, refused: CannotMove) -> str:
    clash = refused.clash
    assert clash is not None
    name = clash.mould if "mould" in clash.mould.lower() else f"{clash.mould} mould"
    few = f"too few of {clash.copies} {name}s are"
    which = {1: f"the {name} is", 2: f"both {name}s are"}.get(clash.copies, few)
    until = at_words(instant_of(clash.until, move.task.start))
    if refused.other is None:
        return f"{which} {'free' if clash.copies > 2 else 'full or wet'} until {until}."
    mix = f"mix {move.number_of(refused.other)}"
    if clash.copies > 2:
        return f"{which} free beside {mix}, which has its own until {until}."
    if clash.is_later:
        return f"{which} in {mix} from {_short(move, clash.from_minute)} and would be wet."
    return f"{which} in {mix} and wet until {until}."


def _short(move: TriedMove, minute: int) -> str:
    """A time; its day beside it unless it is that of the move."""
    at = instant_of(minute, move.task.start)
    return clock(at) if localtime(at).date() == localtime(move.to).date() else at_words(at)


def _hands(move: TriedMove, moved: Moved, hours: StudioHours) -> str:
    """Hands of that day, of all that are in; "" on the day that has begun, part of which is over."""
    day = localtime(move.to).date()
    rows = [row for row in hours.weekly if row.weekday == day.weekday()]
    if day == localtime(move.task.planned_from).date() or not hours.is_working_day(day) or not rows:
        return ""
    there = sum(_minutes(row.opens, row.closes) * row.pairs for row in rows)
    first = minute_of(datetime.combine(day, time(), tzinfo=move.task.start.tzinfo), move.task.start)
    used = _used(moved, first, first + DAY)
    return f"{day_words(day)} hands {used // 60}:{used % 60:02} of {there // 60}:{there % 60:02}."


def _minutes(opens: time, closes: time) -> int:
    return (closes.hour - opens.hour) * 60 + closes.minute - opens.minute


def _used(moved: Moved, first: int, last: int) -> int:
    run = moved.run
    prepared = run.prepared
    used = 0
    for mix in run.mixes:
        jug = prepared.jugs[mix.jug]
        if first <= mix.start < last:
            used += jug.weigh_and_mix_minutes + mix.fill_minutes + jug.clean_up_minutes
        if mix.opened is not None and first <= mix.opened < last:
            used += mix.opening_minutes
    for filled, opened in zip(prepared.filled, run.filled_opened, strict=True):
        if opened is not None and first <= opened < last:
            used += filled.opening_minutes
    for line, starts in enumerate(run.task_starts):
        for start, (_, minutes) in zip(starts, prepared.tasks[line], strict=False):
            if first <= start < last:
                used += minutes
    return used
