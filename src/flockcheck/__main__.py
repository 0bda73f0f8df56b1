"""The program: `flockcheck`, and `python -m flockcheck`."""

import gc
import os
import sys


def main() -> None:
    """Run the command line."""
    # A start makes many objects and hardly a circle of them; searching for circles after every few
    # hundred would cost a twentieth of a short run.
    gc.set_threshold(500_000, 20, 20)
    from flockcheck.cli import main as run

    try:
        run()
    except SystemExit as done:
        _leave(done)


def _leave(done: SystemExit) -> None:
    """End with the status asked for, without taking every object apart first.

    All that a command writes is written by now, and taking things apart would cost a tenth of a
    short run. Where a stream can't be flushed, the ordinary way out has its say.
    """
    status = 0 if done.code is None else done.code
    if not isinstance(status, int):
        raise done
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError, AttributeError):
        raise done from None
    os._exit(status)


if __name__ == "__main__":
    main()
