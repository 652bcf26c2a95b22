"""Shops nobody would run, and what the planner makes of them."""
