"""Every released state, with data in it, comes up to this version: one small copy of each is kept here.

`tests/released/keep.sh 1.0` adds those of a release, made by that release itself: a SQLite and a PostgreSQL
studio with the demo in it. They hold nothing but the demo and a throw-away secret.
"""

from __future__ import annotations

import json
import tarfile
from pathlib import Path

import pytest

from tests.services.live import LiveStudio
from tests.services.postgres import new_database
from tests.services.programs import need_program
from tests.services.tapping import Hand

pytestmark = pytest.mark.services

KEPT = sorted(Path(__file__).parent.glob("*.tar.gz"))
PAGES = ("/bench/", "/week/", "/shelf/", "/orders/", "/stores/", "/studio/")
PASSWORD_FOR_ALL = (
    "from django.contrib.auth.models import User\n"
    "person = User.objects.get(username='owner')\n"
    "person.set_password('tide-table-and-samphire')\n"
    "person.save()"
)


def made_on(archive: Path) -> str:
    with tarfile.open(archive) as tar:
        listed = tar.extractfile("contents.json")
        assert listed
        return str(json.load(listed)["database"])


@pytest.mark.parametrize("archive", KEPT, ids=lambda path: path.name)
def test_a_studio_of_every_release_opens_in_this_version_with_its_ledger_whole(archive, request):
    environment = {}
    if made_on(archive) == "postgresql":
        need_program("pg_restore")
        environment["DATABASE_URL"] = new_database(request.getfixturevalue("postgres_url"))
    studio = LiveStudio(environment=environment)
    try:
        back = studio.run("restore", str(archive)).stdout
        studio.start()
        studio.run("shell", "--verbosity", "0", "-c", PASSWORD_FOR_ALL)
        hand = Hand(studio.address)
        hand.sign_in("owner", "tide-table-and-samphire")
        codes = {page: hand.ask("GET", page)[0] for page in PAGES}
        verified = studio.run("verify_ledger").stdout
    finally:
        studio.clear()

    assert "ledger entries agree" in back and "Its 0 ledger entries" not in back
    assert set(codes.values()) == {200}, codes
    assert "The ledger agrees" in verified
