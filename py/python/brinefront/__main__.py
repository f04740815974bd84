"""``python -m brinefront``: the same as the command ``brinefront``."""

import sys

from brinefront.cli import main

if __name__ == "__main__":
    sys.exit(main())
