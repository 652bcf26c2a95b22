"""What a shop's own numbers say: statistics that know nothing of files or plans."""
