"""Questions put to a plan."""
