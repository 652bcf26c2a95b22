"""What a shop has: the entries of its journal replayed, day by day."""
