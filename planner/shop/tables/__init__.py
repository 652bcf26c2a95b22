"""What happened as tables have it: our own, and those of tills."""
