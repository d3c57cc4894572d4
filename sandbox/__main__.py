"""`python -m sandbox` is the `sandbox` command."""

from sandbox.cli import main

if __name__ == "__main__":
    main()
