"""What happened in a shop: entries that are added and never changed, in one file of the shop."""
