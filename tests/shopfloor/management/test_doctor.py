"""`manage.py doctor` says what is wrong and how to mend it."""

from io import StringIO

from django.core.management import CommandError, call_command
from django.db import connection

from inventory import triggers


def said_by_doctor():
    out = StringIO()
    try:
        call_command("doctor", stdout=out)
    except CommandError as fault:
        out.write(f"error: {fault}")
    return " ".join(out.getvalue().split())


def test_a_sound_studio_gets_a_good_word_for_each_part(db):
    said = said_by_doctor()

    for words in (
        "good database The database answers.",
        "look worker The worker has not done anything yet. Start the studio with manage.py up",
        "good ledger The ledger agrees: 0 entries.",
        "look backup There is no copy yet.",
        "good tables The tables are those of this version, and the ledger's triggers are up.",
    ):
        assert words in said
    assert "error" not in said


def test_a_missing_trigger_is_named_with_what_brings_it_back(db):
    triggers.remove(connection)

    said = said_by_doctor()

    assert "inventory_act_no_delete" in said
    assert "manage.py migrate puts them up again." in said


def test_a_ledger_that_does_not_agree_is_wrong_and_ends_with_an_error(db, monkeypatch):
    monkeypatch.setattr(
        "shopfloor.watching.thorough.verify_ledger",
        lambda: type("Found", (), {"faults": ["holding Q2 of L7 is 5 g and should be 4 g"], "entries": 1})(),
    )

    said = said_by_doctor()

    assert "WRONG ledger The ledger does not agree: holding Q2 of L7 is 5 g and should be 4 g." in said
    assert "error: 1 wrong. Begin with the first." in said


def test_it_says_nothing_secret(db, settings):
    assert settings.SECRET_KEY not in said_by_doctor()
