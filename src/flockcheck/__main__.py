"""The program: `flockcheck`, and `python -m flockcheck`."""

import gc


def main() -> None:
    """Run the command line."""
    # A start makes many objects and hardly a circle of them; searching for circles after every few
    # hundred would cost a twentieth of a short run.
    gc.set_threshold(50_000, 10, 10)
    from flockcheck.cli import main as run

    run()


if __name__ == "__main__":
    main()
