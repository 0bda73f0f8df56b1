"""`python -m flockcheck` does what `flockcheck` does."""

from flockcheck.cli import main

main()
