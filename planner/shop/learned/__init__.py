"""What a journal teaches: its weigh-ins as yields, its sales as wants."""
