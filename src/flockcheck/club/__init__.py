"""Many setups: a club's settings, the run over a folder, and the reports that are kept."""
