"""``python -m dermreport`` is the command line."""

import sys

from dermreport.cli import main

sys.exit(main())
