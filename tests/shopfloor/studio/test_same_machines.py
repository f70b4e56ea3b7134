"""Whether a machine has the secret and the folder that the studio was opened with first."""

from __future__ import annotations

import pytest
from django.core.management import call_command

from shopfloor.studio.models import FirstOpened
from shopfloor.studio.same_machines import MARK_FILE, mark_folder, note_first_opening
from shopfloor.watching.findings import State
from shopfloor.watching.quick import look_at_folder, look_at_secret


@pytest.fixture
def opened(db, settings, tmp_path):
    """A studio opened once on a first machine; answers the folder it shares."""
    settings.SHARED_DIR = tmp_path / "shared"
    note_first_opening()
    return settings.SHARED_DIR


def states():
    return look_at_secret().state, look_at_folder().state


def test_a_second_machine_with_the_same_secret_and_folder_is_fine_and_changes_nothing(opened):
    note_first_opening()

    assert states() == (State.OK, State.OK)
    assert FirstOpened.objects.get().mark.hex in (opened / MARK_FILE).read_text().replace("-", "")


def test_a_machine_with_another_secret_is_told_how_to_mend_it_and_the_secret_is_kept_nowhere(
    opened, settings
):
    kept = settings.SECRET_KEY
    settings.SECRET_KEY = "of-the-second-machine"
    note_first_opening()

    found = look_at_secret()

    assert found.state == State.DOWN and "Give every machine the same SECRET_KEY" in found.mend
    said = "".join((found.said, found.mend, *map(str, FirstOpened.objects.values_list()[0])))
    assert settings.SECRET_KEY not in said and kept not in said


@pytest.mark.parametrize("there", ["not mounted", "of another studio"])
def test_a_folder_that_is_not_the_studios_is_told(opened, settings, tmp_path, there):
    settings.SHARED_DIR = tmp_path / "second"
    if there == "of another studio":
        settings.SHARED_DIR.mkdir()
        (settings.SHARED_DIR / MARK_FILE).write_bytes(b"\xff0")
    note_first_opening()

    found = look_at_folder()

    assert found.state == State.DOWN and f"{settings.SHARED_DIR} is not the folder" in found.said


def test_what_was_changed_on_purpose_is_accepted_by_command_and_a_restored_folder_by_itself(
    opened, settings, tmp_path
):
    settings.SECRET_KEY = "a-new-one"
    settings.SHARED_DIR = tmp_path / "moved"
    assert states() == (State.DOWN, State.DOWN)
    mark_folder()
    assert states() == (State.DOWN, State.OK)

    call_command("doctor", "--accept")

    assert states() == (State.OK, State.OK)
