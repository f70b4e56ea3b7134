"""Full disk, write-protected disk: a plain sentence, and no damage."""

from __future__ import annotations

import contextlib
import os
from uuid import uuid4

import pytest

from tests.services.hard_times import fill_up, small_disk, write_protect
from tests.services.live import PASSWORD, LiveStudio
from tests.services.programs import ProgramMissing
from tests.services.tapping import Hand

pytestmark = pytest.mark.services


def found(studio: LiveStudio) -> None:
    studio.run("migrate", "--verbosity", "0")
    studio.run("shell", "--verbosity", "0", "-c", "from tests.services.kills import found; found()")


def hand_at(studio: LiveStudio) -> Hand:
    hand = Hand(studio.address)
    hand.sign_in("owner", PASSWORD)
    return hand


def spill(hand: Hand, key: str) -> tuple[int, str]:
    code, page = hand.tap("/stores/spill/?tub=B1", request_key=key, amount="1 g", reason="spill")
    return code, page.decode()


def spilled(studio: LiveStudio) -> int:
    return studio.rows("select count(*) from inventory_act where name = 'inventory.note_spill'")[0][0]


def test_a_disk_that_is_full_or_write_protected_is_said_and_harms_nothing():
    studio, key = LiveStudio(), str(uuid4())
    with contextlib.ExitStack() as stack:
        stack.callback(studio.clear)
        try:
            stack.enter_context(small_disk(studio.directory, 60))
        except ProgramMissing as fault:
            (pytest.fail if os.environ.get("CI") else pytest.skip)(str(fault))
        stack.callback(studio.stop)
        found(studio)
        hand = hand_at(studio.start())
        filler = fill_up(studio.directory)
        full = spill(hand, key)
        looked = hand.ask("GET", "/stores/")[0]
        health = hand.ask("GET", "/healthz")
        filler.unlink()
        after = spill(hand, key)
        studio.stop()
        write_protect(studio.directory, is_on=True)
        protected = studio.run("up", "--port", str(studio.port), check=False)
        write_protect(studio.directory, is_on=False)
        studio.start()
        again = spill(hand, str(uuid4()))
        studio.stop()
        verified = studio.run("verify_ledger", check=False)
        count = spilled(studio)

    assert full[0] == 503 and "The disk of the studio is full. Nothing was kept" in full[1], full
    assert looked == 200
    assert health[0] == 503 and b'"disk": "down"' in health[1]
    assert (after[0], again[0], count) == (302, 302, 2)
    assert protected.stderr.startswith("CommandError: The disk of the studio may not be written to."), (
        protected
    )
    assert verified.returncode == 0
