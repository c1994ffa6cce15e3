"""The command line as ``python -m moistwall``."""

from moistwall.cli import main

if __name__ == "__main__":
    main(prog_name="moistwall")
