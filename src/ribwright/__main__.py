"""python -m ribwright: the same as the command `ribwright`."""

from ribwright.cli import main

if __name__ == "__main__":
    main(prog_name="ribwright")
