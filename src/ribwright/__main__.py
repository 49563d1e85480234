"""python -m ribwright, and what the command `ribwright` starts: Ctrl-C while the rest is still being loaded is a cancel too."""

import sys


def run() -> None:
    """Load the command line and run it."""
    try:
        from ribwright.cli import main

        main(prog_name="ribwright")
    except KeyboardInterrupt:
        sys.stderr.write("ribwright: cancelled; nothing was written\n")
        sys.exit(3)


if __name__ == "__main__":
    run()
