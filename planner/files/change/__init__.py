"""Changes to a scenario as a butcher words them, one kind a file."""
