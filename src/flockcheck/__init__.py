"""flockcheck: checks a small flock's setup against cited rules before the birds move out."""

__version__ = "0.1.0"
