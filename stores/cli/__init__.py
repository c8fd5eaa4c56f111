"""The command line: read arguments, call one service or query, show.

Nothing heavy is imported here: ``stores --help`` and a calculator must start at once.
"""

from stores.cli.app import main

__all__ = ["main"]
