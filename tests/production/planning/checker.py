"""Checks a plan against its problem, both as exchanged forms; shares no code with the planner.

Works on the plain dicts of the two forms and on nothing else. Written to be read beside the
list of rules, slow and direct: it walks every minute that matters and looks.
"""

from collections import defaultdict
from math import ceil
from typing import Any

DAY = 1440
SLIGHT = 1e-3  # grams and minutes below this are noise of floating point
UNPLACED_DAYS = 365

Form = dict[str, Any]
Busy = list[tuple[float, float, str]]


def faults_in(problem: Form, plan: Form, unplaced: tuple[str, ...] = ()) -> list[str]:
    """Sentences for every rule the plan breaks; `unplaced` lines need not be finished."""
    check = _Check(problem, plan, unplaced)
    check.run()
    return check.faults


def score_of_forms(problem: Form, plan: Form) -> tuple[float, int, float]:
    """Lateness points, mixes, early piece-days."""
    packed = {}
    for step in plan["steps"]:
        if step["step"] == "pack":
            line = next(line for line in problem["orders"] if line["id"] == step["line"])
            packed[step["line"]] = step["start"] + problem["articles"][line["article"]]["pack_minutes"]
    points, leaves = 0.0, {}
    for line in problem["orders"]:
        done = packed.get(line["id"], problem["minutes"] + UNPLACED_DAYS * DAY)
        if done > line["ship_by"]:
            late = ceil((done - line["ship_by"]) / DAY)
            points += line["weight"] * line["quantity"] * (problem["late_step_days"] + late)
        leaves[line["id"]] = max(line["ship_by"], packed.get(line["id"], problem["minutes"]))
    early = sum(
        cast["quantity"] * (leaves[cast["line"]] - mix["start"]) / DAY
        for mix in plan["mixes"]
        for cast in mix["casts"]
    )
    return points, len(plan["mixes"]), early


class _Check:
    def __init__(self, problem: Form, plan: Form, unplaced: tuple[str, ...]) -> None:
        self.problem, self.plan, self.unplaced = problem, plan, unplaced
        self.faults: list[str] = []
        self.lines = {line["id"]: line for line in problem["orders"]}
        self.hands: Busy = []
        self.moulds: dict[str, Busy] = defaultdict(list)
        # When each line's casts came out: (minute, dry hours of their compound)
        self.out: dict[str, list[tuple[float, float]]] = defaultdict(list)

    def fault(self, sentence: str) -> None:
        self.faults.append(sentence)

    def article(self, line_id: str) -> Form:
        return self.problem["articles"][self.lines[line_id]["article"]]

    def part(self, line_id: str, name: str) -> Form:
        return next(part for part in self.article(line_id)["parts"] if part["name"] == name)

    def mix_facts(self, compound: str) -> Form:
        return {**self.problem["mix"], **self.problem["compounds"][compound]}

    def run(self) -> None:
        for out in self.problem["out_of_mould"]:
            dry = 0.0
            if out["part"]:
                compound = self.part(out["line"], out["part"])["compound"]
                dry = self.problem["compounds"][compound]["dry_hours"]
            self.out[out["line"]].append((out["opened_at"], dry))
        for poured in self.problem["poured"]:
            self.check_poured(poured)
        for number, mix in enumerate(self.plan["mixes"]):
            self.check_mix(f"mix {number} at {mix['start']}", mix)
        self.check_quantities()
        for line_id in self.lines:
            self.check_route(line_id)
        self.check_copies()
        self.check_hands()
        self.check_powder()
        self.check_pins()

    def opening_minutes(self, casts: list[Form]) -> int:
        minutes = 0.0
        for cast in casts:
            mould = self.part(cast["line"], cast["part"])["mould"]
            minutes += self.problem["moulds"][mould]["open_minutes"] * cast["quantity"]
        return ceil(minutes - SLIGHT)

    def take_out(self, who: str, casts: list[Form], compound: str, opened: float, taken_from: float) -> None:
        """An opening in one go: hands busy, copies taken until its end and rest, casts begin to dry."""
        ends = opened + self.opening_minutes(casts)
        self.hands.append((opened, ends, f"opening of {who}"))
        for cast in casts:
            mould = self.part(cast["line"], cast["part"])["mould"]
            rest = self.problem["moulds"][mould]["rest_minutes"]
            self.moulds[mould] += [(taken_from, ends + rest, who)] * cast["quantity"]
            self.out[cast["line"]].append((ends, self.problem["compounds"][compound]["dry_hours"]))

    def check_poured(self, poured: Form) -> None:
        who = f"poured {poured['id']}"
        opened = self.plan["opened"].get(poured["id"])
        if opened is None:
            lines = {cast["line"] for cast in poured["casts"]}
            if not lines <= set(self.unplaced):
                self.fault(f"{who} is never opened")
            opened = self.problem["minutes"] + 10 * DAY
            for cast in poured["casts"]:
                mould = self.part(cast["line"], cast["part"])["mould"]
                self.moulds[mould] += [(0, opened, who)] * cast["quantity"]
            return
        compound = self.problem["compounds"][poured["compound"]]
        if opened < poured["filled_at"] + compound["open_after_minutes"]:
            self.fault(f"{who} is opened before it has set")
        self.take_out(who, poured["casts"], poured["compound"], opened, 0)

    def check_mix(self, who: str, mix: Form) -> None:
        facts = self.mix_facts(mix["compound"])
        fill = slurry = 0.0
        for cast in mix["casts"]:
            line, part = self.lines[cast["line"]], self.part(cast["line"], cast["part"])
            if part["compound"] != mix["compound"]:
                self.fault(f"{who} holds {cast['part']} of {cast['line']}, which is of another compound")
            if (part["colour"] or line["colour"]) != mix["colour"]:
                self.fault(f"{who} holds {cast['part']} of {cast['line']}, which is of another colour")
            if mix["start"] < line.get("not_before", 0):
                self.fault(f"{who} pours {cast['line']} too early")
            if cast["quantity"] < 1:
                self.fault(f"{who} holds {cast['quantity']} casts of {cast['line']}")
            fill += self.problem["moulds"][part["mould"]]["fill_minutes"] * cast["quantity"]
            slurry += part["ml"] * facts["slurry_g_per_ml"] * cast["quantity"]
        if not mix["casts"]:
            self.fault(f"{who} is empty")
        if fill > facts["working_minutes"] + SLIGHT:
            self.fault(f"{who} takes {fill} minutes to fill, workable for {facts['working_minutes']}")
        if slurry + facts["residue_g"] > facts["jug_g"] + SLIGHT:
            self.fault(f"{who} holds {slurry:.0f} g and residue, more than the jug")
        filled_at = mix["start"] + facts["weigh_and_mix_minutes"] + ceil(fill - SLIGHT)
        self.hands.append((mix["start"], filled_at + facts["clean_up_minutes"], who))
        if mix["opened"] < filled_at + facts["open_after_minutes"]:
            self.fault(f"{who} is opened before it has set")
        self.take_out(who, mix["casts"], mix["compound"], mix["opened"], mix["start"])
        self.check_matched(who, mix["casts"])

    def check_matched(self, who: str, casts: list[Form]) -> None:
        counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        for cast in casts:
            counts[cast["line"]][cast["part"]] += cast["quantity"]
        for line_id, by_part in counts.items():
            article = self.article(line_id)
            if article["matched"] and len({by_part[part["name"]] for part in article["parts"]}) > 1:
                self.fault(f"{who} holds {dict(by_part)} of {line_id}, whose parts must match")

    def check_quantities(self) -> None:
        have: dict[tuple[str, str], int] = defaultdict(int)
        rows = [out for out in self.problem["out_of_mould"]]
        rows += [cast for poured in self.problem["poured"] for cast in poured["casts"]]
        rows += [cast for mix in self.plan["mixes"] for cast in mix["casts"]]
        for row in rows:
            have[row["line"], row["part"]] += row["quantity"]
        for line_id, line in self.lines.items():
            for part in self.article(line_id)["parts"]:
                count = have[line_id, part["name"]]
                if count > line["quantity"] or (count < line["quantity"] and line_id not in self.unplaced):
                    self.fault(f"line {line_id} has {count} of {line['quantity']} {part['name']}")

    def route(self, line_id: str) -> list[tuple[str, float | None, float]]:
        """(name, wait in minutes, hands-on minutes) of each step; None waits for drying."""
        article, quantity = self.article(line_id), self.lines[line_id]["quantity"]
        if "steps" in article:
            steps = [
                (
                    s["name"],
                    s["wait_minutes"],
                    ceil(s["minutes_each"] * quantity + s["minutes_per_batch"] - SLIGHT),
                )
                for s in article["steps"]
            ]
            wait = article.get("pack_wait_minutes", 0)
        else:
            recoat = article["recoat_hours"] * 60
            coat = ceil(article["coat_minutes"] * quantity - SLIGHT)
            steps = [(f"coat {n + 1}", recoat if n else None, coat) for n in range(article["coats"])]
            wait = recoat if steps else 0
            if article["fill_minutes"]:
                minutes = ceil(article["fill_minutes"] * quantity - SLIGHT)
                steps.append(("fill", recoat if steps else None, minutes))
                wait = article["cure_hours"] * 60
        return [*steps, ("pack", wait if steps else None, article["pack_minutes"])]

    def check_route(self, line_id: str) -> None:
        given = [(step["step"], step["start"]) for step in self.plan["steps"] if step["line"] == line_id]
        route = self.route(line_id)
        given.sort(key=lambda step: [name for name, _, _ in route].index(step[0]))
        names = [name for name, _ in given]
        wanted = [name for name, _, _ in route]
        if line_id in self.unplaced:
            wanted = wanted[: len(names)]
        if names != wanted:
            self.fault(f"line {line_id} has the steps {names}, not {wanted}")
            return
        slowest = max(
            (
                self.problem["compounds"][part["compound"]]["dry_hours"]
                for part in self.article(line_id)["parts"]
            ),
            default=0,
        )
        ends = None
        for (name, wait, minutes), (_, start) in zip(route, given, strict=False):
            if ends is None:
                outs = self.out[line_id] or [(self.lines[line_id].get("not_before", 0), 0)]
                due = max(at + (dry * 60 if wait is None else wait) for at, dry in outs)
            else:
                due = ends + (slowest * 60 if wait is None else wait)
            if start < due - SLIGHT:
                self.fault(f"step {name} of line {line_id} at {start} begins before {due}")
            ends = start + minutes
            self.hands.append((start, ends, f"{name} of line {line_id}"))
        poured_pieces = sum(
            cast["quantity"] for mix in self.plan["mixes"] for cast in mix["casts"] if cast["line"] == line_id
        )
        if given and not poured_pieces and not self.out[line_id] and self.article(line_id)["parts"]:
            self.fault(f"line {line_id} is finished without casts")

    def check_copies(self) -> None:
        for mould, taken in self.moulds.items():
            facts = self.problem["moulds"][mould]
            damp = [(-1.0, float(at), "damp") for at in facts.get("free_at", []) if at > 0]
            for moment, _, who in taken:
                count = sum(start <= moment < end for start, end, _ in [*taken, *damp])
                if count > facts["copies"]:
                    self.fault(
                        f"{count} of {facts['copies']} copies of {mould} are in use at {moment} ({who})"
                    )
                    break

    def check_hands(self) -> None:
        windows = self.problem["hands"]
        for start, end, who in self.hands:
            inside = [w for w in windows if w["from"] <= start and end <= w["to"]]
            if not inside:
                self.fault(f"{who} from {start} to {end} is not inside working hours")
                continue
            busy = sum(other <= start < until for other, until, _ in self.hands)
            if end > start and busy > inside[0]["pairs"]:
                self.fault(f"{busy} tasks at {start} for {inside[0]['pairs']} pairs of hands ({who})")

    def check_powder(self) -> None:
        for name in self.problem["compounds"]:
            facts, powder = self.mix_facts(name), self.problem["powder"][name]
            used = 0.0
            for mix in sorted(self.plan["mixes"], key=lambda mix: mix["start"]):
                if mix["compound"] != name:
                    continue
                slurry = sum(
                    self.part(cast["line"], cast["part"])["ml"] * facts["slurry_g_per_ml"] * cast["quantity"]
                    for cast in mix["casts"]
                )
                used += (slurry + facts["residue_g"]) * facts["powder_share"]
                there = powder["opening_g"] + sum(
                    r["g"] for r in powder["receipts"] if r["at"] <= mix["start"]
                )
                if used > there + SLIGHT:
                    self.fault(
                        f"mix at {mix['start']} needs {used:.0f} g of {name} in all, {there:.0f} g are there"
                    )

    def check_pins(self) -> None:
        for pin in self.problem["pins"]:
            if not any(
                mix["compound"] == pin["compound"]
                and mix["colour"] == pin["colour"]
                and pin["from"] <= mix["start"] <= pin["to"]
                for mix in self.plan["mixes"]
            ):
                self.fault(
                    f"no mix of {pin['compound']} in {pin['colour']} from {pin['from']} to {pin['to']}"
                )
