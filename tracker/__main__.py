"""``python -m tracker``: the app without arguments, a command with them."""

import sys

from tracker.commands import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
