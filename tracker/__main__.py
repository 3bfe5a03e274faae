"""``python -m tracker``: the app without arguments, a command with them."""

import sys

from tracker.process import settle

settle()

try:
    from tracker.commands import main
except ModuleNotFoundError as missing:  # not even the words of another language are there then
    sys.exit(f"The package {missing.name} is not installed; install what requirements.txt lists.")

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
