"""How a measure asks for what it needs: declared by name, checked at load, worked out once."""
