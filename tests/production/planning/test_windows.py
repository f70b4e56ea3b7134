"""What the solver makes of a plan, and that it is asked for only when needed."""

import subprocess
import sys

from production.planning.windows import solver_is_here


def test_the_solver_is_installed_here():
    assert solver_is_here()


def test_the_solver_is_not_imported_before_a_model_is_made():
    script = (
        "import sys, production.planning.solve, production.planning.bounds, production.planning.windows as w;"
        "w.solver_is_here(); sys.exit('ortools' in sys.modules)"
    )

    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
