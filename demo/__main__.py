"""The invented club's week: `python3 demo`, with nothing installed but Python."""

import os
import sys

if __package__:
    from demo.week import main

    sys.exit(main(sys.argv[1:]))

# Started as a folder, by any Python: the search path begins with this folder, not the project.
sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
from deploy.bootstrap import rerun  # noqa: E402

rerun("-m", "demo", *sys.argv[1:])
