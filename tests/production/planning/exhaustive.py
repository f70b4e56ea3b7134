"""The best plan of a tiny problem by trying every order of everything; shares no code with the planner.

For one pair of hands. Lateness and the number of mixes can only gain when each task of an
order starts as early as it can, so trying every grouping of casts into mixes and every
order of the hands' tasks, each as early as possible, finds the least (points, mixes).
"""

from itertools import product
from math import ceil, inf
from typing import Any

DAY = 1440
Form = dict[str, Any]
Best = tuple[float, float]


def least_points_and_mixes(form: Form) -> Best:
    """Least (lateness points, mixes) over all plans; articles of one unmatched part, one coat at most."""
    return _Search(form).run()


class _Search:
    def __init__(self, form: Form) -> None:
        self.form = form
        self.lines = form["orders"]
        self.articles = [form["articles"][line["article"]] for line in self.lines]
        self.parts = [article["parts"][0] for article in self.articles]
        self.moulds = [form["moulds"][part["mould"]] for part in self.parts]
        self.best: Best = (inf, inf)

    def run(self) -> Best:
        free = {name: (0,) * mould["copies"] for name, mould in self.form["moulds"].items()}
        left = tuple(line["quantity"] for line in self.lines)
        to_open = left
        self.go(0, left, to_open, free, (), (-1,) * len(left), (0,) * len(left), 0.0, 0)
        return self.best

    def fit(self, minute: float, minutes: float) -> float:
        for window in self.form["hands"]:
            start = max(minute, window["from"])
            if start + minutes <= window["to"]:
                return start
        return inf

    def go(self, hands, left, to_open, free, in_moulds, due, done, points, mixes) -> None:
        """Try every next task of the hands, which are free from minute `hands`.

        `due` is when a line's next task may begin (-1: casts are missing), `done` how many
        of its tasks are done.
        """
        if (points + self.sure_points(hands, due, done), mixes + any(left)) >= self.best:
            return
        if all(done[n] > len(self.steps(n)) - 1 for n in range(len(left))):
            self.best = (points, mixes)
            return
        for n in range(len(left)):
            if due[n] >= 0 and done[n] < len(self.steps(n)):
                self.step(n, hands, left, to_open, free, in_moulds, due, done, points, mixes)
        for place in range(len(in_moulds)):
            self.open(place, hands, left, to_open, free, in_moulds, due, done, points, mixes)
        for casts in product(*(range(count + 1) for count in left)):
            if any(casts):
                self.pour(casts, hands, left, to_open, free, in_moulds, due, done, points, mixes)

    def sure_points(self, hands, due, done) -> float:
        """What lines that are not packed yet will cost at least."""
        points = 0.0
        for n, line in enumerate(self.lines):
            steps = self.steps(n)
            if done[n] == len(steps):
                continue
            rest = sum(minutes for minutes, _ in steps[done[n] :]) + sum(
                wait for _, wait in steps[done[n] : -1]
            )
            if due[n] < 0:
                # At least the youngest of its casts must still dry, if it is opened this very minute.
                rest += self.form["compounds"][self.parts[n]["compound"]]["dry_hours"] * 60
            late = ceil((max(hands, due[n]) + rest - line["ship_by"]) / DAY)
            if late > 0:
                points += line["weight"] * line["quantity"] * (self.form["late_step_days"] + late)
        return points

    def steps(self, n: int) -> list[tuple[float, float]]:
        """(hands-on minutes, wait after it) of a line's tasks."""
        article, quantity = self.articles[n], self.lines[n]["quantity"]
        coat = (article["coat_minutes"] * quantity, article["recoat_hours"] * 60)
        return [coat] * article["coats"] + [(article["pack_minutes"], 0)]

    def step(self, n, hands, left, to_open, free, in_moulds, due, done, points, mixes) -> None:
        minutes, wait = self.steps(n)[done[n]]
        start = self.fit(max(hands, due[n]), minutes)
        if start == inf:
            return
        end = start + minutes
        if done[n] + 1 == len(self.steps(n)) and end > self.lines[n]["ship_by"]:
            late = ceil((end - self.lines[n]["ship_by"]) / DAY)
            points += (
                self.lines[n]["weight"] * self.lines[n]["quantity"] * (self.form["late_step_days"] + late)
            )
        new_due = due[:n] + (end + wait,) + due[n + 1 :]
        new_done = done[:n] + (done[n] + 1,) + done[n + 1 :]
        self.go(end, left, to_open, free, in_moulds, new_due, new_done, points, mixes)

    def open(self, place, hands, left, to_open, free, in_moulds, due, done, points, mixes) -> None:
        set_at, casts, compound = in_moulds[place]
        minutes = sum(count * mould["open_minutes"] for count, mould in zip(casts, self.moulds, strict=True))
        start = self.fit(max(hands, set_at), minutes)
        if start == inf:
            return
        end = start + minutes
        free, to_open, due = dict(free), list(to_open), list(due)
        for n, count in enumerate(casts):
            back = end + self.moulds[n]["rest_minutes"]
            free[self.parts[n]["mould"]] += (back,) * count
            to_open[n] -= count
            if count and to_open[n] == 0:
                due[n] = end + self.form["compounds"][compound]["dry_hours"] * 60
        rest = in_moulds[:place] + in_moulds[place + 1 :]
        self.go(end, left, tuple(to_open), free, rest, tuple(due), done, points, mixes)

    def pour(self, casts, hands, left, to_open, free, in_moulds, due, done, points, mixes) -> None:
        used = [n for n, count in enumerate(casts) if count]
        keys = {(self.parts[n]["compound"], self.lines[n]["colour"]) for n in used}
        if len(keys) > 1:
            return
        compound = next(iter(keys))[0]
        facts, mix = self.form["compounds"][compound], self.form["mix"]
        fill = sum(casts[n] * self.moulds[n]["fill_minutes"] for n in used)
        slurry = sum(casts[n] * self.parts[n]["ml"] * facts["slurry_g_per_ml"] for n in used)
        if fill > facts["working_minutes"] or slurry + mix["residue_g"] > mix["jug_g"]:
            return
        earliest, free = hands, dict(free)
        for name in {self.parts[n]["mould"] for n in used}:
            count = sum(casts[n] for n in used if self.parts[n]["mould"] == name)
            copies = sorted(free[name])
            if count > len(copies):
                return
            earliest = max(earliest, copies[count - 1])
            free[name] = tuple(copies[count:])
        start = self.fit(earliest, mix["weigh_and_mix_minutes"] + fill + mix["clean_up_minutes"])
        if start == inf:
            return
        filled = start + mix["weigh_and_mix_minutes"] + fill
        left = tuple(count - taken for count, taken in zip(left, casts, strict=True))
        in_moulds = (*in_moulds, (filled + facts["open_after_minutes"], casts, compound))
        self.go(
            filled + mix["clean_up_minutes"], left, to_open, free, in_moulds, due, done, points, mixes + 1
        )
