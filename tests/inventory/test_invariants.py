"""What can never happen to the ledger, tried with random acts in random order."""

from __future__ import annotations

from collections import Counter
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.db import Error, OperationalError, connection, transaction
from django.db.models import Count
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inventory.errors import NothingToUndo, RequestKeyReused, StudioError
from inventory.models import Act, Entry, Holding, Posting
from inventory.operations.acts import Done
from inventory.operations.counting import REASONS, count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_material, reverse
from inventory.operations.receiving import receive_lot
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import KG, MONDAY, a_material, a_tap, a_tub, fill, held, in_an_act

TARE = 1 * KG
CAPACITY = 10 * KG
# Odd milligrams, so that shares never come out even; now and then more than any tub has.
actors = st.integers(0, 2)
amounts = st.one_of(st.integers(1, KG // 2), st.integers(1, KG // 2), st.integers(1, 11 * KG))
some = st.integers(0, 1000)
tub_numbers = st.integers(0, 2)


class LedgerMachine(RuleBasedStateMachine):
    """Three people at three tubs of one powder, with a book of its own in plain numbers."""

    def __init__(self) -> None:
        super().__init__()
        self.undone_after = transaction.atomic()
        self.undone_after.__enter__()
        people = User.objects.bulk_create(User(username=f"person {number}") for number in range(3))
        self.people = [person.pk for person in people]
        self.acts_by: Counter[int] = Counter()
        powder = a_material()
        self.material_id = powder.pk
        self.tubs = [
            a_tub(powder, tare_mg=TARE, capacity=CAPACITY, role=role) for role in ("bulk", "bulk", "working")
        ]
        for tub, first, second in zip(self.tubs, (4, 3, 1), (1, 2, 1), strict=True):
            fill(tub, first * KG + 1)
            fill(tub, second * KG + 2)
        self.book = [5 * KG + 3, 5 * KG + 3, 2 * KG + 3]
        # key, operation, content, change by tub
        self.done: list[tuple[Any, Any, dict[str, Any], Done]] = []
        self.changes: dict[int, list[int]] = {}
        self.undone: set[int] = set()
        # posting, change by tub
        self.drawn: list[tuple[int, list[int]]] = []
        self.taken_back: set[int] = set()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.undone_after.__exit__(None, None, None)

    def attempt(self, actor: int, operation: Any, content: dict[str, Any], change: Any) -> None:
        """Do it, or see it refused with nothing changed."""
        key, before = uuid4(), self.size()
        try:
            done = operation(**content, **a_tap(key, by=self.people[actor]))
        except StudioError:
            assert self.size() == before
            return
        self.acts_by[self.people[actor]] += 1
        self.done.append((key, operation, content, done))
        self.changes[done.act_id] = change(done)
        self.apply(self.changes[done.act_id], 1)

    def apply(self, change: list[int], sign: int) -> None:
        self.book = [amount + sign * moved for amount, moved in zip(self.book, change, strict=True)]

    def size(self) -> tuple[int, int, int, list[int]]:
        counts = Act.objects.count(), Posting.objects.count(), Entry.objects.count()
        return (*counts, [held(tub) for tub in self.tubs])

    def only(self, number: int, amount: int) -> list[int]:
        return [amount if place == number else 0 for place in range(3)]

    @rule(actor=actors, number=tub_numbers, amount=amounts)
    def receive(self, actor: int, number: int, amount: int) -> None:
        content = {
            "material_id": self.material_id,
            "amount": amount,
            "received_on": MONDAY.date(),
            "container_id": self.tubs[number].pk,
        }
        self.attempt(actor, receive_lot, content, lambda done: self.only(number, amount))

    @rule(actor=actors, source=st.integers(0, 1), amount=amounts, lumps=st.integers(0, KG // 20))
    def decant(self, actor: int, source: int, amount: int, lumps: int) -> None:
        content = {
            "source_id": self.tubs[source].pk,
            "target_id": self.tubs[2].pk,
            "amount": amount,
            "lumps": lumps,
        }

        def change(done: Done) -> list[int]:
            moved = self.only(source, -amount - lumps)
            return [*moved[:2], amount]

        self.attempt(actor, decant, content, change)

    @rule(
        actor=actors,
        number=tub_numbers,
        difference=st.integers(-KG // 4, KG // 4),
        reason=st.sampled_from([*REASONS, *REASONS, ""]),
    )
    def count(self, actor: int, number: int, difference: int, reason: str) -> None:
        was = self.book[number]
        net = was + difference
        content = {"container_id": self.tubs[number].pk, "gross_mg": TARE + net, "reason": reason}
        self.attempt(actor, count_container, content, lambda done: self.only(number, net - was))

    @rule(actor=actors, number=tub_numbers, amount=amounts)
    def spill(self, actor: int, number: int, amount: int) -> None:
        content = {"container_id": self.tubs[number].pk, "amount": amount}
        self.attempt(actor, note_spill, content, lambda done: self.only(number, -amount))

    @rule(amount=amounts, is_interrupted=st.booleans())
    def draw(self, amount: int, is_interrupted: bool) -> None:
        """Drawn as part of a larger act, which may fail after the draw."""
        before = self.size()
        try:
            with in_an_act() as tap:
                drawn = draw_material(tap, self.material_id, amount, "mix")
                if is_interrupted:
                    raise StudioError("The jug fell over.")
        except StudioError:
            assert self.size() == before
            return
        assert sum(part.amount for part in drawn) == amount
        change = [-sum(part.amount for part in drawn if part.container_id == tub.pk) for tub in self.tubs]
        self.apply(change, 1)
        self.drawn.append((drawn[0].posting_id, change))

    @precondition(lambda self: self.drawn)
    @rule(which=some)
    def reverse_a_draw(self, which: int) -> None:
        """As an act above the stores does when it is undone; a second time it is refused."""
        posting_id, change = self.drawn[which % len(self.drawn)]
        before = self.size()
        try:
            with in_an_act() as tap:
                reverse(tap, posting_id, reason="undone")
        except NothingToUndo:
            assert posting_id in self.taken_back
            assert self.size() == before
            return
        assert posting_id not in self.taken_back
        self.taken_back.add(posting_id)
        self.apply(change, -1)

    @precondition(lambda self: self.done)
    @rule(which=some)
    def repeat(self, which: int) -> None:
        """The same key again: the same answer with the same content, a refusal with any other."""
        key, operation, content, first = self.done[which % len(self.done)]
        before = self.size()

        again = operation(**content, **a_tap(key))
        assert (again.said, again.act_id, again.again) == (first.said, first.act_id, True)
        with pytest.raises(RequestKeyReused):
            operation(**{**content, "lumps": -1}, **a_tap(key))

        assert self.size() == before

    @precondition(lambda self: self.done)
    @rule(actor=actors, which=some)
    def undo(self, actor: int, which: int) -> None:
        _, _, _, done = self.done[which % len(self.done)]
        name = Act.objects.get(pk=done.act_id).name
        before = self.size()
        try:
            UNDO[name](act_id=done.act_id, **a_tap(by=self.people[actor]))
        except StudioError:
            assert self.size() == before
            return
        assert done.act_id not in self.undone
        self.undone.add(done.act_id)
        self.acts_by[self.people[actor]] += 1
        self.apply(self.changes[done.act_id], -1)

    @invariant()
    def the_tubs_hold_what_the_book_says_and_the_verifier_is_silent(self) -> None:
        assert [held(tub) for tub in self.tubs] == self.book
        assert not Holding.objects.filter(amount__lt=0).exists()
        assert verify_ledger().faults == ()

    @invariant()
    def every_act_says_who_did_it(self) -> None:
        found = Act.objects.filter(by__isnull=False).values_list("by").annotate(count=Count("pk"))
        assert dict(found.order_by()) == dict(self.acts_by)


@pytest.mark.django_db
def test_random_acts_never_lose_a_gram():
    run_state_machine_as_test(
        LedgerMachine,
        settings=settings(
            max_examples=15,
            stateful_step_count=16,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            derandomize=True,
            database=None,
        ),
    )


class Cut:
    """Breaks off before one of the next statements: a server that died, or a disk that does not answer."""

    def __init__(self, before_statement: int) -> None:
        self.left = before_statement

    def __call__(self, execute: Any, sql: Any, params: Any, many: Any, context: Any) -> Any:
        self.left -= 1
        if self.left == -1 and connection.vendor == "sqlite":
            raise OperationalError("disk I/O error")
        if self.left == -1:
            context["connection"].connection.close()
        return execute(sql, params, many, context)


class CrashMachine(RuleBasedStateMachine):
    """Acts that are cut off at any statement, and tapped again with the same key, as the app does."""

    def __init__(self) -> None:
        super().__init__()
        powder = a_material()
        self.bulk = a_tub(powder, tare_mg=TARE, capacity=CAPACITY)
        self.working = a_tub(powder, tare_mg=TARE, capacity=CAPACITY, role="working")
        fill(self.bulk, 5 * KG + 3)
        fill(self.working, KG + 1)
        self.book = {self.bulk.pk: 5 * KG + 3, self.working.pk: KG + 1}
        self.acts = Act.objects.count()

    def tap(self, operation: Any, content: dict[str, Any], change: dict[int, int], cut: int) -> None:
        key = uuid4()
        try:
            with connection.execute_wrapper(Cut(cut)):
                operation(**content, **a_tap(key))
        except (Error, StudioError):
            # As the end of the request does.
            connection.close_if_unusable_or_obsolete()
            assert Act.objects.filter(request_key=key).count() == 0
            assert Posting.objects.filter(request_key=key).count() == 0
        try:
            operation(**content, **a_tap(key))
        except StudioError:
            return
        self.acts += 1
        for tub, moved in change.items():
            self.book[tub] += moved

    @rule(amount=st.integers(1, KG // 2), cut=st.integers(0, 24))
    def spill(self, amount: int, cut: int) -> None:
        content = {"container_id": self.bulk.pk, "amount": amount}
        self.tap(note_spill, content, {self.bulk.pk: -amount}, cut)

    @rule(amount=st.integers(1, KG // 2), lumps=st.integers(0, KG // 20), cut=st.integers(0, 40))
    def decant(self, amount: int, lumps: int, cut: int) -> None:
        content = {
            "source_id": self.bulk.pk,
            "target_id": self.working.pk,
            "amount": amount,
            "lumps": lumps,
        }
        self.tap(decant, content, {self.bulk.pk: -amount - lumps, self.working.pk: amount}, cut)

    @invariant()
    def all_of_each_act_is_there_or_nothing(self) -> None:
        assert {tub.pk: held(tub) for tub in (self.bulk, self.working)} == self.book
        assert Act.objects.count() == self.acts
        assert verify_ledger().faults == ()


@pytest.mark.django_db(transaction=True)
def test_acts_cut_off_at_any_statement_are_there_whole_or_not_at_all():
    run_state_machine_as_test(
        CrashMachine,
        settings=settings(
            max_examples=6,
            stateful_step_count=8,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            derandomize=True,
            database=None,
        ),
    )
