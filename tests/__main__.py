"""All tests: `python3 tests`, with nothing installed but Python. Arguments go to pytest."""

import os
import sys

# Started as a folder, the search path begins with this folder, not with the project.
sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
from deploy.bootstrap import rerun  # noqa: E402

# The whole run takes every core; a few tests are sooner done without the others' start.
EVERYTHING = ["-n", "auto", "--dist", "loadfile"]

rerun("-m", "pytest", *(sys.argv[1:] or EVERYTHING))
