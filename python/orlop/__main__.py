"""`python -m orlop` is the command `orlop`."""

import sys

from orlop.cli import main

if __name__ == "__main__":
    sys.exit(main())
