"""One pair of hands that does what the pages say, and writes down in the second book what the scale shows."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta

from shopfloor.journeys.demo.rows import COLOURS, KILO, MOULDS
from tests.journeys.book import Book
from tests.journeys.opening import TARE, Clock, look_round
from tests.journeys.screens import Screen, Visitor

SEALER_EACH, WAX_EACH, FRAGRANCE_EACH, WICK_EACH, BOX_EACH = 12_000, 61_900, 3_700, 1_000, 1_000
# As the rows of the demo studio give them: grains of powder g/mL, water per powder, overfill, residue in g.
COMPOUNDS = {"quick compound": (2.70, 0.30, 0.02, 40), "slow plaster": (2.63, 0.60, 0.03, 50)}
# Water at 20 degrees Celsius, g/mL: Tanaka et al., Metrologia 38 (2001) 301-309.
WATER = 0.9982
# What the page says of the tub between its name and the grams to weigh.
THEN = r"(?: \w+ then holds [\d,.]+ k?g)?"
LOOK_AGAIN = timedelta(minutes=60)
# Of each plate: what holds for these holds for the next.
SECOND_TAPS = 3


@dataclass(frozen=True)
class Weighed:
    """What a Weigh page shows: grams, by tub where they come from one, and the fills in their order."""

    number: int
    colour: str
    compound: str
    powder_tub: str
    powder_g: int
    water_g: int
    pigments_g: dict[str, float]
    jug_g: float
    fills: tuple[tuple[str, int, int], ...]


class Hands:
    """At the Bench and the Shelf, by what their pages show."""

    def __init__(self, visitor: Visitor, clock: Clock, book: Book) -> None:
        self.visitor, self.clock, self.book = visitor, clock, book
        self.mixed: list[Weighed] = []
        self.pressed: Counter[str] = Counter()

    def twice(self, label: str, beside: str = "", **typed: object) -> Screen:
        """Press a plate, and the first few times once more as a second tap, which says the same."""
        first = self.visitor.press(label, beside, **typed)
        self.pressed[label] += 1
        if self.pressed[label] > SECOND_TAPS:
            self.book.check()
            return first
        again = self.visitor.press_again()
        assert (again.address, again.words) == (first.address, first.words), f"{first.words}\n{again.words}"
        self.book.check()
        return again

    def undo(self, label: str = "Undo") -> None:
        """Take the last act back; a second tap is answered as the first."""
        self.visitor.press(label)
        undone = self.visitor.screen.words
        assert not self.visitor.screen.says("This was undone before"), undone
        again = self.visitor.press_again()
        assert not again.says("This was undone before"), again.words
        self.book.check()

    # Stores ----------------------------------------------------------------------------------------

    def decant(self, grams: int) -> None:
        """From B4 into Q2, by what the scale shows before and after."""
        self.visitor.open("/stores/decant/?source=B4&target=Q2")
        before = TARE["B4"] + self.book.holds["B4"]
        self.book.out_of("B4", grams * 1000)
        self.book.into("Q2", grams * 1000)
        after = before - grams * 1000
        self.twice("Decant", before=f"{before / KILO:.3f}", after=f"{after / KILO:.3f}", lumps="0")

    # Mixing ----------------------------------------------------------------------------------------

    def weights(self) -> Weighed:
        """Read the Weigh page, and check its sums."""
        page = self.visitor.screen
        head = page.reads(r"Mix (\d+), (\w+) ?jug on the scale")
        filling = page.between("Fills, in this order", "With powder")
        powder = page.reads(rf"Powder (quick compound|slow plaster), tub (\w+){THEN} ([\d,]+) g")
        weighed = Weighed(
            number=int(head[1]),
            colour=head[2],
            compound=powder[1],
            powder_tub=powder[2],
            powder_g=_grams(powder[3]),
            water_g=_grams(page.reads(r"Water room warm, 18 to 22 °C ([\d,]+) g")[1]),
            pigments_g={
                tub: float(g) for tub, g in re.findall(rf"pigment, (\w+){THEN} ([\d.]+) g", page.words)
            },
            jug_g=float(page.reads(r"In the jug ?([\d,.]+) g")[1].replace(",", "")),
            fills=tuple(
                (mould, int(copy), _grams(grams))
                for mould, copy, grams in re.findall(r"\d+ ([A-Z][\w ]+?), copy (\d+) ([\d,]+) g", filling)
            ),
        )  # fmt: skip
        check_sums(weighed)
        return weighed

    def start(self) -> Weighed:
        """Powder in: from here on the working time runs."""
        weighed = self.weights()
        self.book.out_of(weighed.powder_tub, weighed.powder_g * 1000)
        for tub, grams in weighed.pigments_g.items():
            self.book.out_of(tub, round(grams * 1000))
        form, _ = self.visitor.screen.form_with("Powder in: start")
        bench = self.twice("Powder in: start", **form.ticks)
        bench.must_say(f"Mix {weighed.number} started {self.clock.local:%H:%M}")
        bench.must_say("working time left")
        return weighed

    def pour(self, weighed: Weighed) -> Screen:
        """Fill mould by mould, each to the grams that the Weigh page gave."""
        for place, (mould, copy, grams) in enumerate(weighed.fills, start=1):
            self.clock.later(2)
            page = self.visitor.open("/bench/")
            page.must_say(f"filling {place} of {len(weighed.fills)}")
            page.must_say(f"{mould} copy {copy} fill to {grams:,} g")
            page = self.twice("Poured")
        self.mixed.append(weighed)
        return page

    # Out of the mould ------------------------------------------------------------------------------

    def judge(self, *verdicts: tuple[str, str]) -> Screen:
        """Say how casts came out, in the order of the page; the rest is good."""
        for verdict, reason in verdicts:
            self.twice(verdict)
            if reason:
                self.twice(reason)
        while self.visitor.screen.has_plate("Good"):
            self.twice("Good")
        return self.visitor.screen

    # What comes next --------------------------------------------------------------------------------

    def work_until(self, words: str) -> None:
        """Do whatever the Bench asks for, in the studio's hours, until a day and time."""
        until = Clock(self.clock.at)
        until.to(words)
        while self.clock.at < until.at:
            if not self._in():
                self.clock.at += LOOK_AGAIN
                continue
            look_round(self.clock)
            if not self._do_next():
                self.clock.at += LOOK_AGAIN
        self.clock.at = until.at

    def _in(self) -> bool:
        local = self.clock.local
        return local.weekday() < 5 and "08:30" <= f"{local:%H:%M}" < "16:40"

    def _do_next(self) -> bool:
        bench = self.visitor.open("/bench/")
        # The notice says so as soon as the moulds may be opened.
        if bench.says("due out"):
            self.clock.later(3)
            self.twice("Out of the mould")
            self.judge()
            return True
        if bench.says("due on the shelf") or bench.has_plate("Go to the shelf"):
            return self.finish_steps()
        planned = re.search(r"next to mix ?pour planned ?(\d\d:\d\d)", bench.words)
        if planned and self._clock_of(planned[1]) - self.clock.local < LOOK_AGAIN:
            return self._mix(bench)
        return False

    def _mix(self, bench: Screen) -> bool:
        label = bench.reads(r"Weigh mix \d+")[0]
        if self.visitor.follow(label).has_plate("Decant first"):
            self.decant(2000)
            self.visitor.open("/bench/")
            self.visitor.follow(label)
        if not self.visitor.screen.has_plate("Powder in: start"):
            return False
        self.clock.later(4)
        self.pour(self.start())
        return True

    def finish_steps(self) -> bool:
        """Coat and fill what is due on the shelf."""
        shelf = self.visitor.open("/shelf/")
        due = re.findall(r"([A-Z][a-z]+(?: \d)?) now (?:dry|due) since", shelf.words)
        for name in due:
            pieces = self.visitor.screen.form_with(f"{name} done")[0].fields["pieces"].count(",") + 1
            self.clock.later(3 * pieces)
            tub, each = ("X1", WAX_EACH) if name == "Fill" else ("S1", SEALER_EACH)
            self.book.out_of(tub, each * pieces)
            if name == "Fill":
                self.book.out_of("F1", FRAGRANCE_EACH * pieces)
                self.book.out_of("K1", WICK_EACH * pieces)
            self.twice(f"{name} done")
        return bool(due)

    def _clock_of(self, wall: str) -> datetime:
        hour, minute = wall.split(":")
        return self.clock.local.replace(hour=int(hour), minute=int(minute))


def check_sums(weighed: Weighed) -> None:
    """The page's grams from first principles: ratio, load, conservation, and the volumes of the moulds."""
    grains, ratio, overfill, residue_g = COMPOUNDS[weighed.compound]
    loads = COLOURS[weighed.colour][1].values()
    density = (1 + ratio + sum(loads)) / (1 / grains + ratio / WATER)
    assert abs(weighed.water_g - ratio * weighed.powder_g) <= 0.5
    assert sorted(weighed.pigments_g.values()) == [
        round(load * weighed.powder_g, 1) for load in sorted(loads)
    ]
    assert weighed.jug_g == weighed.powder_g + weighed.water_g + sum(weighed.pigments_g.values())
    for mould, _, grams in weighed.fills:
        # Pigment of unknown density adds mass and no volume.
        assert abs(grams - MOULDS[mould][1] * density) <= 1, (mould, grams)
    filled = sum(grams for _, _, grams in weighed.fills)
    # Powder is rounded up to a gram, and a gram of it makes so much slurry; each fill is rounded too.
    slack = 1 + ratio + len(weighed.fills)
    assert abs(weighed.jug_g - filled * (1 + overfill) - residue_g) <= slack + 1


def _grams(figure: str) -> int:
    return int(figure.replace(",", ""))
