"""`python -m sandbox` is the `sandbox` command."""

import sys


def main() -> None:
    """Run the command line; Ctrl-C ends it without a word, even while it loads."""
    try:
        from sandbox.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
