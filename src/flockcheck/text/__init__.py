"""What any of our files is made of: YAML text with its places, and quantities with their units."""
