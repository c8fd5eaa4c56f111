"""``stores``, and ``python -m stores``: a Ctrl-C is one line from the first moment on."""

import gc
import sys


def main() -> None:
    """Run the command line."""
    # A command is over before there is much to collect; what is loaded stays. Looked through as
    # often as for a long run, it took a tenth of the time of an answer.
    gc.set_threshold(100_000, 20, 50)
    try:
        from stores.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.stderr.write("stores: stopped before anything was done\n")
        sys.exit(130)
    finally:
        # Where a Ctrl-C passed through code made from text (a dataclass being defined, say), the
        # interpreter remembers it as unhandled and, under -m, kills itself in place of giving the
        # status. Evaluating any text makes it forget.
        eval("0")


if __name__ == "__main__":
    main()
