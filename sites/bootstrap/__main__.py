"""`python3 -m sites.bootstrap demo|test`: set up for that command, and run nothing."""

import sys

from sites import bootstrap

if __name__ == "__main__":
    if sys.argv[1:] not in (["demo"], ["test"]):
        sys.exit("Usage: python3 -m sites.bootstrap demo|test")
    bootstrap.set_up(sys.argv[1])
