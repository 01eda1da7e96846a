"""`python -m orlop` is the command `orlop`."""

import sys

from orlop.cli import main

sys.exit(main())
