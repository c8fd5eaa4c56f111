"""``stores``, and ``python -m stores``: a Ctrl-C is one line from the first moment on."""

import sys


def main() -> None:
    """Run the command line."""
    try:
        from stores.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.stderr.write("stores: stopped before anything was done\n")
        sys.exit(130)


if __name__ == "__main__":
    main()
