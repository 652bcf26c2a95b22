"""The rest of a shop's week as a scenario."""
