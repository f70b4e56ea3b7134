"""`manage.py doctor`: what is wrong, and how to mend it."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopfloor.studio.port import LiveStudio
from shopfloor.studio.same_machines import note_as_it_is
from shopfloor.watching.findings import State
from shopfloor.watching.quick import quick_findings
from shopfloor.watching.thorough import thorough_findings, without_database

MARKS = {State.OK: "good", State.LOOK: "look", State.DOWN: "WRONG"}


class Command(BaseCommand):
    help = "Looks at everything the studio needs, and says in plain words what is wrong and how to mend it."
    # It says itself what is missing.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Whether to take what this machine has for right."""
        parser.add_argument(
            "--accept",
            action="store_true",
            help="take this machine's SECRET_KEY and SHARED_DIR for the studio's, after they were changed",
        )

    def handle(self, *, accept: bool, **options: Any) -> None:
        """A line for everything looked at; ends with a code other than zero when something is wrong."""
        if accept:
            note_as_it_is()
        now = LiveStudio().now()
        wrong = 0
        findings = quick_findings(now)
        for finding in findings:
            wrong += self._say(finding)
        has_database = findings[0].state != State.DOWN
        for finding in thorough_findings(now) if has_database else without_database():
            wrong += self._say(finding)
        if wrong:
            raise CommandError(f"{wrong} wrong. Begin with the first.")

    def _say(self, finding: Any) -> int:
        self.stdout.write(f"{MARKS[finding.state]:<6}{finding.name:<10}{finding.said}")
        if finding.mend:
            self.stdout.write(f"{'':<16}{finding.mend}")
        self.stdout.flush()
        return int(finding.state == State.DOWN)
