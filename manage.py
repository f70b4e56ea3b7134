#!/usr/bin/env python3
"""The one door: `up`, `test`, `bench` and Django's own commands. Sets up its environment first."""

import os
import sys

from shopfloor.bootstrap import enter_environment


def main() -> None:
    """Enter the project's environment, then hand over to the tests, the bench or Django."""
    command = sys.argv[1] if len(sys.argv) > 1 else "help"
    enter_environment(for_tests=command in ("test", "bench"))
    if command == "test":
        from tests.services.run import run

        sys.exit(run(sys.argv[2:]))
    if command == "bench":
        from tests.bench.run import run as measure

        sys.exit(measure(sys.argv[2:]))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    try:
        main()
    except KeyboardInterrupt:
        sys.exit("Stopped.")
