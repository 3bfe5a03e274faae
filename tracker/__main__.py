"""``python -m tracker``: the app without arguments, a command with them."""

import sys

from tracker.process import settle

settle()

from tracker.commands import main  # noqa: E402

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
