"""``python -m stores`` is the same as ``stores``."""

from stores.cli import main

if __name__ == "__main__":
    main()
