"""`python -m drydown` is the same as `drydown`."""

import sys

from drydown.cli import main

sys.exit(main())
