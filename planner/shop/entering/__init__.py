"""What happened as a person says it, and what of it is asked about."""
