"""`python -m shopfloor.backups.trial`: bring a database up to this version, and reckon its ledger anew.

Run in a process of its own, with STUDIO_DIR or DATABASE_URL leading to a copy and not to the studio itself.
Says what it found as one line of JSON.
"""

from __future__ import annotations

import json
import os


def main() -> None:
    """Migrate, verify, say."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    import django

    django.setup()
    from django.core.management import call_command

    from inventory.queries.verify import verify_ledger

    call_command("migrate", interactive=False, verbosity=0)
    found = verify_ledger()
    print(json.dumps({"entries": found.entries, "faults": [str(fault) for fault in found.faults[:3]]}))


if __name__ == "__main__":
    main()
