"""The best plan of a tiny problem by a model of every minute, solved; shares no code with the planner.

Every mix, opening and step is an interval of one pair of hands, closed hours are intervals too, casts keep
copies from the start of their mix until they are rested. Points first, then mixes. Nothing is in progress.
"""

from collections import defaultdict
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

DAY = 1440
Form = dict[str, Any]


def least_points_and_mixes(form: Form, *, days: int, deterministic_seconds: float = 60) -> tuple[float, int]:
    """Least (lateness points, mixes) of plans within so many days; unmatched parts, powder enough.

    Raises AssertionError when it cannot be proven within the solver's work.
    """
    return _Exact(form, days * DAY).solve(deterministic_seconds)


class _Exact:
    def __init__(self, form: Form, horizon: int) -> None:
        self.form, self.horizon, self.model = form, horizon, cp_model.CpModel()
        self.hands: list[Any] = []
        self.on_copies: dict[str, list[tuple[Any, Any]]] = defaultdict(list)  # mould: interval, casts
        self.dry_at: dict[int, list[tuple[Any, Any, int]]] = defaultdict(list)  # line: used, out at, drying
        self.points: list[Any] = []
        self.mixes: list[Any] = []

    def solve(self, deterministic_seconds: float) -> tuple[float, int]:
        self.add_closed_hours()
        by_key: dict[tuple[str, str], list[tuple[int, dict[str, Any]]]] = defaultdict(list)
        for number, line in enumerate(self.form["orders"]):
            for part in self.form["articles"][line["article"]]["parts"]:
                by_key[part["compound"], part["colour"] or line["colour"]].append((number, part))
        for (compound, _), units in by_key.items():
            self.add_mixes(compound, units)
        for number, line in enumerate(self.form["orders"]):
            self.add_steps(number, line)
        self.model.add_no_overlap(self.hands)
        for mould, casts in self.on_copies.items():
            copies = self.form["moulds"][mould]["copies"]
            self.model.add_cumulative([one for one, _ in casts], [count for _, count in casts], copies)
        more_than_all_mixes = len(self.mixes) + 1
        self.model.minimize(more_than_all_mixes * sum(self.points) + sum(self.mixes))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers, solver.parameters.interleave_search = 2, True
        solver.parameters.max_deterministic_time = deterministic_seconds
        assert solver.solve(self.model) == cp_model.OPTIMAL
        return sum(solver.value(term) for term in self.points), sum(solver.value(used) for used in self.mixes)

    def minute(self) -> Any:
        return self.model.new_int_var(0, self.horizon, "")

    def add_closed_hours(self) -> None:
        closed_from = 0
        for window in [*self.form["hands"], {"from": self.horizon, "to": self.horizon}]:
            opens = min(window["from"], self.horizon)
            if opens > closed_from:
                self.hands.append(
                    self.model.new_fixed_size_interval_var(closed_from, opens - closed_from, "")
                )
            closed_from = max(closed_from, window["to"])

    def task(self, minutes: Any, used: Any) -> tuple[Any, Any]:
        """Start and end of something that hands do without a break, if it is done at all."""
        start, end = self.minute(), self.minute()
        size = self.model.new_int_var(0, DAY, "")
        self.model.add(size == minutes)
        self.hands.append(self.model.new_optional_interval_var(start, size, end, used, ""))
        return start, end

    def add_mixes(self, compound: str, units: list[tuple[int, dict[str, Any]]]) -> None:
        """As many possible mixes as there are pieces; the first ones are used, in order of time."""
        wanted = [self.form["orders"][number]["quantity"] for number, _ in units]
        poured: list[list[Any]] = [[] for _ in units]
        before: tuple[Any, Any] | None = None
        for _ in range(sum(wanted)):
            used = self.model.new_bool_var("")
            casts = [self.model.new_int_var(0, most, "") for most in wanted]
            start = self.add_mix(compound, units, casts, used)
            for counts, count in zip(poured, casts, strict=True):
                counts.append(count)
            if before is not None:
                self.model.add_implication(used, before[0])
                self.model.add(start >= before[1]).only_enforce_if(used)
            before = used, start
            self.mixes.append(used)
        for counts, quantity in zip(poured, wanted, strict=True):
            self.model.add(sum(counts) == quantity)

    def add_mix(self, compound: str, units: list[tuple[int, Any]], casts: list[Any], used: Any) -> Any:
        facts, mix, moulds = self.form["compounds"][compound], self.form["mix"], self.form["moulds"]
        each = [moulds[part["mould"]] for _, part in units]
        fill = sum(mould["fill_minutes"] * count for mould, count in zip(each, casts, strict=True))
        opening = sum(mould["open_minutes"] * count for mould, count in zip(each, casts, strict=True))
        grams = [round(part["ml"] * facts["slurry_g_per_ml"]) for _, part in units]
        slurry = sum(weight * count for weight, count in zip(grams, casts, strict=True))
        self.model.add(fill <= facts["working_minutes"] * used)
        self.model.add(slurry <= (mix["jug_g"] - mix["residue_g"]) * used)
        self.model.add(sum(casts) >= used)
        hands = mix["weigh_and_mix_minutes"] + mix["clean_up_minutes"]
        start, cleaned = self.task(hands * used + fill, used)
        opens, out = self.task(opening, used)
        filled = cleaned - mix["clean_up_minutes"]
        self.model.add(opens >= filled + facts["open_after_minutes"]).only_enforce_if(used)
        for (number, part), count in zip(units, casts, strict=True):
            back, taken, here = (
                self.model.new_int_var(0, 2 * self.horizon, ""),
                self.minute(),
                self.model.new_bool_var(""),
            )
            self.model.add(count == 0).only_enforce_if(here.negated())
            self.model.add(back == out + moulds[part["mould"]]["rest_minutes"])
            held = self.model.new_optional_interval_var(start, taken, back, here, "")
            self.on_copies[part["mould"]].append((held, count))
            self.dry_at[number].append((here, out, ceil(facts["dry_hours"] * 60)))
        return start

    def add_steps(self, number: int, line: dict[str, Any]) -> None:
        article, quantity, always = self.form["articles"][line["article"]], line["quantity"], 1
        steps = [(article["coat_minutes"] * quantity, article["recoat_hours"] * 60)] * article["coats"]
        ends, wait = None, 0
        for minutes, wait_after in [*steps, (article["pack_minutes"], 0)]:
            start, end = self.task(minutes, always)
            if ends is None:
                for here, out, drying in self.dry_at[number]:
                    self.model.add(start >= out + drying).only_enforce_if(here)
            else:
                self.model.add(start >= ends + wait)
            ends, wait = end, wait_after
        days = self.model.new_int_var(0, self.horizon // DAY + 1, "")
        late = self.model.new_bool_var("")
        self.model.add(DAY * days >= ends - line["ship_by"])
        self.model.add(days <= (self.horizon // DAY + 1) * late)
        price = line["weight"] * quantity
        self.points.append(price * self.form["late_step_days"] * late)
        self.points.append(price * days)
