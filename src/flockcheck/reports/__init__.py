"""Reports: text for people, JSON for other programs."""
